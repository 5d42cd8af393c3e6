package mapping

import (
	"fmt"
	"slices"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Keys of rows that the resources of a session hang on.
const (
	panelKey   = "session-panel"
	contextKey = "shunt-context"
	labelKey   = "flow-stands-for"
	vesselKey  = "catheter-vessel"
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

// observations groups facts into Observations, in the order of the facts (that of
// record.Ref.Compare). A component stands with the fact of its row's "in": about
// the same thing where that row can be, else about the session; of several origins
// that of its own, else the first. What was taken back stands with what was.
func observations(facts []record.Fact) ([]observed, error) {
	ordered := make([]*record.Fact, len(facts))
	for i := range facts {
		ordered[i] = &facts[i]
	}
	if byRef := func(a, b *record.Fact) int { return a.Ref.Compare(b.Ref) }; !slices.IsSortedFunc(ordered, byRef) {
		slices.SortStableFunc(ordered, byRef)
	}
	list := make([]observed, 0, len(facts))
	at := make(map[record.Ref]int, len(facts))
	for i, f := range ordered {
		m := measure.Get(f.Measure)
		switch {
		case m == nil || !m.Has(f.About.Kind):
			return nil, fmt.Errorf("the table of measures has no %s about one %s", f.Measure, f.About.Kind)
		case i > 0 && ordered[i-1].Ref == f.Ref:
			return nil, fmt.Errorf("two facts have the identity %s", Identity("", f.Ref))
		case m.In == "":
			at[f.Ref] = len(list)
			list = append(list, observed{fact: f, row: m})
		}
	}
	for _, f := range ordered {
		m := measure.Get(f.Measure)
		if m.In == "" {
			continue
		}
		i, ok := carrier(f, m, list, at)
		if !ok {
			return nil, fmt.Errorf("%s belongs into the Observation of %s, and there is none", f.Measure, m.In)
		}
		list[i].parts = append(list[i].parts, f)
	}
	return list, nil
}

// origins is the order in which a carrier is looked for.
var origins = []record.Origin{record.Stated, record.Reported, record.Derived, record.Recomputed, record.Setting}

func carrier(f *record.Fact, m *measure.Measure, list []observed, at map[record.Ref]int) (int, bool) {
	about := record.TheSession
	if in := measure.Get(m.In); in != nil && in.Has(f.About.Kind) {
		about = f.About
	}
	find := func(origin record.Origin) (int, bool) {
		i, ok := at[record.Ref{About: about, Measure: m.In, Origin: origin}]
		return i, ok && list[i].fact.Status.TakenBack() == f.Status.TakenBack()
	}
	if i, ok := find(f.Origin); ok {
		return i, true
	}
	for _, origin := range origins {
		if i, ok := find(origin); ok {
			return i, true
		}
	}
	return 0, false
}

// part is a part of a session that a bundle may leave out.
type part uint8

const (
	always part = iota
	injections
	curves
	comparators
)

func partOf(about record.Thing, m *measure.Measure) part {
	switch {
	case m.Kind == measure.Curve:
		return curves
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
	case injections:
		return o.Injections != InjectionsNone
	case curves:
		return o.Curves && o.Injections != InjectionsNone
	case comparators:
		return o.Comparators
	}
	return true
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
