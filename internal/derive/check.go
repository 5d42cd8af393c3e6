package derive

import (
	"slices"
	"strings"

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
	const few = 8 // beside those that take the place of what was derived
	w := newWork(s, strip(s, few))
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
		case f.Origin == record.Recomputed && !c.work.fromCurves && isRecomputedValue(f.Measure) && measure.Get(f.Measure).In == "":
			c.tellValue("recomputed-not-wanted", f, "recomputed values are charted only where the site asks for them and the monitor reported nothing")
		case f.Origin == record.Recomputed && f.About.Kind == measure.Injection && isRecomputedValue(f.Measure) && !f.Value.IsAbsent() && c.work.doubted(f.About):
			c.tellValue("withheld-wrong", f, "a fault of the recording makes it doubtful, and no monitor showed one")
		case f.Origin == record.Derived && (!follows || seen[k]):
			c.tellValue("derived-extra", f, "nothing of the kind follows from the facts, or not twice")
		case follows:
			seen[k] = true
			c.compare(f, &c.work.facts[k])
		}
	}
	for k := range c.work.facts {
		if g := &c.work.facts[k]; !seen[k] && g.Origin == record.Derived && !c.work.isGone(k) {
			c.tell("derived-missing", g, "{1} is not there", "", finding.Say("it follows from the facts: {1}", shown(g.Value)))
		}
	}
}

// compare tells how a fact differs from what follows.
func (c *checker) compare(f, follows *record.Fact) {
	c.compareValue(f, follows)
	if f.Label != follows.Label {
		c.tellLabel(f, follows.Label)
	}
	if f.Origin != record.Derived {
		return
	}
	if f.At != follows.At {
		c.tell("derived-time", f, "{1} is dated {}", string(f.At), finding.Say("the facts that it is made from give {1}", dated(follows.At)))
	}
	if f.Method != follows.Method {
		c.tell("derived-method", f, "{1} names the method {}", f.Method, finding.Say("the one used is {1}", named(follows.Method)))
	}
	if !sameRefs(f.From, follows.From) {
		c.tellSources(f, follows.From)
	}
}

// compareValue tells a wrong value, a value that is withheld or charted wrongly.
func (c *checker) compareValue(f, follows *record.Fact) {
	switch {
	case f.Value == follows.Value:
		groundless := f.Origin != record.Derived && withholding(f.Value.Absent.Reason) && c.work.withheldFact(f) == ""
		if groundless {
			c.tellValue("withheld-wrong", f, "nothing in the session withholds it")
		}
	case f.Value.IsAbsent() || follows.Value.IsAbsent():
		c.tellValue("withheld-wrong", f, finding.Say("from the facts it is {1}", shown(follows.Value)))
	default:
		c.tellValue("derived-value", f, finding.Say("from the facts it is {1}", shown(follows.Value)))
	}
}

// tellValue reports a value that ought to be another, or none.
func (c *checker) tellValue(rule string, f *record.Fact, allowed finding.Text) {
	switch v := f.Value; {
	case v.IsAbsent():
		c.tell(rule, f, "{1} is absent for the reason {}", v.Absent.Reason, allowed)
	case v.Curve != nil:
		c.tell(rule, f, "{1} is a curve", "", allowed)
	case v == (record.Value{}):
		c.tell(rule, f, "{1} is without a value", "", allowed)
	default:
		c.tell(rule, f, "{1} is {}", valueText(v), allowed)
	}
}

// tellLabel reports another label than follows.
func (c *checker) tellLabel(f *record.Fact, follows measure.Label) {
	allowed := finding.Say("the table of flow labels gives {1}", labelled(follows))
	if f.Label.IsZero() {
		c.tell("label-wrong", f, "{1} carries no label", "", allowed)
		return
	}
	c.tell("label-wrong", f, "{1} carries the label {}", labelText(f.Label), allowed)
}

// tellSources reports other sources than those that a value is made from.
func (c *checker) tellSources(f *record.Fact, follows []record.Ref) {
	allowed := finding.Say("it is made from {1}", refs(follows))
	if len(f.From) == 0 {
		c.tell("derived-sources", f, "{1} is said to be made from nothing", "", allowed)
		return
	}
	c.tell("derived-sources", f, "{1} is said to be made from {}", refs(f.From).String(), allowed)
}

// tell reports a difference. What the words name is the fact's identity; a private
// value stays out of them.
func (c *checker) tell(rule string, f *record.Fact, found finding.Text, value string, allowed finding.Text) {
	place := c.session.Places.Of(f.Ref)
	m := measure.Get(f.Measure)
	if m == nil {
		c.findings = append(c.findings, finding.New(rule, place, finding.Say(found, finding.Data(f.Measure)), value, allowed))
		return
	}
	if place == (finding.Place{}) && m.In != "" {
		place = c.placeOfCarrier(f, m)
	}
	told := finding.New(rule, place, finding.Say(found, finding.Data(nameOf(f.Ref))), value, allowed)
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

// shown says a value that follows.
func shown(v record.Value) finding.Text {
	switch {
	case v.IsAbsent():
		return finding.Say("absent, {1}", finding.Data(v.Absent.Reason))
	case v.Curve != nil:
		return "a curve"
	case v == (record.Value{}):
		return "without a value"
	}
	return finding.Data(valueText(v))
}

// valueText writes a value that is there and no curve.
func valueText(v record.Value) string {
	switch {
	case v.Quantity != (ucum.Quantity{}):
		return v.Quantity.String()
	case v.Code != "":
		return v.Code
	case v.Text != "":
		return v.Text
	}
	return string(v.Time)
}

func labelled(l measure.Label) finding.Text {
	if l.IsZero() {
		return "none"
	}
	return finding.Data(labelText(l))
}

func labelText(l measure.Label) string {
	if l.Reason != "" {
		return l.Code() + " (" + l.Reason + ")"
	}
	return l.Code()
}

func dated(t record.Time) finding.Text {
	if t == "" {
		return "no time of its own"
	}
	return finding.Data(string(t))
}

func named(method string) finding.Text {
	if method == "" {
		return "that of its measure"
	}
	return finding.Data(method)
}

func refs(from []record.Ref) finding.Text {
	if len(from) == 0 {
		return "nothing"
	}
	var names []string
	for _, r := range sorted(from) {
		names = append(names, nameOf(r))
	}
	return finding.Data(strings.Join(names, ", "))
}

// sameRefs compares what facts were made from, in whatever order.
func sameRefs(a, b []record.Ref) bool {
	return slices.Equal(a, b) || len(a) == len(b) && slices.Equal(sorted(a), sorted(b))
}

func sorted(from []record.Ref) []record.Ref {
	return slices.SortedFunc(slices.Values(from), record.Ref.Compare)
}
