package r4

import (
	"reflect"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"
)

// The resources of which a bundle has a few, and the data types in them, member by member
// as they are ever written. Each tells whether it could: a resource with another member
// goes the long way.

// shortly writes a resource of these types; false for any other.
func (a *appender) shortly(resource any) bool {
	switch r := resource.(type) {
	case *Observation:
		return r.check() == nil && a.observation(r)
	case fhir.Device:
		return a.device(&r)
	case fhir.Procedure:
		return a.procedure(&r)
	case fhir.DiagnosticReport:
		return a.report(&r)
	case fhir.Provenance:
		return a.provenance(&r)
	}
	return false
}

// isBare tells whether nothing is left of a resource from which the members that are
// written were taken.
func isBare(rest any) bool { return reflect.ValueOf(rest).IsZero() }

// head begins a resource with what every one may have.
func (a *appender) head(kind string, id *string, meta *fhir.Meta, language *string, text *fhir.Narrative) {
	a.open()
	a.code("resourceType", kind)
	a.text("id", id)
	one(a, "meta", meta, (*appender).meta)
	a.text("language", language)
	one(a, "text", text, (*appender).narrative)
}

func (a *appender) device(d *fhir.Device) bool {
	rest := *d
	rest.Id, rest.Meta, rest.Text, rest.Identifier, rest.ExpirationDate, rest.LotNumber, rest.SerialNumber = nil, nil, nil, nil, nil, nil, nil
	rest.DeviceName, rest.Type, rest.Version = nil, nil, nil
	if !isBare(rest) {
		return false
	}
	a.head("Device", d.Id, d.Meta, nil, d.Text)
	list(a, "identifier", d.Identifier, (*appender).identifier)
	a.text("expirationDate", d.ExpirationDate)
	a.text("lotNumber", d.LotNumber)
	a.text("serialNumber", d.SerialNumber)
	list(a, "deviceName", d.DeviceName, (*appender).deviceName)
	one(a, "type", d.Type, (*appender).concept)
	list(a, "version", d.Version, (*appender).deviceVersion)
	a.close()
	return true
}

func (a *appender) deviceName(n *fhir.DeviceDeviceName) {
	if n.Id != nil || n.Extension != nil || n.ModifierExtension != nil {
		a.long(n)
		return
	}
	a.open()
	a.code("name", n.Name)
	a.code("type", n.Type.Code())
	a.close()
}

func (a *appender) deviceVersion(v *fhir.DeviceVersion) {
	if v.Id != nil || v.Extension != nil || v.ModifierExtension != nil || v.Type != nil || v.Component != nil {
		a.long(v)
		return
	}
	a.open()
	a.code("value", v.Value)
	a.close()
}

func (a *appender) procedure(p *fhir.Procedure) bool {
	rest := *p
	rest.Id, rest.Meta, rest.Text, rest.Identifier, rest.BasedOn, rest.Status, rest.Code = nil, nil, nil, nil, nil, 0, nil
	rest.Subject, rest.Encounter, rest.PerformedPeriod, rest.Performer = fhir.Reference{}, nil, nil, nil
	rest.BodySite, rest.Report, rest.Note, rest.UsedReference = nil, nil, nil, nil
	if !isBare(rest) {
		return false
	}
	a.head("Procedure", p.Id, p.Meta, nil, p.Text)
	list(a, "identifier", p.Identifier, (*appender).identifier)
	list(a, "basedOn", p.BasedOn, (*appender).reference)
	a.code("status", p.Status.Code())
	one(a, "code", p.Code, (*appender).concept)
	one(a, "subject", &p.Subject, (*appender).reference)
	one(a, "encounter", p.Encounter, (*appender).reference)
	one(a, "performedPeriod", p.PerformedPeriod, (*appender).period)
	list(a, "performer", p.Performer, (*appender).performer)
	list(a, "bodySite", p.BodySite, (*appender).concept)
	list(a, "report", p.Report, (*appender).reference)
	list(a, "note", p.Note, (*appender).annotation)
	list(a, "usedReference", p.UsedReference, (*appender).reference)
	a.close()
	return true
}

func (a *appender) performer(p *fhir.ProcedurePerformer) {
	if p.Id != nil || p.Extension != nil || p.ModifierExtension != nil || p.Function != nil || p.OnBehalfOf != nil {
		a.long(p)
		return
	}
	a.open()
	one(a, "actor", &p.Actor, (*appender).reference)
	a.close()
}

func (a *appender) annotation(n *fhir.Annotation) {
	if n.Id != nil || n.Extension != nil || n.AuthorString != nil {
		a.long(n)
		return
	}
	a.open()
	one(a, "authorReference", n.AuthorReference, (*appender).reference)
	a.text("time", n.Time)
	a.code("text", n.Text)
	a.close()
}

func (a *appender) report(r *fhir.DiagnosticReport) bool {
	rest := *r
	rest.Id, rest.Meta, rest.Language, rest.Text, rest.Identifier, rest.BasedOn, rest.Status = nil, nil, nil, nil, nil, nil, 0
	rest.Category, rest.Code, rest.Subject, rest.Encounter, rest.EffectivePeriod = nil, fhir.CodeableConcept{}, nil, nil, nil
	rest.Issued, rest.Performer, rest.ResultsInterpreter, rest.Result = nil, nil, nil, nil
	rest.Conclusion, rest.ConclusionCode, rest.PresentedForm = nil, nil, nil
	if !isBare(rest) {
		return false
	}
	a.head("DiagnosticReport", r.Id, r.Meta, r.Language, r.Text)
	list(a, "identifier", r.Identifier, (*appender).identifier)
	list(a, "basedOn", r.BasedOn, (*appender).reference)
	a.code("status", r.Status.Code())
	list(a, "category", r.Category, (*appender).concept)
	one(a, "code", &r.Code, (*appender).concept)
	one(a, "subject", r.Subject, (*appender).reference)
	one(a, "encounter", r.Encounter, (*appender).reference)
	one(a, "effectivePeriod", r.EffectivePeriod, (*appender).period)
	a.text("issued", r.Issued)
	list(a, "performer", r.Performer, (*appender).reference)
	list(a, "resultsInterpreter", r.ResultsInterpreter, (*appender).reference)
	list(a, "result", r.Result, (*appender).reference)
	a.text("conclusion", r.Conclusion)
	list(a, "conclusionCode", r.ConclusionCode, (*appender).concept)
	list(a, "presentedForm", r.PresentedForm, (*appender).attachment)
	a.close()
	return true
}

func (a *appender) attachment(t *fhir.Attachment) {
	if t.Id != nil || t.Extension != nil || t.Url != nil || t.Creation != nil {
		a.long(t)
		return
	}
	a.open()
	a.text("contentType", t.ContentType)
	a.text("language", t.Language)
	a.text("data", t.Data)
	a.integer("size", t.Size)
	a.text("hash", t.Hash)
	a.text("title", t.Title)
	a.close()
}

// provenance writes one with a target and an agent, which R4 demands.
func (a *appender) provenance(p *fhir.Provenance) bool {
	rest := *p
	rest.Id, rest.Meta, rest.Text, rest.Target, rest.OccurredPeriod, rest.Recorded = nil, nil, nil, nil, nil, ""
	rest.Activity, rest.Agent, rest.Entity = nil, nil, nil
	if !isBare(rest) || len(p.Target) == 0 || len(p.Agent) == 0 {
		return false
	}
	a.head("Provenance", p.Id, p.Meta, nil, p.Text)
	list(a, "target", p.Target, (*appender).reference)
	one(a, "occurredPeriod", p.OccurredPeriod, (*appender).period)
	a.code("recorded", p.Recorded)
	one(a, "activity", p.Activity, (*appender).concept)
	list(a, "agent", p.Agent, (*appender).agent)
	list(a, "entity", p.Entity, (*appender).entity)
	a.close()
	return true
}

func (a *appender) agent(g *fhir.ProvenanceAgent) {
	if g.Id != nil || g.Extension != nil || g.ModifierExtension != nil || g.Role != nil || g.OnBehalfOf != nil {
		a.long(g)
		return
	}
	a.open()
	one(a, "type", g.Type, (*appender).concept)
	one(a, "who", &g.Who, (*appender).reference)
	a.close()
}

func (a *appender) entity(e *fhir.ProvenanceEntity) {
	if e.Id != nil || e.Extension != nil || e.ModifierExtension != nil || e.Agent != nil {
		a.long(e)
		return
	}
	a.open()
	a.code("role", e.Role.Code())
	one(a, "what", &e.What, (*appender).reference)
	a.close()
}
