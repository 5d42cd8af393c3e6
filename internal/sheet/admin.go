package sheet

import "saltmark/mapping/record"

// field is one row of the table of what is no measure.
type field struct {
	path string
	form form
	// at gives where the value lives in the session: *string, *record.Time, *int or
	// *bool. It is nil for what is on the sheet and not in the record.
	at    func(*record.Session) any
	words []string
	// list is the role of the devices of which the list around the field has one
	// in each element; at then speaks of the last device of the session.
	list string
}

// Roles of devices.
const (
	monitorRole    = "monitor"
	loopRole       = "loop"
	disposableRole = "disposable"
)

// admin is the table, in the order in which fields are written.
var admin = []field{
	{path: "saltmark", form: asVersion},
	{path: "session.id", form: asName, at: func(s *record.Session) any { return &s.ID }},
	{path: "session.test", form: asYesNo, at: func(s *record.Session) any { return &s.Test }},
	{path: "session.revision", form: asWhole, at: func(s *record.Session) any { return &s.Revision }},
	{path: "session.start", form: asMoment, at: func(s *record.Session) any { return &s.Start }},
	{path: "session.end", form: asMoment, at: func(s *record.Session) any { return &s.End }},
	{path: "session.entered.at", form: asMoment, at: func(s *record.Session) any { return &s.EnteredAt }},
	{path: "session.entered.by", form: asIdentifier, at: func(s *record.Session) any { return &s.EnteredBy }},
	{path: "session.order.identifier", form: asIdentifier, at: func(s *record.Session) any { return &s.Order.Value }},
	{path: "session.order.system", form: asURI, at: func(s *record.Session) any { return &s.Order.System }},
	{path: "session.order.reference", form: asReference, words: []string{"ServiceRequest"}, at: func(s *record.Session) any { return &s.Order.Literal }},
	{path: "session.withdrawn.by", form: asIdentifier, at: func(s *record.Session) any { return &s.Withdrawal.By }},
	{path: "session.withdrawn.at", form: asMoment, at: func(s *record.Session) any { return &s.Withdrawal.At }},
	{path: "session.withdrawn.reason", form: asText, at: func(s *record.Session) any { return &s.Withdrawal.Reason }},
	{path: "session.withdrawn.never-measured", form: asYesNo, at: func(s *record.Session) any { return &s.Withdrawal.NeverMeasured }},
	{path: "patient.identifier", form: asIdentifier, at: func(s *record.Session) any { return &s.Patient.Value }},
	{path: "patient.system", form: asURI, at: func(s *record.Session) any { return &s.Patient.System }},
	{path: "patient.reference", form: asReference, words: []string{"Patient"}, at: func(s *record.Session) any { return &s.Patient.Literal }},
	{path: "encounter.identifier", form: asIdentifier, at: func(s *record.Session) any { return &s.Encounter.Value }},
	{path: "encounter.system", form: asURI, at: func(s *record.Session) any { return &s.Encounter.System }},
	{path: "encounter.reference", form: asReference, words: []string{"Encounter"}, at: func(s *record.Session) any { return &s.Encounter.Literal }},
	{path: "operator", form: asIdentifier, at: func(s *record.Session) any { return &s.Operator }},
	{path: "verified.by", form: asIdentifier, at: func(s *record.Session) any { return &s.Verification.By }},
	{path: "verified.at", form: asMoment, at: func(s *record.Session) any { return &s.Verification.At }},
	{path: "verified.revision", form: asWhole, at: func(s *record.Session) any { return &s.Verification.Revision }},
	{path: "monitor.name", form: asName, at: func(s *record.Session) any { return &monitor(s).Key }},
	{path: "monitor.software", form: asText, at: func(s *record.Session) any { return &monitor(s).Version }},
	{path: "loop.disposables.name", form: asName, list: disposableRole, at: func(s *record.Session) any { return &last(s).Key }},
	{path: "loop.disposables.model", form: asText, list: disposableRole, at: func(s *record.Session) any { return &last(s).Model }},
	{path: "loop.disposables.lot", form: asText, list: disposableRole, at: func(s *record.Session) any { return &last(s).Lot }},
	{path: "loop.disposables.expiry", form: asDay, list: disposableRole, at: func(s *record.Session) any { return &last(s).Expiry }},
	{path: "injections.trace.file", form: asFile},
	{path: "injections.trace.arterial", form: asCode, words: traceUnits},
	{path: "injections.trace.venous", form: asCode, words: traceUnits},
}

// traceUnits are the units of a trace: volume fraction, per cent, speed of sound.
var traceUnits = []string{"1", "%", "m/s"}

// monitor gives the monitor among the devices, added where it is missing.
func monitor(s *record.Session) *record.Device {
	for i := range s.Devices {
		if s.Devices[i].Role == monitorRole {
			return &s.Devices[i]
		}
	}
	s.Devices = append(s.Devices, record.Device{Role: monitorRole})
	return last(s)
}

func last(s *record.Session) *record.Device { return &s.Devices[len(s.Devices)-1] }
