package record

import "time"

// Look is a look for a shunt beside the injections that the session's flow was made
// from. What ends it is judged here alone: derivation withholds by it, the
// conclusion says it.
type Look struct {
	at    time.Time
	used  []time.Time
	place *time.Location
}

// LookAt gives the look of a time beside the times of the injections used, of which
// there is at least one. A date alone is the start of that day at the session's
// place.
func (s *Session) LookAt(seen Time, used []time.Time) Look {
	l := Look{used: used, place: s.Start.Go().Location()}
	l.at = l.begins(seen)
	return l
}

// Age is the time between the look and the nearest injection used, before or after.
func (l Look) Age() time.Duration {
	nearest := l.at.Sub(l.used[0]).Abs()
	for _, t := range l.used[1:] {
		nearest = min(nearest, l.at.Sub(t).Abs())
	}
	return nearest
}

// EndedBy tells whether an event lies between the look and the injections used,
// whichever comes first. It counts in the same minute as either, and among the
// injections too, since the session's value is the mean of all of them. An event
// without a time may have been any time; one with a date alone took all day.
func (l Look) EndedBy(event Time) bool {
	if event == "" {
		return true
	}
	first, last := l.at, l.at
	for _, t := range l.used {
		if t.Before(first) {
			first = t
		}
		if t.After(last) {
			last = t
		}
	}
	begins := l.begins(event)
	ends := begins
	if event.IsDate() {
		ends = begins.AddDate(0, 0, 1).Add(-time.Minute)
	}
	return !ends.Truncate(time.Minute).Before(first.Truncate(time.Minute)) && !begins.Truncate(time.Minute).After(last.Truncate(time.Minute))
}

func (l Look) begins(t Time) time.Time {
	moment := t.Go()
	if !t.IsDate() {
		return moment
	}
	y, m, d := moment.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, l.place)
}
