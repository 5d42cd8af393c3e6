package mapping

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/r4"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// observationStatuses are FHIR's, by the status of a fact.
var observationStatuses = map[record.Status]fhir.ObservationStatus{
	record.Preliminary:    fhir.ObservationStatusPreliminary,
	record.Final:          fhir.ObservationStatusFinal,
	record.Amended:        fhir.ObservationStatusAmended,
	record.Corrected:      fhir.ObservationStatusCorrected,
	record.Cancelled:      fhir.ObservationStatusCancelled,
	record.EnteredInError: fhir.ObservationStatusEnteredInError,
}

// observation gives the Observation of a fact with its components, under its UUID.
func (w *writer) observation(o observed, uuid string) *r4.Observation {
	f := o.fact
	status, ok := observationStatuses[f.Status]
	if !ok {
		w.fail(fmt.Errorf("%s has no status: settling comes first", f.Measure))
	}
	codes := w.coder.of(nil, f, o.row)
	profile, claims := w.national[f.Ref]
	obs := &r4.Observation{OtherObservation: fhir.OtherObservation{
		Id: w.id(uuid), Meta: w.metaUnder(ProfileOf(o.row), profile), Text: w.line(f, o.row), Identifier: w.identifier(w.options.Systems.Session, o.identity),
		Status: status, Category: w.category(f, o.row),
		Code:    w.codeOf(f, o.row, codes),
		Subject: w.subject, Encounter: w.encounter, Issued: w.issued, Performer: w.performer,
		Note:   w.noteOn(f),
		Method: w.method(f, o.row, codes), BodySite: w.vessel(o.row.Catheter), Device: w.deviceOf(f, o.row),
		DerivedFrom: w.derivedFrom(f),
	}, Component: make([]r4.Component, 0, len(o.parts)+besideAtMost)}
	if obs.Category[0].Coding[0].Code != nil && *obs.Category[0].Coding[0].Code == procedureCategory {
		obs.PartOf = w.partOf
	}
	w.effective(obs, f)
	v := w.value(f.Value, o.row)
	obs.ValueQuantity, obs.ValueCodeableConcept, obs.ValueString, obs.ValueDateTime = v.quantity, v.concept, v.text, v.time
	obs.ValueSampledData, obs.DataAbsentReason = v.samples, v.absent
	w.describe(obs, f, o.row, claims || isVital(codes, o.row))
	for _, part := range o.parts {
		if claims && measure.Get(part.Measure).Kind == measure.Code {
			obs.Extension = append(obs.Extension, w.partAside(part))
			continue
		}
		obs.Component = append(obs.Component, w.component(part))
	}
	if claims {
		w.completeNational(obs, profile)
	}
	if f.Ref == panelRef {
		w.completePanel(obs)
	}
	return obs
}

// besideAtMost is how many components stand beside those that are facts, the panel's
// left out: label, origin and how it was obtained; of a curve its file.
const besideAtMost = 3

func (w *writer) extensionCode(url, code string) r4.Extension {
	return r4.Extension{URL: w.options.Base + url, ValueCode: &code}
}

func (w *writer) extensionConcept(url string, concept fhir.CodeableConcept) r4.Extension {
	return r4.Extension{URL: w.options.Base + url, ValueCodeableConcept: &concept}
}

// codeOf gives the code of a fact, in our words, with the codings of the site behind
// ours.
func (w *writer) codeOf(f *record.Fact, m *measure.Measure, codes []code) fhir.CodeableConcept {
	local := codes[len(codes)-1].code
	codes = w.coder.ofSite(codes, f, m)
	if len(codes) == 1 && !w.coder.fromCurve(f) {
		return w.local(local)
	}
	return r4.Concept(w.coder.textOf(local, f, w.options.Language), codings(codes)...)
}

// procedureCategory is that of what was found by the measurement itself and of
// values used for its calculation.
const procedureCategory = "procedure"

func (w *writer) category(f *record.Fact, m *measure.Measure) []fhir.CodeableConcept {
	names := m.Category
	if usedOnly(f, m) || len(names) == 0 {
		names = []string{procedureCategory}
	}
	if m.MethodFrom != "" {
		if name, known := methodCategories[cmp.Or(f.Method, w.stated.usualMethod(f, m))]; known {
			names = []string{name}
		}
	}
	list := make([]fhir.CodeableConcept, len(names))
	for i, name := range names {
		concept, known := w.categories[name]
		if !known {
			concept = r4.Concept("", r4.Coding(terms.SystemObservationCategory, name, ""))
			w.categories[name] = concept
		}
		list[i] = concept
	}
	return list
}

// effective sets the time at which the value held: a period for the panel and for
// curves only, since viewers leave out periods when they draw a trend.
func (w *writer) effective(obs *r4.Observation, f *record.Fact) {
	switch curve := f.Value.Curve; {
	case f.Ref == panelRef:
		obs.EffectivePeriod = w.period
	case curve != nil:
		obs.EffectivePeriod = &fhir.Period{Start: w.time(curve.Start), End: w.time(curve.End)}
	default:
		obs.EffectiveDateTime = w.time(f.At)
	}
}

// describe adds what is said of a value beside it: label, origin, how it was
// obtained. Where components hold quantities alone, on a vital sign and under a national
// profile, extensions alone say it.
func (w *writer) describe(obs *r4.Observation, f *record.Fact, m *measure.Measure, quantities bool) {
	extend := func(e r4.Extension) { obs.Extension = append(obs.Extension, e) }
	part := func(local string, concept fhir.CodeableConcept) {
		obs.Component = append(obs.Component, r4.Component{Code: w.local(local), ValueCodeableConcept: &concept})
	}
	if !f.Label.IsZero() {
		extend(w.extensionConcept(labelExtension, w.label(f.Label)))
		if !quantities {
			part(labelKey, w.label(f.Label))
		}
	}
	if m.Kind != measure.Group {
		extend(w.extensionCode(originExtension, string(f.Origin)))
		if !quantities {
			part(originCode, *w.coded("origin", string(f.Origin)))
		}
	}
	if f.Obtained != "" {
		if quantities {
			extend(w.extensionCode(obtainedExtension, f.Obtained))
		} else {
			part(obtainedCode, *w.coded("obtained", f.Obtained))
		}
	}
	if f.Value.Curve != nil {
		w.describeCurve(obs, f.Value.Curve)
	}
}

// describeCurve says which file a curve came from, and whether its times were made
// even.
func (w *writer) describeCurve(obs *r4.Observation, c *record.Curve) {
	if c.FileHash != "" {
		obs.Component = append(obs.Component, r4.Component{Code: w.local(curveFileCode), ValueString: &c.FileHash})
	}
	if c.ResampledFromUnequal {
		obs.Component = append(obs.Component, r4.Component{Code: w.local(curveResampledCode), ValueBoolean: new(true)})
		obs.Note = append(obs.Note, fhir.Annotation{Text: w.fill(say.noteResampled)})
	}
}

// component gives a fact that shares time, method and device of its Observation.
func (w *writer) component(f *record.Fact) r4.Component {
	m := measure.Get(f.Measure)
	codes := w.coder.of(nil, f, m)
	v := w.value(f.Value, m)
	c := r4.Component{
		Code:          w.codeOf(f, m, codes),
		ValueQuantity: v.quantity, ValueCodeableConcept: v.concept, ValueString: v.text, ValueDateTime: v.time,
		DataAbsentReason: v.absent,
	}
	if string(f.Origin) != m.DefaultOrigin() {
		c.Extension = []r4.Extension{w.extensionCode(originExtension, string(f.Origin))}
	}
	return c
}

// method says how it was measured, unless a published code that the label allows
// says it already.
func (w *writer) method(f *record.Fact, m *measure.Measure, codes []code) *fhir.CodeableConcept {
	method := f.Method
	if method == "" {
		method = w.stated.usualMethod(f, m)
		if implied := codes[0].system == terms.SystemLOINC && m.LOINC == ""; implied || method == "" {
			return nil
		}
	}
	concept := r4.Concept(wordsOfMethod(method, w.options.Language), append(codings(publishedMethod(method)), r4.Coding(w.options.Base+measure.ValueCodes, method, ""))...)
	return &concept
}

// vessel gives the vessel of a catheter, nil where it is not stated.
func (w *writer) vessel(catheter string) *fhir.CodeableConcept {
	if catheter == "" {
		return nil
	}
	vessel := w.stated[slot{record.Thing{Kind: measure.Catheter, Key: catheter}, vesselKey}]
	if vessel == "" {
		return nil
	}
	return w.coded("vessel", vessel)
}

// deviceOf gives the monitor for what it showed and for what was made of that; none for
// what was computed from a curve, which no monitor showed.
func (w *writer) deviceOf(f *record.Fact, m *measure.Measure) *fhir.Reference {
	if w.coder.fromCurve(f) {
		return nil
	}
	if f.Origin == record.Reported || m.Method != "" {
		return w.monitor
	}
	return nil
}

// derivedFrom names what a fact was made from, and the shunt context of what
// carries a label.
func (w *writer) derivedFrom(f *record.Fact) []fhir.Reference {
	var list []fhir.Reference
	for _, from := range f.From {
		if as, written := w.written[from]; written {
			list = append(list, as.to)
		}
	}
	if as, written := w.written[contextRef]; written && !f.Label.IsZero() {
		list = append(list, as.to)
	}
	return list
}

// noteOn says why a value was taken back, and what a computation was tested on.
func (w *writer) noteOn(f *record.Fact) []fhir.Annotation {
	switch {
	case w.session.Withdrawn():
		return w.notes
	case f.Status.TakenBack():
		return []fhir.Annotation{{Text: w.fill(say.noteNotPart, "revision", strconv.Itoa(w.session.Revision))}}
	case w.coder.fromCurve(f):
		return []fhir.Annotation{{Text: w.fill(say.noteComputed)}}
	}
	return nil
}

// completePanel adds the members of the session and its fields.
func (w *writer) completePanel(obs *r4.Observation) {
	obs.BasedOn = w.basedOn
	for _, o := range w.list {
		if o.fact.Ref != panelRef && (w.session.Withdrawn() || !o.fact.Status.TakenBack()) {
			obs.HasMember = append(obs.HasMember, w.written[o.fact.Ref].to)
		}
	}
	field := func(local string, c r4.Component) {
		c.Code = w.local(local)
		obs.Component = append(obs.Component, c)
	}
	field(revisionCode, r4.Component{ValueInteger: &w.session.Revision})
	if v := &w.session.Verification; v.By != "" {
		field(verifiedRevisionCode, r4.Component{ValueInteger: &v.Revision})
		if v.At != "" {
			field(verifiedAtCode, r4.Component{ValueDateTime: w.time(v.At)})
		}
	}
	w.completeChange(field)
	for _, t := range []struct{ local, text string }{
		{programCode, strings.TrimSpace(w.options.Software.Name + " " + w.options.Software.Version)},
		{tableHashCode, w.options.TableHash},
		{settingsHashCode, w.options.SettingsHash},
	} {
		if t.text != "" {
			field(t.local, r4.Component{ValueString: &t.text})
		}
	}
}

// completeChange adds what the last change after the release took the place of. The
// flow before carries its label, as every flow does.
func (w *writer) completeChange(field func(local string, c r4.Component)) {
	change := &w.session.Change
	if change.Revision == 0 {
		return
	}
	field(changedInCode, r4.Component{ValueInteger: &change.Revision})
	if change.Flow.Number == "" {
		return
	}
	before := r4.Component{ValueQuantity: w.quantity(change.Flow)}
	if !change.Label.IsZero() {
		before.Extension = []r4.Extension{w.extensionConcept(labelExtension, w.label(change.Label))}
	}
	field(flowBeforeCode, before)
}
