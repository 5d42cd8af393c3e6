package mapping

import (
	"slices"
	"strings"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// slot is a measure of a thing, whatever its origin.
type slot struct {
	about   record.Thing
	measure string
}

// statedCodes are the coded values of a session, looked up by slot.
type statedCodes map[slot]string

func codesStated(facts []record.Fact) statedCodes {
	codes := statedCodes{}
	for i := range facts {
		f := &facts[i]
		if at := (slot{f.About, f.Measure}); f.Value.Code != "" && codes[at] == "" {
			codes[at] = f.Value.Code
		}
	}
	return codes
}

// usualMethod gives the method of a fact that names none: that of its row, or the
// one that the value named by the row's method-from says: of the same thing, else of
// the thing that it belongs to, as a reading does to its comparator.
func (c statedCodes) usualMethod(f *record.Fact, m *measure.Measure) string {
	if m.MethodFrom == "" {
		return m.Method
	}
	about := f.About
	if from := measure.Get(m.MethodFrom); from != nil && !from.Has(about.Kind) {
		key := about.Key
		if i := strings.LastIndexByte(key, '.'); i >= 0 {
			key = key[:i]
		}
		about = record.Thing{Kind: from.About[0], Key: key}
	}
	return c[slot{about, m.MethodFrom}]
}

// standingSession gives a session without the facts that were taken back from it,
// which count for nothing; all of them where the session itself was.
func standingSession(s *record.Session) *record.Session {
	if s.Withdrawn() || !record.Any(s.Facts, func(f *record.Fact) bool { return f.Status.TakenBack() }) {
		return s
	}
	standing := *s
	standing.Facts = slices.DeleteFunc(slices.Clone(s.Facts), func(f record.Fact) bool { return f.Status.TakenBack() })
	return &standing
}
