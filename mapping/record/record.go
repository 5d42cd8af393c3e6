// Package record holds one measurement session as facts: the noun that travels
// the whole way from sheet to bundle and back.
//
// A Fact is one value about one thing of the session. Sheets are read into
// facts, derivation adds facts, mapping writes them as FHIR and reads FHIR back
// as facts. The package knows no sheet and no resource and computes no value: it
// looks facts up and compares their times.
package record

import (
	"saltmark/internal/finding"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
)

// Quantity is a decimal number as it was written, with its UCUM unit.
type Quantity = ucum.Quantity

// Session is one measurement session of one revision.
type Session struct {
	ID       string // letters, digits, '.', '_' and '-'
	Revision int    // from 1
	Test     bool   // invented data: every resource carries the HTEST label

	Start, End Time
	EnteredAt  Time
	EnteredBy  string // identifier of a person, as are all below

	Patient   Reference
	Encounter Reference // zero = none stated
	Order     Reference // the order that the session answers; zero = none

	Operator     string
	Verification Verification
	Withdrawal   Withdrawal
	Devices      []Device

	// Change is the last one that was made after the session was released;
	// mapping.Settle tells it from the revision before.
	Change Change

	Facts []Fact

	// ReportStatus is the standing of the report on the session; mapping.Settle
	// sets it together with those of the facts.
	ReportStatus Status

	// Places says where fields and facts stand in the document that the session
	// was read from. It takes no part in equality.
	Places Places
}

// Reference points to something that the record holds: by business identifier,
// or by a literal such as "Patient/123".
type Reference struct {
	System, Value string
	Literal       string
}

// IsZero tells that nothing is referred to.
func (r Reference) IsZero() bool { return r == Reference{} }

// Verification is the claim that somebody has checked a revision.
type Verification struct {
	By       string
	At       Time
	Revision int
}

// Verified tells whether this very revision was verified.
func (s *Session) Verified() bool {
	return s.Verification.By != "" && s.Verification.Revision == s.Revision
}

// Withdrawal takes a session back.
type Withdrawal struct {
	By     string
	At     Time
	Reason string
	// NeverMeasured: the measurement did not happen at all.
	NeverMeasured bool
}

// Change is what a revision changed in a session that the record held as verified
// and done. The zero Change is none.
type Change struct {
	Revision int // the one that changed it
	// Flow and Label are those of the session before, where either was corrected;
	// no Number where the session had no flow, or has the same.
	Flow  Quantity
	Label measure.Label
}

// Withdrawn tells whether the session was taken back.
func (s *Session) Withdrawn() bool { return s.Withdrawal.By != "" }

// Device is something that was used: the monitor, the loop, a disposable part.
type Device struct {
	Role    string // "monitor", "loop" or "disposable"
	Key     string // its name in the settings or on the sheet
	Model   string
	Serial  string
	Version string // of the monitor's software
	Lot     string
	Expiry  Time // a date
	// Reference is the record's own Device, which is then referred to and not written:
	// it says model, serial number and version itself. Zero = none; monitors only.
	Reference Reference
}

// Thing is what a fact is about. It is comparable.
type Thing struct {
	Kind measure.About
	Key  string // the injection's number, the level's name, ...; "" for the session
}

// TheSession is the session itself as a thing.
var TheSession = Thing{Kind: measure.Session}

// Origin says how a value came to be.
type Origin string

// The origins of a value.
const (
	Stated     Origin = "stated"     // written down by a person
	Reported   Origin = "reported"   // shown by a monitor
	Recomputed Origin = "recomputed" // computed by us from a trace
	Derived    Origin = "derived"    // computed by us from other facts
	Setting    Origin = "setting"    // supplied by the site's settings
)

// Status is the standing of a fact in the record, in the words of FHIR's
// observation-status. The zero value is unset: not yet settled.
type Status string

// The statuses in use.
const (
	Preliminary    Status = "preliminary"
	Final          Status = "final"
	Amended        Status = "amended"
	Corrected      Status = "corrected"
	Cancelled      Status = "cancelled"
	EnteredInError Status = "entered-in-error"

	// Partial is for the report alone: not verified.
	Partial Status = "partial"
)

// TakenBack tells that the value no longer counts: it stays in the record so that
// readers see what had been there.
func (s Status) TakenBack() bool { return s == EnteredInError || s == Cancelled }

// Ref names a fact by its identity.
type Ref struct {
	About   Thing
	Measure string // key of the measure
	Origin  Origin
}

// Fact is one value about one thing.
type Fact struct {
	Ref
	Value Value
	// At is when it held. A component has none, since it shares that of its
	// Observation; the panel of a session has its start, a curve the curve's.
	At       Time
	Method   string // key of a method where it is not that of the measure's row
	Obtained string // code of the set "obtained", "" = not said
	Status   Status
	Label    measure.Label
	// From names the facts that it was made from, each with an Observation of its
	// own. What carries a label also rests on the shunt context, which is not named.
	From []Ref
	// Kept tells, of a fact that was taken back, under which codes it was charted.
	Kept Kept
}

// Kept tells under which codes a fact was charted that was taken back since: it
// keeps them, whatever the session has become.
type Kept string

// The ways in which a fact was coded.
const (
	KeptAll         Kept = ""            // as its label and value ask for
	KeptUnpublished Kept = "unpublished" // an unanswered sign kept left ventricular codes away
	KeptLocal       Kept = "local"       // it came from a curve: its plain local code alone
)

// Value is exactly one of its fields.
type Value struct {
	Quantity Quantity
	Code     string
	Text     string
	Time     Time
	Curve    *Curve
	Absent   Absence
}

// Absence is why there is no value, with the bound where a monitor showed that
// it was out of range.
type Absence struct {
	Reason string // code of measure.Reasons
	Bound  Quantity
}

// IsAbsent tells that the value is withheld or missing.
func (v Value) IsAbsent() bool { return v.Absent.Reason != "" }

// Curve is a uniform series in the form of FHIR's SampledData: value = Origin +
// Factor x sample, one sample each Period milliseconds from Start.
type Curve struct {
	Origin               Quantity
	Period               string
	Factor               string // "" = 1
	LowerLimit           string
	UpperLimit           string
	Data                 string
	Start, End           Time
	FileHash             string // SHA-256 of the file it was read from, in hex
	ResampledFromUnequal bool
}

// Place is where something stands in a document: file, line and column, or a JSON
// pointer.
type Place = finding.Place

// Places maps a field or fact to its place in the document read. Fields of the
// session have keys such as "patient".
type Places struct {
	Facts  map[Ref]Place
	Fields map[string]Place
}

// Of gives the place of a fact; the zero Place where it is not known.
func (p Places) Of(r Ref) Place { return p.Facts[r] }

// Find gives the fact of that identity, nil where there is none.
func (s *Session) Find(about Thing, key string, origin Origin) *Fact {
	for i := range s.Facts {
		f := &s.Facts[i]
		if f.Measure == key && f.About == about && f.Origin == origin {
			return f
		}
	}
	return nil
}

// Get gives the first fact of a measure about a thing, whatever its origin, nil
// where there is none.
func (s *Session) Get(about Thing, key string) *Fact {
	for i := range s.Facts {
		f := &s.Facts[i]
		if f.Measure == key && f.About == about {
			return f
		}
	}
	return nil
}

// Any tells whether one of the facts is such. They stay where they are, for a Fact is
// large.
func Any(facts []Fact, such func(*Fact) bool) bool {
	for i := range facts {
		if such(&facts[i]) {
			return true
		}
	}
	return false
}

// Things gives the things of a kind in the order in which they first appear.
func (s *Session) Things(kind measure.About) []Thing {
	var things []Thing
	seen := map[Thing]bool{}
	for i := range s.Facts {
		f := &s.Facts[i]
		if f.About.Kind == kind && !seen[f.About] {
			seen[f.About] = true
			things = append(things, f.About)
		}
	}
	return things
}
