package derive

import (
	"math/big"
	"time"

	"saltmark/internal/finding"
	"saltmark/mapping/record"
)

// lookAge is the age of a look for a shunt: the time between it and the nearest
// injection used, before or after.
func lookAge(w *work, c *call) made {
	look, ok := w.look(c.about)
	if !ok {
		return made{}
	}
	return quantity(c.m.Chart(big.NewRat(int64(w.age(look)), int64(time.Hour)), false))
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
	place := w.placeOf(w.get(c.about, "level-state"))
	lapsed := func(found, value, allowed string) made {
		w.report(finding.New("shunt-look-lapsed", place, "the look at the "+c.about.Key+" level "+found, value, allowed+"; the level counts as not seen"))
		return coded("stale-assessment")
	}
	switch {
	case !known:
		return lapsed("has no time", "", "a time")
	case window == nil:
		return lapsed("has no limit to its age", "", "the site must set one")
	case w.age(look) > *window:
		return lapsed("lies {} from the nearest injection", inWords(w.age(look)), "at most "+inWords(*window))
	case w.somethingBetween(look):
		return lapsed("has an event of the list between it and the injections", "", "nothing of the list in between")
	}
	return coded("holds")
}

// look gives the time of the look at a level. A date alone is taken as the start of
// that day at the session's place.
func (w *work) look(level record.Thing) (time.Time, bool) {
	seen := w.moment(level, "level-seen")
	if seen == "" {
		return time.Time{}, false
	}
	return w.from(seen), true
}

// from gives the moment of a time; of a date alone the start of the day at the
// session's place.
func (w *work) from(t record.Time) time.Time {
	moment := t.Go()
	if !t.IsDate() {
		return moment
	}
	y, m, d := moment.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, w.session.Start.Go().Location())
}

// age gives the time between a look and the nearest injection used.
func (w *work) age(look time.Time) time.Duration {
	nearest := distance(look, w.used[0])
	for _, t := range w.used[1:] {
		nearest = min(nearest, distance(look, t))
	}
	return nearest
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

// somethingBetween tells whether an event lies between a look and the injections
// used, whichever comes first. It counts in the same minute as either, and among the
// injections too, since the session's value is the mean of all of them. An event
// without a time may have been any time; one with a date alone took all day.
func (w *work) somethingBetween(look time.Time) bool {
	first, last := look, look
	for _, t := range w.used {
		if t.Before(first) {
			first = t
		}
		if t.After(last) {
			last = t
		}
	}
	first, last = first.Truncate(time.Minute), last.Truncate(time.Minute)
	for _, at := range w.events {
		begins := w.from(at)
		ends := begins
		if at.IsDate() {
			ends = begins.AddDate(0, 0, 1).Add(-time.Minute)
		}
		if at == "" || !ends.Truncate(time.Minute).Before(first) && !begins.Truncate(time.Minute).After(last) {
			return true
		}
	}
	return false
}
