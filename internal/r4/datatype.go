package r4

import (
	"encoding/json"
	"errors"
	"fmt"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"
)

// UCUM is the code system of every unit.
const UCUM = "http://unitsofmeasure.org"

// Quantity gives a value in a unit: its decimal text, the words for the unit, and
// the UCUM code. All three are required, and the system is always written (rule
// qty-3 of R4 asks for it beside a code; vital signs ask for the words too).
func Quantity(value, unit, code string) (*fhir.Quantity, error) {
	n, err := Number(value)
	if err != nil {
		return nil, fmt.Errorf("quantity: %w", err)
	}
	if unit == "" || code == "" {
		return nil, errors.New("quantity: the words of the unit and its UCUM code must be given")
	}
	q := &struct { // in one piece, for a bundle has hundreds
		fhir.Quantity
		value              json.Number
		unit, system, code string
	}{value: n, unit: unit, system: UCUM, code: code}
	q.Quantity = fhir.Quantity{Value: &q.value, Unit: &q.unit, System: &q.system, Code: &q.code}
	return &q.Quantity, nil
}

// Coding gives a code of a system; display "" is left out.
func Coding(system, code, display string) fhir.Coding {
	texts := &[...]string{system, code, display} // in one piece, for a bundle has hundreds
	return fhir.Coding{System: optional(&texts[0]), Code: optional(&texts[1]), Display: optional(&texts[2])}
}

// Coded gives the one code of a system that words stand for, in one piece.
func Coded(system, code, text string) *fhir.CodeableConcept {
	c := &struct {
		fhir.CodeableConcept
		coding [1]fhir.Coding
		texts  [3]string
	}{texts: [...]string{system, code, text}}
	c.coding[0] = fhir.Coding{System: optional(&c.texts[0]), Code: optional(&c.texts[1])}
	c.CodeableConcept = fhir.CodeableConcept{Coding: c.coding[:], Text: optional(&c.texts[2])}
	return &c.CodeableConcept
}

// Concept gives words and the codes that mean the same; text "" is left out.
func Concept(text string, codings ...fhir.Coding) fhir.CodeableConcept {
	return fhir.CodeableConcept{Coding: codings, Text: optional(&text)}
}

// Samples is a series for SampledData. Origin has the unit of the series; the
// numbers are decimal texts, PeriodMS in milliseconds; Factor, LowerLimit and
// UpperLimit may be "". A value is origin + factor x sample.
type Samples struct {
	Origin                                   *fhir.Quantity
	PeriodMS, Factor, LowerLimit, UpperLimit string
	Data                                     string // samples of one dimension, one space between them
}

// SampledData gives a series of one dimension.
func SampledData(s Samples) (*fhir.SampledData, error) {
	if s.Origin == nil || s.Origin.Comparator != nil || s.Data == "" {
		return nil, errors.New("sampled data: an origin without comparator, and samples are wanted")
	}
	period, err := Number(s.PeriodMS)
	if err != nil {
		return nil, fmt.Errorf("sampled data: period: %w", err)
	}
	d := &fhir.SampledData{Origin: *s.Origin, Period: period, Dimensions: 1, Data: &s.Data}
	if d.Factor, err = optionalNumber(s.Factor); err != nil {
		return nil, fmt.Errorf("sampled data: factor: %w", err)
	}
	if d.LowerLimit, err = optionalNumber(s.LowerLimit); err != nil {
		return nil, fmt.Errorf("sampled data: lower limit: %w", err)
	}
	if d.UpperLimit, err = optionalNumber(s.UpperLimit); err != nil {
		return nil, fmt.Errorf("sampled data: upper limit: %w", err)
	}
	return d, nil
}

// optional leaves out an empty text.
func optional(s *string) *string {
	if *s == "" {
		return nil
	}
	return s
}
