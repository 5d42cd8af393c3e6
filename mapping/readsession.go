package mapping

import (
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// contextSuffix is the identity of the shunt context behind that of the session.
var contextSuffix = strings.TrimPrefix(Identity("", contextRef), "/")

// readPanel reads the fields of the session that the panel carries.
func (r *reader) readPanel() {
	if r.panel == nil {
		return
	}
	s, n, at := r.session, r.panel.node, r.panel.pointer
	for _, c := range r4.Items(n.Get("meta"), "security") {
		s.Test = s.Test || r4.Text(c, "system") == terms.SystemActReason && r4.Text(c, "code") == testCode
	}
	period := n.Get("effectivePeriod")
	s.Start, s.End = r.time(period.Get("start"), at+"/effectivePeriod/start"), r.time(period.Get("end"), at+"/effectivePeriod/end")
	s.Patient = reference(n.Get("subject"))
	s.Encounter = reference(n.Get("encounter"))
	for _, order := range r4.Items(n, "basedOn") {
		s.Order = reference(order)
	}
	for _, who := range r4.Items(n, "performer") {
		s.Operator = person(who)
	}
	for i, c := range r4.Items(n, "component") {
		pointer := at + "/component/" + strconv.Itoa(i)
		switch r4.Code(c.Get("code"), r.base+measure.MeasureCodes) {
		case revisionCode:
			s.Revision = r.whole(c.Get("valueInteger"), pointer)
		case verifiedRevisionCode:
			s.Verification.Revision = r.whole(c.Get("valueInteger"), pointer)
		case verifiedAtCode:
			s.Verification.At = r.time(c.Get("valueDateTime"), pointer)
		case changedInCode:
			s.Change.Revision = r.whole(c.Get("valueInteger"), pointer)
		case flowBeforeCode:
			s.Change.Flow = r.quantity(c.Get("valueQuantity"), pointer, measure.Get(flowKey()))
			if e := r.extension(c, labelExtension); e != nil {
				s.Change.Label = r.label(e.Get("valueCodeableConcept"), pointer+"/extension")
			}
		}
	}
	r.readWithdrawal()
}

// readWithdrawal reads from the note of a panel that was taken back.
func (r *reader) readWithdrawal() {
	status := record.Status(r.panel.text("status"))
	if !status.TakenBack() {
		return
	}
	r.session.Withdrawal.NeverMeasured = status == record.Cancelled
	for i, note := range r4.Items(r.panel.node, "note") {
		w := &r.session.Withdrawal
		w.By = person(note.Get("authorReference"))
		w.At = r.time(note.Get("time"), r.panel.pointer+"/note/"+strconv.Itoa(i)+"/time")
		w.Reason = r4.Text(note, "text")
	}
}

func (r *reader) whole(n *source.Node, pointer string) int {
	if n != nil && n.Kind == source.Number {
		if i, err := strconv.Atoi(n.Text); err == nil && i > 0 {
			return i
		}
	}
	r.report("value-unreadable", n, pointer, "a revision is no whole number from 1", "", "")
	return 0
}

// readOthers reads report, Procedure with its devices, and Provenance; and looks
// that all are about one subject.
func (r *reader) readOthers() {
	s := r.session
	if report := r.byOwn[reportSuffix]; report != nil {
		s.ReportStatus = record.Status(report.text("status"))
		if _, ok := reportStatuses[s.ReportStatus]; !ok {
			r.report("status-unknown", report.node.Get("status"), report.pointer+"/status", "the status of the report is {}", string(s.ReportStatus), "")
		}
		for _, who := range r4.Items(report.node, "resultsInterpreter") {
			s.Verification.By = person(who)
		}
	} else {
		r.report("session-incomplete", r.root(), "", "the session has no DiagnosticReport", "", "one is written with each session")
	}
	if procedure := r.byOwn[loopSuffix]; procedure != nil {
		r.readDevices(procedure)
	} else {
		r.report("session-incomplete", r.root(), "", "the session has no Procedure", "", "one is written with each session")
	}
	r.readProvenance()
	r.readSubjects()
	r.lookForGaps()
}

// lookForGaps tells what a session cannot be without.
func (r *reader) lookForGaps() {
	s := r.session
	if r.panel == nil {
		return
	}
	for _, gap := range []struct {
		there bool
		what  finding.Text
	}{
		{s.Revision > 0, "the session has no revision"},
		{s.Start != "" && s.End != "", "the session has no period"},
		{!s.Patient.IsZero(), "the session has no subject"},
		{(s.Verification.By != "") == (s.Verification.Revision > 0), "the session has a verifier without the revision that was verified, or the other way round"},
		{!s.Withdrawn() || s.Withdrawal.At != "" && s.Withdrawal.Reason != "", "the session has a withdrawal without time or reason"},
		{s.Withdrawn() == record.Status(r.panel.text("status")).TakenBack(), "the session has a status of what was taken back without a note on who did so"},
	} {
		if !gap.there {
			r.report("session-incomplete", r.panel.node, r.panel.pointer, gap.what, "", "")
		}
	}
}

func (r *reader) readDevices(procedure *resource) {
	for i, n := range r4.Items(procedure.node, "usedReference") {
		pointer := procedure.pointer + "/usedReference/" + strconv.Itoa(i)
		res := r.byURL[r4.ReferenceText(n)]
		if d, ok := ownDeviceOfRecord(n); res == nil && ok {
			r.session.Devices = append(r.session.Devices, d)
			continue
		}
		if res == nil || res.kind != "Device" {
			r.report("reference-unknown", n, pointer, "a device that was used is not in the bundle", "", "a Device of the bundle")
			continue
		}
		role := r4.Code(res.node.Get("type"), r.base+measure.MeasureCodes)
		d := record.Device{
			Role:   strings.TrimPrefix(role, devicePrefix),
			Serial: res.text("serialNumber"), Lot: res.text("lotNumber"),
			Expiry: r.time(res.node.Get("expirationDate"), res.pointer+"/expirationDate"),
		}
		for _, name := range r4.Items(res.node, "deviceName") {
			switch r4.Text(name, "type") {
			case "user-friendly-name":
				d.Key = r4.Text(name, "name")
			case "model-name":
				d.Model = r4.Text(name, "name")
			}
		}
		for _, version := range r4.Items(res.node, "version") {
			d.Version = r4.Text(version, "value")
		}
		r.session.Devices = append(r.session.Devices, d)
	}
}

// ownDeviceOfRecord reads the reference to a monitor that the record holds itself.
func ownDeviceOfRecord(n *source.Node) (record.Device, bool) {
	d := record.Device{Role: monitorRole, Key: r4.Text(n, "display"), Reference: reference(n)}
	return d, d.Key != "" && (d.Reference.Value != "" || strings.HasPrefix(d.Reference.Literal, "Device/"))
}

// readProvenance reads who entered the session, and when.
func (r *reader) readProvenance() {
	for _, res := range r.resources {
		if res.kind != "Provenance" || !r.targetsOurs(res) {
			continue
		}
		for _, agent := range r4.Items(res.node, "agent") {
			if r4.Code(agent.Get("type"), terms.SystemProvenanceParticipant) == "enterer" {
				r.session.EnteredBy = person(agent.Get("who"))
				r.session.EnteredAt = r.time(res.node.Get("recorded"), res.pointer+"/recorded")
			}
		}
		return
	}
	r.report("session-incomplete", r.root(), "", "the session has no Provenance", "", "one is written with each session")
}

func (r *reader) targetsOurs(res *resource) bool {
	for _, target := range r4.Items(res.node, "target") {
		if to := r.byURL[r4.ReferenceText(target)]; to != nil && to.own != "" {
			return true
		}
	}
	return false
}

// readSubjects looks that every resource of the session is about its patient.
func (r *reader) readSubjects() {
	for _, res := range r.resources {
		if res.own == "" || res.kind == "Device" {
			continue
		}
		if subject := res.node.Get("subject"); r.panel != nil && reference(subject) != r.session.Patient {
			r.report("patient-differs", subject, res.pointer+"/subject", "a resource of the session is about another subject than its panel", "", "one session, one patient")
		}
	}
}

// reference reads a reference to what the hospital's record holds.
func reference(n *source.Node) record.Reference {
	to := record.Reference{
		System: r4.Text(n, "identifier", "system"), Value: r4.Text(n, "identifier", "value"),
		Literal: r4.ReferenceText(n),
	}
	if _, query, ok := strings.Cut(to.Literal, "?"); ok {
		if system, value, ok := readIdentifierQuery(query); ok {
			return record.Reference{System: system, Value: value}
		}
	}
	return to
}

// person reads the reference to a person.
func person(n *source.Node) string { return r4.Text(n, "identifier", "value") }
