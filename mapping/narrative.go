package mapping

import (
	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/r4"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// line gives the one-line narrative of an Observation: the first of lines that is
// short enough.
func (w *writer) line(f *record.Fact, m *measure.Measure) *fhir.Narrative {
	return w.oneLine(w.lines(f, m)...)
}

// lines say of a fact what, how much, which flow it stands for and its status, the
// longest first. A line too long is made shorter by saying less of the label and then
// no value at all, never by a value without its label.
func (w *writer) lines(f *record.Fact, m *measure.Measure) []string {
	in := w.options.Language
	what := m.WordsFor(f.About.Key, in)
	if w.coder.fromCurve(f) && m.Kind != measure.Group {
		what += ", " + measure.WordsOf("origin", string(record.Recomputed), in)
	}
	if f.About != record.TheSession {
		what = measure.KindWords(f.About.Kind, in) + " " + f.About.Key + ": " + what
	}
	if f.Status.TakenBack() {
		what = w.fill(say.lineTakenBack, "what", what)
	}
	alone := statusWords[f.Status].In(in)
	status := ", " + alone
	shown := w.shownValue(f.Value, m)
	switch {
	case shown == "":
		return []string{what + status, alone}
	case f.Label.IsZero():
		return []string{what + ": " + shown + status, what + status, alone}
	}
	labelled := what + ": " + shown + " (" + w.fill(say.lineStandsFor, "code", f.Label.Code()) + ")"
	lines := []string{what + ": " + shown + " (" + f.Label.Words(in) + ")" + status, labelled + status}
	if f.Status.TakenBack() { // which its first words have said
		lines = append(lines, labelled)
	}
	return append(lines, what+status, alone)
}

// fill puts values into a phrase in the language of the bundle.
func (w *writer) fill(phrase wording, pairs ...string) string {
	return fill(phrase.In(w.options.Language), pairs...)
}

// oneLine gives the first of the texts that a line can hold.
func (w *writer) oneLine(texts ...string) *fhir.Narrative {
	var last error
	for _, text := range texts {
		n, err := r4.Line(text)
		if err == nil {
			return n
		}
		last = err
	}
	w.fail(last)
	return nil
}

// shownValue gives a value in words, "" for what a line does not show.
func (w *writer) shownValue(v record.Value, m *measure.Measure) string {
	switch {
	case v.IsAbsent():
		reason, _ := measure.ReasonOf(v.Absent.Reason)
		return w.fill(say.lineWithheld, "why", reason.Words.In(w.options.Language))
	case m.Kind == measure.Quantity:
		return spoken(v.Quantity)
	case m.Kind == measure.Code:
		return measure.WordsOf(m.Values, v.Code, w.options.Language)
	case m.Kind == measure.Text:
		return v.Text
	case m.Kind == measure.Time || m.Kind == measure.Date:
		return string(v.Time)
	}
	return ""
}

// clock gives the time of day at the place where it was written down.
func clock(t record.Time) string {
	if t == "" || t.IsDate() {
		return string(t)
	}
	return t.Go().Format("15:04")
}
