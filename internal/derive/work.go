package derive

import (
	"math/big"
	"slices"
	"time"

	"saltmark/internal/finding"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// noLabel is the label of what carries none.
var noLabel = measure.Label{}

// slot is where a fact is looked up: what it is about, and its measure.
type slot struct {
	about   record.Thing
	measure string
}

// work is one session while it is derived. Its facts are indexed once.
type work struct {
	session *record.Session
	facts   []record.Fact
	at      map[slot]int              // place in facts
	spans   map[string]*time.Duration // limits read so far
	gone    []bool                    // facts that were taken back and count for nothing
	left    map[string]string

	injections []injection // in the order of their time
	events     []*record.Fact
	samples    []record.Thing
	earlier    []record.Thing
	readings   []record.Thing

	leftOut    bool // LeftOut
	fromCurves bool // values recomputed from curves are charted
	agreed     replicates
	// counts are the injections that entered the session's flow; where none did,
	// those that are not excluded; where all are, all.
	counts   []injection
	used     []time.Time                             // times that looks are measured to
	ruling   *ruling                                 // nil until the label is known
	sums     struct{ fluid, sodium, heparin *tally } // nil until asked for
	findings finding.List
}

// newWork indexes facts, finds the injections and what they agree on.
func newWork(s *record.Session, facts []record.Fact) *work {
	w := &work{session: s, facts: facts, at: make(map[slot]int, cap(facts)), spans: map[string]*time.Duration{}}
	w.gone = takenBack(s, facts)
	for i := range facts {
		if !w.isGone(i) && facts[i].Origin != record.Recomputed {
			w.index(i)
		}
	}
	w.indexRecomputed()
	slices.SortFunc(w.samples, func(a, b record.Thing) int { return record.Ref{About: a}.Compare(record.Ref{About: b}) })
	w.findInjections()
	if w.leftOut = LeftOut(s); w.leftOut {
		w.agreed = w.agreedOf(w.get(record.TheSession, "blood-flow"))
	} else {
		w.agreed = w.agree()
	}
	w.counts = w.counting()
	w.used = w.timesUsed()
	return w
}

// index puts a fact where it is looked up. Of two about the same the first counts.
func (w *work) index(i int) {
	f := &w.facts[i]
	at := slot{f.About, f.Measure}
	if _, there := w.at[at]; there {
		return
	}
	w.at[at] = i
	if f.Origin == record.Derived || f.Origin == record.Recomputed {
		return
	}
	switch f.About.Kind {
	case measure.Event:
		w.events = append(w.events, f)
	case measure.Injection:
		w.addInjection(f.About)
	case measure.Sample:
		w.samples = addThing(w.samples, f.About)
	case measure.Earlier:
		w.earlier = addThing(w.earlier, f.About)
	case measure.Reading:
		w.readings = addThing(w.readings, f.About)
	}
}

// indexRecomputed does the same for what was computed from curves. Values count only
// where they may be charted: never beside reported ones.
func (w *work) indexRecomputed() {
	if !record.Any(w.facts, func(f *record.Fact) bool { return f.Origin == record.Recomputed }) {
		return
	}
	w.fromCurves = chartsRecomputed(w.facts)
	for i := range w.facts {
		f := &w.facts[i]
		if f.Origin == record.Recomputed && !w.isGone(i) && (w.fromCurves || !isRecomputedValue(f.Measure)) {
			w.index(i)
		}
	}
}

func addThing(things []record.Thing, t record.Thing) []record.Thing {
	if slices.Contains(things, t) {
		return things
	}
	return append(things, t)
}

// takenBack marks the facts that count for nothing: those taken back in a session
// that was not withdrawn, and everything about a thing whose group was. It is nil
// where there are none.
func takenBack(s *record.Session, facts []record.Fact) []bool {
	if s.Withdrawn() || !record.Any(facts, func(f *record.Fact) bool { return f.Status.TakenBack() }) {
		return nil
	}
	groups := map[record.Thing]bool{}
	for _, f := range facts {
		if f.Status.TakenBack() && f.About != record.TheSession && f.Origin != record.Recomputed && isGroup(f.Measure) {
			groups[f.About] = true
		}
	}
	gone := make([]bool, len(facts))
	for i, f := range facts {
		gone[i] = f.Status.TakenBack() || groups[f.About]
	}
	return gone
}

func isGroup(key string) bool {
	m := measure.Get(key)
	return m != nil && m.Kind == measure.Group
}

func (w *work) isGone(i int) bool { return i < len(w.gone) && w.gone[i] }

// get gives the fact about a thing, nil where there is none.
func (w *work) get(about record.Thing, key string) *record.Fact {
	if i, ok := w.at[slot{about, key}]; ok {
		return &w.facts[i]
	}
	return nil
}

// code gives a coded value, "" where there is none.
func (w *work) code(about record.Thing, key string) string {
	if f := w.get(about, key); f != nil {
		return f.Value.Code
	}
	return ""
}

// text gives a value in words, "" where there is none.
func (w *work) text(about record.Thing, key string) string {
	if f := w.get(about, key); f != nil {
		return f.Value.Text
	}
	return ""
}

// moment gives a value that is a time, "" where there is none.
func (w *work) moment(about record.Thing, key string) record.Time {
	if f := w.get(about, key); f != nil {
		return f.Value.Time
	}
	return ""
}

// number gives the exact number of a fact in a unit, nil where it has none.
func number(f *record.Fact, unit string) *big.Rat {
	if f == nil || f.Value.Quantity == (ucum.Quantity{}) {
		return nil
	}
	x, err := ucum.Convert(f.Value.Quantity, unit)
	if err != nil {
		return nil
	}
	return x
}

// number gives the exact number of a fact about a thing in the unit of its measure,
// nil where there is none.
func (w *work) number(about record.Thing, key string) *big.Rat {
	return number(w.get(about, key), measure.Get(key).Unit)
}

// written gives a fact's quantity in a unit, with its digits; ok is false where that
// takes more than moving the point.
func written(f *record.Fact, unit string) (ucum.Quantity, bool) {
	q, ok, err := f.Value.Quantity.In(unit)
	return q, ok && err == nil
}

// placeOf gives the place of a fact in the document that was read.
func (w *work) placeOf(f *record.Fact) finding.Place {
	if f == nil {
		return finding.Place{}
	}
	return w.session.Places.Of(f.Ref)
}

func (w *work) report(f finding.Finding) { w.findings = append(w.findings, f) }

// things gives what a row is applied to. Every session has all four levels.
func (w *work) things(about measure.About) []record.Thing {
	switch about {
	case measure.Level:
		things := make([]record.Thing, 0, len(measure.Levels))
		for _, level := range measure.Levels {
			things = append(things, record.Thing{Kind: measure.Level, Key: level})
		}
		return things
	case measure.Injection:
		things := make([]record.Thing, 0, len(w.injections))
		for _, j := range w.injections {
			things = append(things, j.thing)
		}
		return things
	case measure.Reading:
		return w.readings
	}
	return []record.Thing{record.TheSession}
}
