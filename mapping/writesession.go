package mapping

import (
	"crypto/sha1"
	"encoding/base64"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/r4"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// procedure adds the measurement itself: the loop, its vessels and devices.
func (w *writer) procedure() {
	s := w.session
	local := w.local(loopSuffix)
	code := r4.Concept(*local.Text, append(codings(w.options.publishedProcedure()), local.Coding...)...)
	p := fhir.Procedure{
		Id: w.id(w.own(loopSuffix)), Meta: w.meta,
		Text:       w.oneLine(w.fill(say.linePeriod, "what", *code.Text, "start", clock(s.Start), "end", clock(s.End)), *code.Text),
		Identifier: w.identifier(w.options.Systems.Session, s.ID+"/"+loopSuffix),
		BasedOn:    w.basedOn, Status: procedureStatus(s), Code: &code,
		Encounter: w.encounter, PerformedPeriod: w.period,
		Report: []fhir.Reference{w.to("DiagnosticReport", w.own(reportSuffix))},
		Note:   w.notes, UsedReference: w.used,
	}
	if w.subject != nil {
		p.Subject = *w.subject
	}
	for _, who := range w.performer {
		p.Performer = append(p.Performer, fhir.ProcedurePerformer{Actor: who})
	}
	for _, catheter := range measure.Catheters {
		if vessel := w.vessel(catheter); vessel != nil {
			p.BodySite = append(p.BodySite, *vessel)
		}
	}
	w.add(s.ID+"/"+loopSuffix, p)
}

// procedureStatus: the measurement has happened, unless the session was filed
// wrongly or there never was one.
func procedureStatus(s *record.Session) fhir.EventStatus {
	switch {
	case s.Withdrawn() && s.Withdrawal.NeverMeasured:
		return fhir.EventStatusNotDone
	case s.Withdrawn():
		return fhir.EventStatusEnteredInError
	}
	return fhir.EventStatusCompleted
}

// reportStatuses are FHIR's, by the status of the report.
var reportStatuses = map[record.Status]fhir.DiagnosticReportStatus{
	record.Partial:        fhir.DiagnosticReportStatusPartial,
	record.Preliminary:    fhir.DiagnosticReportStatusPreliminary,
	record.Final:          fhir.DiagnosticReportStatusFinal,
	record.Amended:        fhir.DiagnosticReportStatusAmended,
	record.Corrected:      fhir.DiagnosticReportStatusCorrected,
	record.Cancelled:      fhir.DiagnosticReportStatusCancelled,
	record.EnteredInError: fhir.DiagnosticReportStatusEnteredInError,
}

// report adds the report: the panel, the shunt context, and the conclusion in
// words, as text and as a form with the same content.
func (w *writer) report() {
	s := w.session
	status, ok := reportStatuses[s.ReportStatus]
	if !ok {
		w.fail(fmt.Errorf("%q is no status of a report", s.ReportStatus))
	}
	paragraphs := conclude(s, w.options.Language)
	conclusion := strings.Join(paragraphs, " ")
	narrative, err := r4.Paragraphs(*w.language, paragraphs...)
	if err != nil {
		w.fail(err)
	}
	form := base64.StdEncoding.EncodeToString([]byte(strings.Join(paragraphs, "\n") + "\n"))
	r := fhir.DiagnosticReport{
		Id: w.id(w.own(reportSuffix)), Meta: w.metaUnder(ReportProfile, terms.Profile{}), Language: w.language, Text: narrative,
		Identifier: w.identifier(w.options.Systems.Session, s.ID+"/"+reportSuffix),
		BasedOn:    w.basedOn, Status: status,
		Category: []fhir.CodeableConcept{r4.Concept("", r4.Coding(terms.SystemDiagnosticSection, "ICU", ""))},
		Code:     w.local(reportSuffix), Subject: w.subject, Encounter: w.encounter,
		EffectivePeriod: w.period, Issued: w.issued, Performer: w.performer,
		Conclusion: &conclusion,
		PresentedForm: []fhir.Attachment{{
			ContentType: new("text/plain; charset=utf-8"), Language: w.language, Data: &form,
		}},
	}
	if len(w.options.Picture) > 0 {
		r.PresentedForm = append(r.PresentedForm, w.picture())
	}
	if s.Verification.By != "" {
		r.ResultsInterpreter = []fhir.Reference{w.person(s.Verification.By)}
	}
	for _, ref := range []record.Ref{panelRef, contextRef} {
		if as, written := w.written[ref]; written {
			r.Result = append(r.Result, as.to)
		}
	}
	if flow := sessionFlow(s); flow != nil && !flow.Label.IsZero() {
		r.ConclusionCode = []fhir.CodeableConcept{w.label(flow.Label)}
	}
	w.add(s.ID+"/"+reportSuffix, r)
}

// picture gives the report's form as a picture. The hash is the SHA-1 that FHIR R4 asks
// for (Attachment.hash); it finds what was damaged, not who did it.
func (w *writer) picture() fhir.Attachment {
	svg := w.options.Picture
	data := base64.StdEncoding.EncodeToString(svg)
	sum := sha1.Sum(svg)
	hash := base64.StdEncoding.EncodeToString(sum[:])
	title := w.fill(say.formPicture)
	return fhir.Attachment{
		ContentType: new(PictureType), Language: w.language, Data: &data,
		Size: new(len(svg)), Hash: &hash, Title: &title,
	}
}

// PictureType is the content type of the picture of a report.
const PictureType = "image/svg+xml"

// provenance adds where all of it came from. It has no business identifier in R4,
// so its id says which session, revision and activity it is of.
func (w *writer) provenance() {
	s := w.session
	activity := activityOf(s)
	uuid := w.own(fmt.Sprintf("provenance/%d/%s", s.Revision, activity))
	p := fhir.Provenance{
		Id: &uuid, Meta: w.meta,
		Text: w.oneLine(
			w.fill(say.lineProvenance, "id", s.ID, "revision", strconv.Itoa(s.Revision)),
			w.fill(say.lineRevision, "revision", strconv.Itoa(s.Revision))),
		OccurredPeriod: w.period,
		Target:         w.targets,
		Activity:       concept(terms.SystemDataOperation, activity),
		Agent:          w.agents(), Entity: w.sources(),
	}
	if recorded := w.instant(recordedAt(s)); recorded != nil {
		p.Recorded = *recorded
	}
	w.entry(uuid, p, updateAt("Provenance", uuid, ""))
}

func activityOf(s *record.Session) string {
	switch {
	case s.Withdrawn():
		return "NULLIFY"
	case s.Revision > 1:
		return "UPDATE"
	}
	return "CREATE"
}

// recordedAt is when somebody entered the session; where that is not stated, the
// last time that is.
func recordedAt(s *record.Session) record.Time {
	for _, t := range []record.Time{s.EnteredAt, s.Withdrawal.At, s.Verification.At, s.End} {
		if t != "" {
			return t
		}
	}
	return ""
}

func concept(system, c string) *fhir.CodeableConcept {
	return new(r4.Concept("", r4.Coding(system, c, "")))
}

// agents are who entered, verified and took back, and the software. Where nobody
// is stated to have entered the session, its operator is its author.
func (w *writer) agents() []fhir.ProvenanceAgent {
	s := w.session
	var agents []fhir.ProvenanceAgent
	add := func(role string, who fhir.Reference) {
		agents = append(agents, fhir.ProvenanceAgent{Type: concept(terms.SystemProvenanceParticipant, role), Who: who})
	}
	switch {
	case s.EnteredBy != "":
		add("enterer", w.person(s.EnteredBy))
	case s.Operator != "":
		add("author", w.person(s.Operator))
	}
	if s.Verified() {
		add("verifier", w.person(s.Verification.By))
	}
	if s.Withdrawn() {
		add("author", w.person(s.Withdrawal.By))
	}
	add("assembler", w.software)
	return agents
}

// sources are the texts that the bundle was made from, by their SHA-256 alone, and last
// the digest of what it states itself.
func (w *writer) sources() []fhir.ProvenanceEntity {
	var list []fhir.ProvenanceEntity
	add := func(system, hash string) {
		if hash == "" {
			return
		}
		id := fhir.Identifier{System: new(w.options.Base + system), Value: &hash}
		list = append(list, fhir.ProvenanceEntity{Role: fhir.ProvenanceEntityRoleSource, What: fhir.Reference{Identifier: &id}})
	}
	add(sheetHashSystem, w.options.SourceHash)
	add(settingsHashSystem, w.options.SettingsHash)
	add(tableHashSystem, w.options.TableHash)
	var files []string
	for _, o := range w.list {
		if c := o.fact.Value.Curve; c != nil && !slices.Contains(files, c.FileHash) {
			files = append(files, c.FileHash)
			add(traceHashSystem, c.FileHash)
		}
	}
	add(FactsHashSystem, w.digest())
	return list
}
