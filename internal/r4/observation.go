package r4

import (
	"errors"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"
)

// Observation is an Observation whose extensions and components, of which a bundle
// has hundreds, stand in small structs. The models' own hold every type that R4
// allows there, and a writer looks at each: an extension has fifty of them.
type Observation struct {
	fhir.OtherObservation // without extensions and components of its own

	Extension []Extension `json:"extension,omitempty"`
	Component []Component `json:"component,omitempty"`
}

// Extension is an extension with a value of one of the types in use.
type Extension struct {
	URL                  string                `json:"url"`
	ValueCode            *string               `json:"valueCode,omitempty"`
	ValueCodeableConcept *fhir.CodeableConcept `json:"valueCodeableConcept,omitempty"`
}

// Component is a component of an Observation with a value of one of the types in
// use, or why it has none.
type Component struct {
	Extension            []Extension           `json:"extension,omitempty"`
	Code                 fhir.CodeableConcept  `json:"code"`
	ValueQuantity        *fhir.Quantity        `json:"valueQuantity,omitempty"`
	ValueCodeableConcept *fhir.CodeableConcept `json:"valueCodeableConcept,omitempty"`
	ValueString          *string               `json:"valueString,omitempty"`
	ValueBoolean         *bool                 `json:"valueBoolean,omitempty"`
	ValueInteger         *int                  `json:"valueInteger,omitempty"`
	ValueDateTime        *string               `json:"valueDateTime,omitempty"`
	DataAbsentReason     *fhir.CodeableConcept `json:"dataAbsentReason,omitempty"`
}

// check refuses what the small structs would hide.
func (o *Observation) check() error {
	if o.OtherObservation.Extension != nil || o.OtherObservation.Component != nil {
		return errors.New("an Observation has extensions or components of the model beside its own")
	}
	return nil
}
