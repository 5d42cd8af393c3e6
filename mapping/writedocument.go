package mapping

import (
	"fmt"
	"slices"
	"strings"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/r4"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// A document is what a collection is, under a Composition that says what to read in
// which order. Its sections repeat in words what resources hold, since a person reads
// the words of sections alone; they hold nothing else.

// compositionStatuses are FHIR's, by the status of the report. A Composition has no
// 'corrected' and no 'cancelled'.
var compositionStatuses = map[record.Status]fhir.CompositionStatus{
	record.Partial:        fhir.CompositionStatusPreliminary,
	record.Preliminary:    fhir.CompositionStatusPreliminary,
	record.Final:          fhir.CompositionStatusFinal,
	record.Amended:        fhir.CompositionStatusAmended,
	record.Corrected:      fhir.CompositionStatusAmended,
	record.Cancelled:      fhir.CompositionStatusEnteredInError,
	record.EnteredInError: fhir.CompositionStatusEnteredInError,
}

// CompositionStatus gives the status that the Composition of a document has, in
// FHIR's word, where its report has a status of ours; "" for another.
func CompositionStatus(report record.Status) string {
	status, known := compositionStatuses[report]
	if !known {
		return ""
	}
	return status.Code()
}

// documentIdentity names one edition of the document: a later revision is another.
func documentIdentity(s *record.Session) string {
	return fmt.Sprintf("%s/document/%d", s.ID, s.Revision)
}

// completeDocument says of the bundle which document it is, and when it was put
// together: when the session was entered, so that the same sheet gives the same.
func (w *writer) completeDocument(bundle *fhir.Bundle) {
	id := w.identifier(w.options.Systems.Session, documentIdentity(w.session))
	bundle.Identifier = &id[0]
	bundle.Timestamp = w.instant(recordedAt(w.session))
}

// composition puts the Composition before all other entries.
func (w *writer) composition() {
	s := w.session
	identity := s.ID + "/" + compositionSuffix
	kind := w.local(documentCode)
	c := fhir.Composition{
		Id: w.id(w.own(compositionSuffix)), Meta: w.meta, Language: w.language,
		Identifier: &w.identifier(w.options.Systems.Session, identity)[0],
		Status:     compositionStatuses[s.ReportStatus], Type: kind,
		Subject: w.subject, Encounter: w.encounter,
		Author:   append(slices.Clip(w.performer), w.software),
		Title:    *kind.Text + ", " + day(s.Start) + " " + clock(s.Start),
		Attester: w.attesters(),
		Event:    []fhir.CompositionEvent{{Period: w.period}},
		Section:  w.sections(),
	}
	c.Text = w.paragraphs(c.Title + ", " + statusWords[record.Status(c.Status.Code())].In(w.options.Language))
	if date := w.time(recordedAt(s)); date != nil {
		c.Date = *date
	}
	w.add(identity, c)
	last := len(w.entries) - 1
	w.entries = slices.Insert(w.entries[:last], 0, w.entries[last])
}

// attesters is who verified this revision: a claim of the sheet, no signature.
func (w *writer) attesters() []fhir.CompositionAttester {
	s := w.session
	if !s.Verified() {
		return nil
	}
	who := w.person(s.Verification.By)
	return []fhir.CompositionAttester{{Mode: fhir.CompositionAttestationModeProfessional, Time: w.time(s.Verification.At), Party: &who}}
}

// sections are the parts of the document in the order in which they are to be read;
// one without anything in it is left out.
func (w *writer) sections() []fhir.CompositionSection {
	report := w.to("DiagnosticReport", w.own(reportSuffix))
	sections := []fhir.CompositionSection{w.section(panelKey, append([]fhir.Reference{report}, w.entriesOf(isPanel)...), conclude(w.session, w.options.Language))}
	for _, part := range []struct {
		code string
		has  func(o *observed) bool
	}{
		{labelKey, isOfLabel},
		{injectionsCode, isOfInjection},
		{recordingsCode, isRecording},
	} {
		if entries := w.entriesOf(part.has); len(entries) > 0 {
			sections = append(sections, w.section(part.code, entries, w.inWords(part.has)))
		}
	}
	return sections
}

func isPanel(o *observed) bool { return o.fact.Ref == panelRef }

// isOfLabel tells whether an Observation says which flow the session's number stands
// for, or what is known of shunts.
func isOfLabel(o *observed) bool {
	return o.fact.Ref == contextRef || o.fact.Measure == flowKey() && o.fact.About == record.TheSession
}

func isOfInjection(o *observed) bool {
	return o.fact.About.Kind == measure.Injection && !isRecording(o)
}

func isRecording(o *observed) bool { return o.row.Kind == measure.Curve }

func (w *writer) section(code string, entries []fhir.Reference, words []string) fhir.CompositionSection {
	concept := w.local(code)
	return fhir.CompositionSection{Title: concept.Text, Code: &concept, Text: w.paragraphs(words...), Entry: entries}
}

func (w *writer) entriesOf(has func(*observed) bool) []fhir.Reference {
	var list []fhir.Reference
	for i := range w.list {
		if o := &w.list[i]; has(o) {
			list = append(list, w.written[o.fact.Ref].to)
		}
	}
	return list
}

// inWords gives a paragraph for each Observation: its line, its time and its
// components; of an excluded injection each says so.
func (w *writer) inWords(has func(*observed) bool) []string {
	var paragraphs []string
	for i := range w.list {
		o := &w.list[i]
		if !has(o) {
			continue
		}
		words := []string{w.lines(o.fact, o.row)[0]}
		if at := clock(o.fact.At); at != "" {
			words = append(words, at)
		}
		parts := o.parts
		if cause := w.exclusion(o); cause != nil {
			parts = append(slices.Clip(parts), cause)
		}
		for _, part := range parts {
			m := measure.Get(part.Measure)
			if shown := w.shownValue(part.Value, m); shown != "" {
				words = append(words, m.WordsFor(part.About.Key, w.options.Language)+": "+shown)
			}
		}
		paragraphs = append(paragraphs, strings.Join(words, "; ")+".")
	}
	return paragraphs
}

// exclusion gives why the injection does not count that a value is of; nil where it
// counts, and for the injection itself, which has the cause among its components.
func (w *writer) exclusion(o *observed) *record.Fact {
	if o.fact.About.Kind != measure.Injection || o.row.Kind == measure.Group {
		return nil
	}
	return w.session.Get(o.fact.About, sayExclusion)
}

func (w *writer) paragraphs(texts ...string) *fhir.Narrative {
	narrative, err := r4.Paragraphs(*w.language, texts...)
	if err != nil {
		w.fail(err)
	}
	return narrative
}
