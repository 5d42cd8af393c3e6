package derive

import (
	"math/big"
	"slices"
	"time"

	"saltmark/internal/finding"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// lookAge is the age of a look for a shunt: the time between it and the nearest
// injection used, before or after.
func lookAge(w *work, c *call) made {
	look, ok := w.look(c.about)
	if !ok {
		return made{}
	}
	return quantity(c.m.Chart(big.NewRat(int64(look.Age()), int64(time.Hour)), false))
}

// lookHolds tells whether the look at a level still holds: it lies inside the window
// of the site (at the limit it still holds), and nothing of the list of events came
// between it and the injections used. A level without a stated state, or stated as
// not seen, was not looked at. A look whose time is not known, or for which the
// record carries no window, cannot be shown to hold.
func lookHolds(w *work, c *call) made {
	switch w.code(c.about, "level-state") {
	case "", "not-seen":
		return coded("not-assessed")
	}
	look, known := w.look(c.about)
	window := w.window()
	place, level := w.placeOf(w.get(c.about, "level-state")), measure.LevelWords(c.about.Key)
	lapsed := func(found finding.Text, value string, allowed finding.Text) made {
		w.report(finding.New("shunt-look-lapsed", place, found, value, finding.Say("{1}; the level counts as not seen", allowed)))
		return coded("stale-assessment")
	}
	ending := slices.IndexFunc(w.events, func(e *record.Fact) bool { return look.EndedBy(e.At) })
	switch {
	case !known:
		return lapsed(finding.Say("the look at the {1} has no time", level), "", "a time")
	case window == nil:
		return lapsed(finding.Say("the look at the {1} has no limit to its age", level), "", "the site must set one")
	case look.Age() > *window:
		return lapsed(finding.Say("the look at the {1} lies {} from the nearest injection", level), inWords(look.Age()), finding.Say("at most {1}", finding.Data(inWords(*window))))
	case ending >= 0:
		return lapsed(finding.Say("between the look at the {1} and the injections lies the event {}", level), w.events[ending].Value.Code, "such an event ends what a look says")
	}
	return coded("holds")
}

// look gives the look at a level; ok is false where its time is not known.
func (w *work) look(level record.Thing) (l record.Look, ok bool) {
	seen := w.moment(level, "level-seen")
	if seen == "" {
		return record.Look{}, false
	}
	return w.session.LookAt(seen, w.used), true
}

// window gives how long a look holds in this patient, nil where the record carries
// no limit.
func (w *work) window() *time.Duration { return w.span(w.windowOf()) }

// windowOf names the limit of the site that holds for this patient.
func (w *work) windowOf() string {
	if w.young() {
		return "assessment-window-young"
	}
	return "assessment-window"
}

// lookLimit is that limit, as the site writes it.
func lookLimit(w *work, _ *call) made {
	f := w.get(record.TheSession, w.windowOf())
	if f == nil || f.Value.IsAbsent() {
		return made{}
	}
	return made{value: f.Value, there: true}
}
