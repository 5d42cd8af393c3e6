package mapping

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"strings"

	"saltmark/internal/source"
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
	t := newFactsText(s)
	t.session(s, o)
	for i := range s.Facts {
		f := &s.Facts[i]
		t.fact(f, f.Status, f.Method)
		for _, from := range f.From {
			t.from(from)
		}
	}
	return t.digest()
}

// digest gives the Digest of what is written of the session: of the facts that stand in
// an Observation, as they stand there.
func (w *writer) digest() string {
	t := newFactsText(w.session)
	t.session(w.carried(), w.options)
	for i := range w.session.Facts {
		f, in := &w.session.Facts[i], &w.all[w.places[i]]
		switch {
		case in.identity == "": // not written
		case in.fact == f:
			w.carriedFact(t, f, in.row)
		default:
			t.fact(&record.Fact{Ref: f.Ref, Value: f.Value}, in.fact.Status, "")
		}
	}
	return t.digest()
}

// carried gives the fields of the session as the bundle holds them: with what the options
// fill in.
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
	return &s
}

// carriedFact adds a fact with an Observation of its own as that holds it.
func (w *writer) carriedFact(t *factsText, f *record.Fact, m *measure.Measure) {
	method := f.Method
	if method == w.stated.usualMethod(f, m) {
		method = ""
	}
	t.fact(f, f.Status, method)
	for _, from := range f.From {
		if _, written := w.written[from]; written {
			t.from(from)
		}
	}
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
type factsText struct{ b []byte }

// newFactsText has room for the text of a session.
func newFactsText(s *record.Session) *factsText {
	const head, each = 2 << 10, 160 // bytes, about
	size := head + each*len(s.Facts)
	for i := range s.Facts {
		if c := s.Facts[i].Value.Curve; c != nil {
			size += len(c.Data)
		}
	}
	return &factsText{b: make([]byte, 0, size)}
}

// factsTextHead names the form of the text; it changes when the form does.
const factsTextHead = "saltmark-facts 1"

// escaped are the characters that a backslash stands before.
const escaped = "\\\n\t"

var escapes = strings.NewReplacer("\\", `\\`, "\n", `\n`, "\t", `\t`)

func (t *factsText) line(cells ...string) {
	for i, c := range cells {
		if i > 0 {
			t.b = append(t.b, '\t')
		}
		t.cell(c)
	}
	t.b = append(t.b, '\n')
}

func (t *factsText) cell(c string) {
	if source.EndOfPlain(c, 0) < len(c) && strings.ContainsAny(c, escaped) {
		c = escapes.Replace(c)
	}
	t.b = append(t.b, c...)
}

func (t *factsText) digest() string {
	sum := sha256.Sum256(t.b)
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

// fact adds a fact with a status and a method, without what it was made from.
func (t *factsText) fact(f *record.Fact, status record.Status, method string) {
	label, reason := "", ""
	if !f.Label.IsZero() {
		label, reason = f.Label.Code(), f.Label.Reason
	}
	t.identity("fact", f.Ref)
	t.b = append(t.b, '\t')
	t.line(string(status), label, reason, string(f.At), method, f.Obtained)
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
}

// from adds one of the facts that the last one was made from.
func (t *factsText) from(from record.Ref) {
	t.identity("from", from)
	t.b = append(t.b, '\n')
}

// identity begins a line of a kind with the identity of a fact in its session.
func (t *factsText) identity(kind string, r record.Ref) {
	t.b = append(append(t.b, kind...), '\t')
	start := len(t.b)
	t.b = appendIdentity(t.b, "", r)
	if bytes.ContainsAny(t.b[start:], escaped) {
		identity := string(t.b[start:])
		t.b = t.b[:start]
		t.cell(identity)
	}
}
