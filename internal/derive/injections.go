package derive

import (
	"cmp"
	"slices"
	"time"

	"saltmark/internal/finding"
	"saltmark/mapping/record"
)

// injection is one injection of indicator.
type injection struct {
	thing record.Thing
	at    record.Time
	when  time.Time
	cause string // why it is excluded; "" = it counts
}

func (j injection) excluded() bool { return j.cause != "" }

func (w *work) addInjection(t record.Thing) {
	for _, j := range w.injections {
		if j.thing == t {
			return
		}
	}
	w.injections = append(w.injections, injection{thing: t})
}

// findInjections completes the injections and puts them in the order of their time,
// those of one time in the order of their numbers.
func (w *work) findInjections() {
	for i := range w.injections {
		j := &w.injections[i]
		if f := w.get(j.thing, "injection"); f != nil {
			j.at, j.when = f.At, f.At.Go()
		}
		j.cause = w.code(j.thing, "exclusion-cause")
	}
	slices.SortFunc(w.injections, func(a, b injection) int {
		return cmp.Or(a.when.Compare(b.when), record.Ref{About: a.thing}.Compare(record.Ref{About: b.thing}))
	})
}

// counting gives the injections that entered the session's flow, else those
// standing.
func (w *work) counting() []injection {
	var entered []injection
	for _, i := range w.agreed.entered {
		entered = append(entered, w.injections[i])
	}
	if len(entered) > 0 {
		return entered
	}
	return w.standing()
}

// standing gives the injections that are not excluded; where all are, all.
func (w *work) standing() []injection {
	var standing []injection
	for _, j := range w.injections {
		if !j.excluded() {
			standing = append(standing, j)
		}
	}
	if len(standing) == 0 {
		return w.injections
	}
	return standing
}

// timesUsed gives the times that looks are measured to: those of the injections
// used, and the start of a session without any.
func (w *work) timesUsed() []time.Time {
	var times []time.Time
	for _, j := range w.counts {
		times = append(times, j.when)
	}
	if len(times) == 0 {
		times = append(times, w.session.Start.Go())
	}
	return times
}

// OneState tells where the injections of a session belong to two: see Apply, whose
// findings hold these among others. The facts may be those of a bundle.
func OneState(s *record.Session) finding.List {
	w := newWork(s, s.Facts)
	w.findings = nil
	w.oneState()
	return w.findings
}

// oneState tells where the injections belong to two sessions: a change of treatment
// between two that are not excluded, or a longer gap between them than the site
// allows.
func (w *work) oneState() {
	last := -1 // the last injection not excluded
	changed := false
	limit := w.span("injection-gap-limit")
	for i, j := range w.injections {
		if last >= 0 && w.code(j.thing, "treatment-changed") == "yes" {
			changed = true
		}
		if j.excluded() {
			continue
		}
		if last >= 0 {
			w.judgeGap(w.injections[last], j, changed, limit)
		}
		last, changed = i, false
	}
}

func (w *work) judgeGap(a, b injection, changed bool, limit *time.Duration) {
	place := w.placeOf(w.get(b.thing, "injection"))
	if changed {
		w.report(finding.New("one-state-treatment", place,
			finding.Say("treatment changed between injections {1} and {2}", finding.Data(a.thing.Key), finding.Data(b.thing.Key)), "",
			"one session is one state: file two sessions, or exclude an injection for a cause of its own"))
	}
	if gap := b.when.Sub(a.when); limit != nil && gap > *limit {
		w.report(finding.New("one-state-gap", place,
			finding.Say("between injections {1} and {2} lie {}", finding.Data(a.thing.Key), finding.Data(b.thing.Key)), inWords(gap),
			finding.Say("at most {1} within one session: file two sessions", finding.Data(inWords(*limit)))))
	}
}

// keys names injections in a sentence: "1, 2 and 3".
func keys(injections []injection) finding.Text {
	var names []finding.Text
	for _, j := range injections {
		names = append(names, finding.Data(j.thing.Key))
	}
	return finding.And(names...)
}
