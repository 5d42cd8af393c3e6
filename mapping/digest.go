package mapping

import (
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"strings"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// A bundle carries a digest of what it states, in its Provenance: much of that stands
// alone (a volume, a name, a sample of a curve), so that nothing else in the bundle tells
// when it is changed. The digest finds what was lost or damaged on the way. It is no
// signature: who changes facts on purpose can make it anew.

// Digest gives the SHA-256, in hex, of the text of a session that was read back: its
// fields and its facts, and the hashes of what the bundle was made from. A bundle that
// nobody changed has it under FactsHashSystem. Only the hashes of the options count.
func Digest(s *record.Session, o Options) string {
	s = inOrderOfFacts(s)
	t := &factsText{}
	t.session(s, o)
	for i := range s.Facts {
		t.fact(&s.Facts[i])
	}
	return t.digest()
}

// digest gives the Digest of what is written of the session.
func (w *writer) digest() string {
	s := w.carried()
	t := &factsText{}
	t.session(s, w.options)
	for _, f := range s.Facts {
		t.fact(&f)
	}
	return t.digest()
}

// carried gives the session as the bundle holds it: without what the options leave out,
// and with what they fill in.
func (w *writer) carried() *record.Session {
	s := *w.session
	o := &w.options
	s.Patient = carriedReference(s.Patient, o.Systems.Patient, o.Subject)
	s.Encounter = carriedReference(s.Encounter, o.Systems.Encounter, o.Encounter)
	s.Order = carriedReference(s.Order, o.Systems.Order, Logical)
	s.Devices = make([]record.Device, len(w.session.Devices))
	for i, d := range w.session.Devices {
		if !d.Reference.IsZero() {
			d = record.Device{Role: monitorRole, Key: d.Key, Reference: carriedReference(d.Reference, o.Systems.Device, Logical)}
		}
		s.Devices[i] = d
	}
	s.Facts = make([]record.Fact, 0, len(w.session.Facts))
	for _, observed := range w.list {
		s.Facts = append(s.Facts, w.carriedFact(observed.fact, observed.row))
		for _, part := range observed.parts {
			s.Facts = append(s.Facts, record.Fact{Ref: part.Ref, Value: carriedValue(part.Value), Status: observed.fact.Status})
		}
	}
	s.Sort()
	return &s
}

// carriedFact gives a fact with an Observation of its own as that holds it.
func (w *writer) carriedFact(f *record.Fact, m *measure.Measure) record.Fact {
	carried := *f
	carried.Value = carriedValue(f.Value)
	carried.From = nil
	for _, from := range f.From {
		if _, written := w.uuids[from]; written {
			carried.From = append(carried.From, from)
		}
	}
	if f.Method == w.stated.usualMethod(f, m) {
		carried.Method = ""
	}
	return carried
}

func carriedValue(v record.Value) record.Value {
	if v.IsAbsent() {
		return record.Value{Absent: v.Absent}
	}
	return v
}

// carriedReference gives a reference with the system that stands in the bundle.
func carriedReference(r record.Reference, system string, mode ReferenceMode) record.Reference {
	switch {
	case mode == None:
		return record.Reference{}
	case r.Value == "":
		r.System = ""
	case r.System == "":
		r.System = system
	}
	return r
}

// factsText is the text that the digest is of: a line for each field and each fact, with
// a tab between its cells. In a cell a backslash stands before n, t and another backslash
// for a line feed, a tab and a backslash.
type factsText struct{ b strings.Builder }

// factsTextHead names the form of the text; it changes when the form does.
const factsTextHead = "saltmark-facts 1"

var escapes = strings.NewReplacer("\\", `\\`, "\n", `\n`, "\t", `\t`)

func (t *factsText) line(cells ...string) {
	for i, c := range cells {
		if i > 0 {
			t.b.WriteByte('\t')
		}
		if strings.ContainsAny(c, "\\\n\t") {
			c = escapes.Replace(c)
		}
		t.b.WriteString(c)
	}
	t.b.WriteByte('\n')
}

func (t *factsText) digest() string {
	sum := sha256.Sum256([]byte(t.b.String()))
	return hex.EncodeToString(sum[:])
}

func (t *factsText) session(s *record.Session, o Options) {
	t.line(factsTextHead)
	t.line("session", s.ID, strconv.Itoa(s.Revision), strconv.FormatBool(s.Test), string(s.Start), string(s.End), string(s.ReportStatus))
	t.line("entered", s.EnteredBy, string(s.EnteredAt))
	for _, r := range []struct {
		what string
		to   record.Reference
	}{{"patient", s.Patient}, {"encounter", s.Encounter}, {"order", s.Order}} {
		t.line(r.what, r.to.System, r.to.Value, r.to.Literal)
	}
	t.line("operator", s.Operator)
	if v := &s.Verification; v.By != "" {
		t.line("verified", v.By, string(v.At), strconv.Itoa(v.Revision))
	}
	if w := &s.Withdrawal; s.Withdrawn() {
		t.line("withdrawn", w.By, string(w.At), w.Reason, strconv.FormatBool(w.NeverMeasured))
	}
	if c := &s.Change; c.Revision != 0 {
		t.line("changed", strconv.Itoa(c.Revision))
		if c.Flow.Number != "" {
			t.line("before", c.Flow.Number, c.Flow.Unit, c.Label.Code(), c.Label.Reason)
		}
	}
	for i := range s.Devices {
		d := &s.Devices[i]
		t.line("device", d.Role, d.Key, d.Model, d.Serial, d.Version, d.Lot, string(d.Expiry), d.Reference.System, d.Reference.Value, d.Reference.Literal)
	}
	t.line("made-from", o.SourceHash, o.SettingsHash, o.TableHash)
}

func (t *factsText) fact(f *record.Fact) {
	label, reason := "", ""
	if !f.Label.IsZero() {
		label, reason = f.Label.Code(), f.Label.Reason
	}
	t.line("fact", Identity("", f.Ref), string(f.Status), label, reason, string(f.At), f.Method, f.Obtained)
	switch v := &f.Value; {
	case v.IsAbsent():
		t.line("absent", v.Absent.Reason, v.Absent.Bound.Number, v.Absent.Bound.Unit)
	case v.Curve != nil:
		c := v.Curve
		t.line("curve", c.Origin.Number, c.Origin.Unit, c.Period, c.Factor, c.LowerLimit, c.UpperLimit, string(c.Start), string(c.End),
			c.FileHash, strconv.FormatBool(c.ResampledFromUnequal), c.Data)
	case v.Quantity != record.Quantity{}:
		t.line("quantity", v.Quantity.Number, v.Quantity.Unit)
	case v.Code != "":
		t.line("code", v.Code)
	case v.Text != "":
		t.line("text", v.Text)
	case v.Time != "":
		t.line("time", string(v.Time))
	}
	for _, from := range f.From {
		t.line("from", Identity("", from))
	}
}
