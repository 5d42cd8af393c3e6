package r4

import (
	"bytes"
	"fmt"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"
)

// Encode writes a resource. It takes model values (not pointers) of the types in
// use, and *Observation; entries of a Bundle hold what Encode gave for their
// resources.
func Encode(resource any) ([]byte, error) {
	plain, err := methodless(resource)
	if err != nil {
		return nil, err
	}
	var a appender
	a.long(plain)
	return a.whole(resource)
}

// named puts the name of a resource's type first; each type of methodless is one
// and the fields of a model without its method that would write the name last and
// escape markup.
type named struct {
	ResourceType string `json:"resourceType"`
}

func methodless(resource any) (any, error) {
	switch r := resource.(type) {
	case *Observation:
		return struct {
			named
			*Observation
		}{named{"Observation"}, r}, r.check()
	case fhir.Observation:
		return struct {
			named
			fhir.OtherObservation
		}{named{"Observation"}, fhir.OtherObservation(r)}, nil
	case fhir.Bundle:
		return struct {
			named
			fhir.OtherBundle
		}{named{"Bundle"}, fhir.OtherBundle(r)}, nil
	case fhir.DiagnosticReport:
		return struct {
			named
			fhir.OtherDiagnosticReport
		}{named{"DiagnosticReport"}, fhir.OtherDiagnosticReport(r)}, nil
	case fhir.Device:
		return struct {
			named
			fhir.OtherDevice
		}{named{"Device"}, fhir.OtherDevice(r)}, nil
	case fhir.Procedure:
		return struct {
			named
			fhir.OtherProcedure
		}{named{"Procedure"}, fhir.OtherProcedure(r)}, nil
	case fhir.Provenance:
		return struct {
			named
			fhir.OtherProvenance
		}{named{"Provenance"}, fhir.OtherProvenance(r)}, nil
	case fhir.Composition:
		return struct {
			named
			fhir.OtherComposition
		}{named{"Composition"}, fhir.OtherComposition(r)}, nil
	case fhir.OperationOutcome:
		return struct {
			named
			fhir.OtherOperationOutcome
		}{named{"OperationOutcome"}, fhir.OtherOperationOutcome(r)}, nil
	}
	return nil, fmt.Errorf("a %T is not written here: a model value of a resource type in use is wanted", resource)
}

// hollow finds the first value without content in compact JSON: null, {}, [] or
// "". It gives the name of the member that holds it.
func hollow(text []byte) (member, what string) {
	from, to := 0, 0 // the last member name
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case '"':
			end := i + 1 + stringEnd(text[i+1:])
			if end+1 < len(text) && text[end+1] == ':' {
				from, to = i+1, end
			} else if end == i+1 {
				what = "an empty text"
			}
			i = end
		case '}':
			if text[i-1] == '{' {
				what = "an empty object"
			}
		case ']':
			if text[i-1] == '[' {
				what = "an empty list"
			}
		case 'n': // of null: no other value has the letter outside a text
			what = "null"
		}
		if what != "" {
			return string(text[from:to]), what
		}
	}
	return "", ""
}

// stringEnd gives the index of the quote that ends a JSON string.
func stringEnd(text []byte) int {
	for from := 0; ; {
		i := bytes.IndexByte(text[from:], '"')
		if i < 0 {
			return len(text)
		}
		end := from + i
		slashes := 0
		for end-1-slashes >= 0 && text[end-1-slashes] == '\\' {
			slashes++
		}
		if slashes%2 == 0 {
			return end
		}
		from = end + 1
	}
}
