package mapping

import (
	"fmt"
	"slices"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Keys of rows that the resources of a session hang on.
const (
	panelKey     = "session-panel"
	contextKey   = "shunt-context"
	labelKey     = "flow-stands-for"
	injectionKey = "injection"
	vesselKey    = "catheter-vessel"
)

var (
	panelRef   = record.Ref{About: record.TheSession, Measure: panelKey, Origin: record.Derived}
	contextRef = record.Ref{About: record.TheSession, Measure: contextKey, Origin: record.Derived}
)

// observed is what one Observation holds: a fact, and those that are its
// components.
type observed struct {
	fact  *record.Fact
	row   *measure.Measure
	parts []*record.Fact
	// identity is its business identifier, once it is chosen for writing.
	identity string
}

// observations groups facts into Observations. The facts are in order (that of
// record.Ref.Compare), and so are the Observations. A component stands with the fact
// of its row's "in": about the same thing where that row can be, else about the
// session; of several origins that of its own, else the first. What was taken back
// stands with what was.
func observations(facts []record.Fact) ([]observed, error) {
	list, _, err := observationsOf(facts)
	return list, err
}

// observationsOf also gives the place of the Observation in which each fact stands.
func observationsOf(facts []record.Fact) (list []observed, places []int, err error) {
	rows := make([]*measure.Measure, len(facts))
	own := 0
	for i := range facts {
		f, m := &facts[i], measure.Get(facts[i].Measure)
		switch {
		case m == nil || !m.Has(f.About.Kind):
			return nil, nil, fmt.Errorf("the table of measures has no %s about one %s", f.Measure, f.About.Kind)
		case i > 0 && facts[i-1].Ref == f.Ref:
			return nil, nil, fmt.Errorf("two facts have the identity %s", Identity("", f.Ref))
		case m.In == "":
			own++
		}
		rows[i] = m
	}
	c := carriers{list: make([]observed, 0, own), first: make(map[slot]int, own)}
	places = make([]int, len(facts))
	for i, m := range rows {
		if m.In == "" {
			places[i] = len(c.list)
			c.add(observed{fact: &facts[i], row: m})
		}
	}
	for i, m := range rows {
		if m.In == "" {
			continue
		}
		at, ok := c.of(&facts[i], m)
		if !ok {
			return nil, nil, fmt.Errorf("%s belongs into the Observation of %s, and there is none", facts[i].Measure, m.In)
		}
		places[i] = at
		c.list[at].parts = append(c.list[at].parts, &facts[i])
	}
	return c.list, places, nil
}

// carriers are Observations in which components are to stand. Those of one measure
// about one thing follow one another, for each origin one.
type carriers struct {
	list  []observed
	first map[slot]int // place of the first of them in list
}

func (c *carriers) add(o observed) {
	at := slot{o.fact.About, o.fact.Measure}
	if _, known := c.first[at]; !known {
		c.first[at] = len(c.list)
	}
	c.list = append(c.list, o)
}

// origins is the order in which a carrier is looked for.
var origins = []record.Origin{record.Stated, record.Reported, record.Derived, record.Recomputed, record.Setting}

// of gives the place of the Observation in which a component stands.
func (c *carriers) of(f *record.Fact, m *measure.Measure) (int, bool) {
	about := record.TheSession
	if in := measure.Get(m.In); in != nil && in.Has(f.About.Kind) {
		about = f.About
	}
	first, known := c.first[slot{about, m.In}]
	if !known {
		return 0, false
	}
	best, rank := 0, len(origins)
	for i := first; i < len(c.list) && c.list[i].fact.Measure == m.In && c.list[i].fact.About == about; i++ {
		carrier := c.list[i].fact
		if carrier.Status.TakenBack() != f.Status.TakenBack() {
			continue
		}
		if carrier.Origin == f.Origin {
			return i, true
		}
		if r := slices.Index(origins, carrier.Origin); r >= 0 && r < rank {
			best, rank = i, r
		}
	}
	return best, rank < len(origins)
}

// part is a part of a session that a bundle may leave out.
type part uint8

const (
	always part = iota
	injections
	curves
	computations
	comparators
)

func partOf(about record.Thing, m *measure.Measure) part {
	switch {
	case m.Kind == measure.Curve:
		return curves
	case m.DefaultOrigin() == string(record.Recomputed):
		return computations
	case about.Kind == measure.Injection:
		return injections
	case about.Kind == measure.Comparator || about.Kind == measure.Reading:
		return comparators
	}
	return always
}

// writes tells whether the options ask for a part.
func (o Options) writes(p part) bool {
	switch p {
	case injections, computations:
		return o.Injections != InjectionsNone
	case curves:
		return o.Curves && o.Injections != InjectionsNone
	case comparators:
		return o.Comparators
	}
	return true
}

// Keeping gives the options that also write each part of a session that the bundle
// last accepted has. What the record holds would else keep its value and status when
// a later revision corrects it or takes it back. previous is nil where there is none.
func (o Options) Keeping(previous *record.Session) Options {
	if previous == nil {
		return o
	}
	for i := range previous.Facts {
		f := &previous.Facts[i]
		m := measure.Get(f.Measure)
		if m == nil {
			continue
		}
		switch partOf(f.About, m) {
		case injections, computations:
			o.Injections = InjectionsSeparate
		case curves:
			o.Injections, o.Curves = InjectionsSeparate, true
		case comparators:
			o.Comparators = true
		}
	}
	return o
}

// inOrder gives the Observations with the referred before the referring: what a
// value was made from and the shunt context before it, the members before the
// panel.
func inOrder(list []observed) []observed {
	at := make(map[record.Ref]int, len(list))
	for i := range list {
		at[list[i].fact.Ref] = i
	}
	o := orderer{list: list, at: at, seen: make([]bool, len(list)), out: make([]observed, 0, len(list))}
	panel, hasPanel := at[panelRef]
	if hasPanel {
		o.seen[panel] = true
	}
	for i := range list {
		o.visit(i)
	}
	if hasPanel {
		o.out = append(o.out, list[panel])
	}
	return o.out
}

type orderer struct {
	list []observed
	at   map[record.Ref]int
	seen []bool
	out  []observed
}

func (o *orderer) visit(i int) {
	if o.seen[i] {
		return
	}
	o.seen[i] = true
	f := o.list[i].fact
	for _, from := range f.From {
		if j, ok := o.at[from]; ok {
			o.visit(j)
		}
	}
	if j, ok := o.at[contextRef]; ok && !f.Label.IsZero() {
		o.visit(j)
	}
	o.out = append(o.out, o.list[i])
}
