package mapping

import (
	"fmt"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/r4"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// value is what stands in value[x] of an Observation or a component, or why
// nothing does.
type value struct {
	quantity *fhir.Quantity
	concept  *fhir.CodeableConcept
	text     *string
	time     *string
	samples  *fhir.SampledData
	absent   *fhir.CodeableConcept
}

func (w *writer) value(v record.Value, m *measure.Measure) value {
	switch {
	case v.IsAbsent():
		return value{absent: w.absence(v.Absent)}
	case m.Kind == measure.Group:
		return value{}
	case m.Kind == measure.Quantity:
		return value{quantity: w.quantity(v.Quantity)}
	case m.Kind == measure.Code:
		return value{concept: w.coded(m.Values, v.Code)}
	case m.Kind == measure.Text:
		return value{text: w.text(v.Text)}
	case m.Kind == measure.Curve && v.Curve != nil:
		return value{samples: w.samples(v.Curve)}
	case v.Time == "":
		w.fail(fmt.Errorf("%s has no value and no reason for it", m.Key))
	}
	return value{time: w.time(v.Time)}
}

func (w *writer) quantity(q record.Quantity) *fhir.Quantity {
	quantity, err := r4.Quantity(q.Number, wordsOfUnit(q.Unit), q.Unit)
	if err != nil {
		w.fail(err)
	}
	return quantity
}

func (w *writer) text(text string) *string {
	if text == "" {
		w.fail(fmt.Errorf("a text is empty"))
	}
	return &text
}

// coded gives a coded value of ours, with what others have published for it.
func (w *writer) coded(set, c string) *fhir.CodeableConcept {
	key := conceptKey{set, c}
	concept, known := w.concepts[key]
	if !known {
		words := measure.WordsOf(set, c, w.options.Language)
		if words == "" {
			w.fail(fmt.Errorf("%q is no code of the set %q", c, set))
		}
		codings := append(codings(w.options.publishedFor(set, c)), r4.Coding(w.options.Base+measure.ValueCodes, c, ""))
		concept = new(r4.Concept(words, codings...))
		w.concepts[key] = concept
	}
	return concept
}

// local gives a code of ours with its words.
func (w *writer) local(c string) fhir.CodeableConcept {
	concept, known := w.locals[c]
	if !known {
		concept = r4.Coded(w.coder.localSystem, c, wordsOfCodes()[c].In(w.options.Language))
		w.locals[c] = concept
	}
	return *concept
}

// conceptKey names a concept that is made once for a bundle: a code of a set.
type conceptKey struct{ set, code string }

func codings(codes []code) []fhir.Coding {
	list := make([]fhir.Coding, 0, len(codes)+1)
	for _, c := range codes {
		list = append(list, r4.Coding(c.system, c.code, c.display))
	}
	return list
}

// absence gives FHIR's reason and ours, with the bound that a monitor showed.
func (w *writer) absence(a record.Absence) *fhir.CodeableConcept {
	reason, ok := measure.ReasonOf(a.Reason)
	if !ok {
		w.fail(fmt.Errorf("%q is no reason for absence", a.Reason))
	}
	words := reason.Words.In(w.options.Language)
	if a.Bound.Unit != "" {
		words += " (" + spoken(a.Bound) + ")"
	}
	concept := r4.Concept(words,
		r4.Coding(terms.SystemDataAbsentReason, reason.Absent, ""),
		r4.Coding(w.options.Base+measure.ReasonCodes, a.Reason, ""))
	if a.Bound.Unit != "" {
		concept.Extension = []fhir.Extension{r4.ExtensionQuantity(w.options.Base+boundExtension, w.quantity(a.Bound))}
	}
	return &concept
}

func (w *writer) samples(c *record.Curve) *fhir.SampledData {
	data, err := r4.SampledData(r4.Samples{
		Origin: w.quantity(c.Origin), PeriodMS: c.Period, Factor: c.Factor,
		LowerLimit: c.LowerLimit, UpperLimit: c.UpperLimit, Data: c.Data,
	})
	if err != nil {
		w.fail(err)
	}
	return data
}

// label gives a flow label as a concept, with the reason where no flow is named.
func (w *writer) label(l measure.Label) fhir.CodeableConcept {
	concept, known := w.labels[l]
	if !known {
		codings := []fhir.Coding{r4.Coding(w.options.Base+measure.LabelCodesAt, l.Code(), "")}
		words := l.Words(w.options.Language)
		if l.Reason != "" {
			reason, _ := measure.ReasonOf(l.Reason)
			words += ": " + reason.Words.In(w.options.Language)
			codings = append(codings, r4.Coding(w.options.Base+measure.ReasonCodes, l.Reason, ""))
		}
		concept = r4.Concept(words, codings...)
		w.labels[l] = concept
	}
	return concept
}

// spoken gives a quantity as a person writes it.
func spoken(q record.Quantity) string {
	if q.Unit == "1" {
		return q.Number
	}
	return q.Number + " " + wordsOfUnit(q.Unit)
}
