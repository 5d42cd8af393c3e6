package mapping

import (
	"errors"
	"fmt"
	"slices"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/language"
	"saltmark/internal/r4"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Write gives a settled session in the form, and by the mode, of the options. An error
// says what the session lacks, or which options do not go together or with it, and
// never a value of it. What stands against a session under options is told by Refuse
// too, as findings.
func Write(s *record.Session, o Options) ([]byte, error) {
	if err := o.Check(); err != nil {
		return nil, err
	}
	if err := check(s); err != nil {
		return nil, err
	}
	if !language.Known(o.Language.Code()) {
		return nil, fmt.Errorf("the session cannot be written in the language %q", o.Language)
	}
	if refused := Refuse(s, o); len(refused) > 0 {
		return nil, fmt.Errorf("session %s: %s", s.ID, refused[0].Sentence(false))
	}
	s = inOrderOfFacts(s)
	w := newWriter(s, o.complete())
	list, places, err := observationsOf(s.Facts)
	if err != nil {
		return nil, err
	}
	w.places = places
	w.national = nationalClaims(s, w.coder, list)
	w.choose(list)
	w.devices()
	w.procedure()
	for _, o := range inOrder(w.list) {
		as := w.written[o.fact.Ref]
		w.addUnder(o.identity, as.uuid, as.to, w.observation(o, as.uuid))
	}
	w.report()
	if w.form.form == Document {
		w.composition()
	}
	w.provenance()
	if w.err != nil {
		return nil, fmt.Errorf("session %s: %w", s.ID, w.err)
	}
	return w.encode()
}

// inOrderOfFacts gives the session with its facts in order, so that the bundle does
// not hang on how they came.
func inOrderOfFacts(s *record.Session) *record.Session {
	if s.IsSorted() {
		return s
	}
	ordered := *s
	ordered.Facts = slices.Clone(s.Facts)
	ordered.Sort()
	return &ordered
}

// check tells what a session lacks that no bundle can do without.
func check(s *record.Session) error {
	lacks := []struct {
		lacks bool
		what  string
	}{
		{!checkSession(s.ID), "an identifier of letters, digits, full stops, underscores and hyphens"},
		{s.Revision < 1, "a revision from 1"},
		{s.Start == "" || s.End == "", "a start and an end"},
		{s.Patient.Value == "" && s.Patient.Literal == "", "a patient"},
		{(s.EnteredBy == "") != (s.EnteredAt == ""), "a time of entry together with the person who entered it"},
		{s.Find(record.TheSession, panelKey, record.Derived) == nil, "its panel: derivation comes first"},
		{s.Withdrawn() && (s.Withdrawal.At == "" || s.Withdrawal.Reason == ""), "the time and the reason of its withdrawal"},
		{s.ReportStatus == "", "the status of its report: settling comes first"},
	}
	for _, l := range lacks {
		if l.lacks {
			return errors.New("the session cannot be written; it lacks " + l.what)
		}
	}
	return nil
}

// writer gathers the entries of one bundle. Of several faults it keeps the first.
type writer struct {
	session *record.Session
	options Options
	form    formRow
	mode    modeRow
	naming  naming
	coder   coder
	stated  statedCodes
	// national are the published profiles that values claim.
	national map[record.Ref]terms.Profile
	all      []observed // in the order of facts
	places   []int      // in all, of the Observation in which each fact of the session stands
	list     []observed // what is written of all
	written  map[record.Ref]writtenAs
	entries  []r4.Entry
	targets  []fhir.Reference // to what entries hold
	err      error

	// What many resources share.
	language   *string
	meta       *fhir.Meta
	subject    *fhir.Reference
	encounter  *fhir.Reference
	basedOn    []fhir.Reference
	performer  []fhir.Reference
	issued     *string
	period     *fhir.Period
	monitor    *fhir.Reference
	software   fhir.Reference
	used       []fhir.Reference // loop and disposables, for the Procedure
	partOf     []fhir.Reference
	notes      []fhir.Annotation
	categories map[string]fhir.CodeableConcept
	labels     map[measure.Label]fhir.CodeableConcept
	concepts   map[conceptKey]*fhir.CodeableConcept
	locals     map[string]*fhir.CodeableConcept // of our codes
	times      map[record.Time]*string
	metas      map[metaKey]*fhir.Meta
}

func newWriter(s *record.Session, o Options) *writer {
	w := &writer{
		session: s, options: o, form: *rowOfForm(o.Form), mode: *rowOfMode(o.Mode), naming: namingOf(o),
		coder: newCoder(s, o.Base).with(o.Codings), stated: codesStated(standingSession(s).Facts),
		categories: map[string]fhir.CodeableConcept{},
		labels:     map[measure.Label]fhir.CodeableConcept{},
		concepts:   map[conceptKey]*fhir.CodeableConcept{},
		locals:     map[string]*fhir.CodeableConcept{},
		times:      map[record.Time]*string{},
		metas:      map[metaKey]*fhir.Meta{},
	}
	w.language = new(o.Language.Code())
	if s.Test {
		w.meta = &fhir.Meta{Security: []fhir.Coding{r4.Coding(terms.SystemActReason, testCode, "")}}
	}
	w.subject = w.reference("Patient", s.Patient, o.Systems.Patient, o.Subject)
	w.encounter = w.reference("Encounter", s.Encounter, o.Systems.Encounter, o.Encounter)
	if order := w.reference("ServiceRequest", s.Order, o.Systems.Order, Logical); order != nil {
		w.basedOn = []fhir.Reference{*order}
	}
	if s.Operator != "" {
		w.performer = []fhir.Reference{w.person(s.Operator)}
	}
	if s.Verified() {
		w.issued = w.instant(s.Verification.At)
	}
	w.period = &fhir.Period{Start: w.time(s.Start), End: w.time(s.End)}
	w.partOf = []fhir.Reference{w.to("Procedure", w.own(loopSuffix))}
	if s.Withdrawn() {
		w.notes = []fhir.Annotation{w.withdrawal()}
	}
	return w
}

// writtenAs is how the Observation of a fact is named, and what others refer to it by.
type writtenAs struct {
	uuid string
	to   fhir.Reference
}

// choose keeps what the options ask for and gives each Observation its UUID.
func (w *writer) choose(list []observed) {
	w.written = make(map[record.Ref]writtenAs, len(list))
	w.all, w.list = list, make([]observed, 0, len(list))
	for i := range list {
		if o := &list[i]; w.options.writes(partOf(o.fact.About, o.row)) {
			o.identity = Identity(w.session.ID, o.fact.Ref)
			w.list = append(w.list, *o)
			uuid := UUIDOf(w.options.Systems.Session, o.identity)
			w.written[o.fact.Ref] = writtenAs{uuid, w.to("Observation", uuid)}
		}
	}
}

// fail keeps the first fault.
func (w *writer) fail(err error) {
	if w.err == nil {
		w.err = err
	}
}

// own gives the UUID of a resource of the session that is no Observation.
func (w *writer) own(suffix string) string {
	return UUIDOf(w.options.Systems.Session, w.session.ID+"/"+suffix)
}

// identifier gives the business identifier of a resource.
func (w *writer) identifier(system, value string) []fhir.Identifier {
	id, err := r4.Identifier(system, value)
	if err != nil {
		w.fail(err)
	}
	return []fhir.Identifier{id}
}

// reference gives the reference to what the hospital's record holds: literal where
// it was given so; else as the mode says. It is nil for none.
func (w *writer) reference(resource string, r record.Reference, system string, mode ReferenceMode) *fhir.Reference {
	if r.IsZero() || mode == None {
		return nil
	}
	if r.System != "" {
		system = r.System
	}
	to := fhir.Reference{Type: &resource}
	if r.Literal != "" {
		to.Reference = &r.Literal
	}
	switch {
	case r.Literal == "" && mode == Search:
		to.Reference = new(resource + "?" + identifierQuery(system, r.Value))
	case r.Value != "":
		to.Identifier = &fhir.Identifier{System: &system, Value: &r.Value}
	}
	return &to
}

// person gives the logical reference to a person.
func (w *writer) person(id string) fhir.Reference {
	return r4.ReferenceLogical("Practitioner", fhir.Identifier{System: &w.options.Systems.Person, Value: &id})
}

// withdrawal gives the note on why the session was taken back.
func (w *writer) withdrawal() fhir.Annotation {
	by := w.person(w.session.Withdrawal.By)
	return fhir.Annotation{AuthorReference: &by, Time: w.time(w.session.Withdrawal.At), Text: w.session.Withdrawal.Reason}
}

// time gives a dateTime as it was written, nil for none.
func (w *writer) time(t record.Time) *string {
	if t == "" {
		return nil
	}
	text, known := w.times[t]
	if !known {
		if _, err := t.Parse(); err != nil {
			w.fail(errors.New("a time has no form that FHIR knows"))
		}
		text = new(string(t))
		w.times[t] = text
	}
	return text
}

// instant gives a time that must be whole.
func (w *writer) instant(t record.Time) *string {
	if t.IsDate() {
		w.fail(errors.New("a date stands where a time of day is wanted"))
	}
	return w.time(t)
}
