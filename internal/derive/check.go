package derive

import (
	"slices"

	"saltmark/internal/finding"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Check makes everything that is derived again from the other facts, and tells every
// difference to what the session says. The session is not changed. Statuses are not
// looked at, except that facts taken back in a session that was not withdrawn count
// for nothing.
func Check(s *record.Session) finding.List {
	w := newWork(s, strip(s))
	w.run()
	c := checker{session: s, work: w, want: make(map[record.Ref]int, len(w.facts))}
	for i := range w.facts {
		if !w.isGone(i) {
			c.want[w.facts[i].Ref] = i
		}
	}
	c.compareAll(takenBack(s, s.Facts))
	c.findings.Sort()
	return c.findings
}

// checker compares a session with what follows from its facts.
type checker struct {
	session  *record.Session
	work     *work
	want     map[record.Ref]int // place in work.facts
	findings finding.List
}

func (c *checker) compareAll(gone []bool) {
	seen := make([]bool, len(c.work.facts))
	for i := range c.session.Facts {
		f := &c.session.Facts[i]
		if i < len(gone) && gone[i] {
			continue
		}
		k, follows := c.want[f.Ref]
		switch {
		case f.Origin == record.Derived && (!follows || seen[k]):
			c.tell("derived-extra", f, "is {}", shown(f.Value), "nothing of the kind follows from the facts, or not twice")
		case follows:
			seen[k] = true
			c.compare(f, &c.work.facts[k])
		}
	}
	for k := range c.work.facts {
		if g := &c.work.facts[k]; !seen[k] && g.Origin == record.Derived && !c.work.isGone(k) {
			c.tell("derived-missing", g, "is not there", "", "it follows from the facts: "+shown(g.Value))
		}
	}
}

// compare tells how a fact differs from what follows.
func (c *checker) compare(f, follows *record.Fact) {
	c.compareValue(f, follows)
	if f.Label != follows.Label {
		c.tell("label-wrong", f, "carries the label {}", labelled(f.Label), "the table of flow labels gives "+labelled(follows.Label))
	}
	if f.Origin != record.Derived {
		return
	}
	if f.At != follows.At {
		c.tell("derived-time", f, "is dated {}", string(f.At), "the facts that it is made from give "+dated(follows.At))
	}
	if f.Method != follows.Method {
		c.tell("derived-method", f, "names the method {}", f.Method, "the one used is "+named(follows.Method))
	}
	if !sameRefs(f.From, follows.From) {
		c.tell("derived-sources", f, "is said to be made from {}", refs(f.From), "it is made from "+refs(follows.From))
	}
}

// compareValue tells a wrong value, a value that is withheld or charted wrongly.
func (c *checker) compareValue(f, follows *record.Fact) {
	switch {
	case f.Value == follows.Value:
		groundless := f.Origin != record.Derived && withholding(f.Value.Absent.Reason) && c.work.withheldFact(f) == ""
		if groundless {
			c.tell("withheld-wrong", f, "is {}", shown(f.Value), "nothing in the session withholds it")
		}
	case f.Value.IsAbsent() || follows.Value.IsAbsent():
		c.tell("withheld-wrong", f, "is {}", shown(f.Value), "from the facts it is "+shown(follows.Value))
	default:
		c.tell("derived-value", f, "is {}", shown(f.Value), "from the facts it is "+shown(follows.Value))
	}
}

// tell reports a difference. What the words name is the fact's identity; a private
// value stays out of them.
func (c *checker) tell(rule string, f *record.Fact, found, value, allowed string) {
	place := c.session.Places.Of(f.Ref)
	m := measure.Get(f.Measure)
	if m == nil {
		c.findings = append(c.findings, finding.New(rule, place, f.Measure+" "+found, value, allowed))
		return
	}
	if place == (finding.Place{}) && m.In != "" {
		place = c.placeOfCarrier(f, m)
	}
	told := finding.New(rule, place, nameOf(f.Ref)+" "+found, value, allowed)
	if m.Private {
		told = told.Hide()
	}
	c.findings = append(c.findings, told)
}

// placeOfCarrier gives the place of the Observation that a component stands in.
func (c *checker) placeOfCarrier(f *record.Fact, m *measure.Measure) finding.Place {
	for _, about := range []record.Thing{f.About, record.TheSession} {
		if carrier := c.session.Get(about, m.In); carrier != nil {
			return c.session.Places.Of(carrier.Ref)
		}
	}
	return finding.Place{}
}

// nameOf names a fact: "injection 2 blood-flow (reported)".
func nameOf(r record.Ref) string {
	name := string(r.About.Kind)
	if r.About.Key != "" {
		name += " " + r.About.Key
	}
	return name + " " + r.Measure + " (" + string(r.Origin) + ")"
}

// shown writes a value for a finding.
func shown(v record.Value) string {
	switch {
	case v.IsAbsent():
		return "absent, " + v.Absent.Reason
	case v.Quantity != (ucum.Quantity{}):
		return v.Quantity.String()
	case v.Code != "":
		return v.Code
	case v.Text != "":
		return v.Text
	case v.Time != "":
		return string(v.Time)
	case v.Curve != nil:
		return "a curve"
	}
	return "without a value"
}

func labelled(l measure.Label) string {
	switch {
	case l.IsZero():
		return "none"
	case l.Reason != "":
		return l.Code() + " (" + l.Reason + ")"
	}
	return l.Code()
}

func dated(t record.Time) string {
	if t == "" {
		return "no time of its own"
	}
	return string(t)
}

func named(method string) string {
	if method == "" {
		return "that of its measure"
	}
	return method
}

func refs(from []record.Ref) string {
	if len(from) == 0 {
		return "nothing"
	}
	names := ""
	for i, r := range sorted(from) {
		if i > 0 {
			names += ", "
		}
		names += nameOf(r)
	}
	return names
}

// sameRefs compares what facts were made from, in whatever order.
func sameRefs(a, b []record.Ref) bool {
	return slices.Equal(a, b) || len(a) == len(b) && slices.Equal(sorted(a), sorted(b))
}

func sorted(from []record.Ref) []record.Ref {
	return slices.SortedFunc(slices.Values(from), record.Ref.Compare)
}
