package derive

import (
	"time"

	"saltmark/internal/finding"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// limits says how old an input may be: the measure that holds the limit, and the
// measure of the same thing that holds the time where it is not the input's own.
// The stale value is charted, what derives from it is not.
var limits = []struct{ measure, limit, when string }{
	{"weight", "weight-age-limit", ""},
	{"length", "length-age-limit", ""},
	{"haemoglobin", "blood-age-limit", ""},
	{"arterial-saturation", "blood-age-limit", ""},
	{"arterial-oxygen-pressure", "blood-age-limit", ""},
	{"arterial-pressure-mean", "pressure-age-limit", "pressures-at"},
	{"central-venous-pressure", "pressure-age-limit", "pressures-at"},
}

// stale tells whether an input is too old to be used at a time, and reports it.
func (w *work) stale(f *record.Fact, at record.Time) bool {
	if w.within(f, at) {
		return false
	}
	when, limit, _ := w.limit(f, at)
	w.tellStale(f, when, at, limit)
	return true
}

// within tells whether an input lies no farther from a time, before or after, than
// its limit allows; at the limit it still holds. Without a limit, or without a time
// of its own where it should have one, it cannot be shown to be fresh.
func (w *work) within(f *record.Fact, at record.Time) bool {
	when, limit, limited := w.limit(f, at)
	return !limited || when != "" && limit != nil && w.apart(when, at) <= *limit
}

// limit gives the time of an input and its limit, nil where the record carries none;
// limited is false where inputs of its measure do not age.
func (w *work) limit(f *record.Fact, at record.Time) (when record.Time, limit *time.Duration, limited bool) {
	for _, l := range limits {
		if l.measure != f.Measure {
			continue
		}
		when = f.At
		if l.when != "" {
			if when = w.moment(f.About, l.when); when == "" {
				when = at // stated beside the injection without a time: at the injection
			}
		}
		return when, w.span(l.limit), true
	}
	return "", nil, false
}

func (w *work) tellStale(f *record.Fact, when, at record.Time, limit *time.Duration) {
	words := wordsOf(measure.Get(f.Measure), f.About)
	found, age := finding.Say("the time of {1} is not known", words), ""
	var allowed finding.Text = "a time"
	if when != "" {
		found, age = finding.Say("{1} lies {} from the measurement", words), inWords(w.apart(when, at))
	}
	switch {
	case limit == nil:
		allowed = "the site must set a limit"
	case when != "":
		allowed = finding.Say("at most {1}", finding.Data(inWords(*limit)))
	}
	w.report(finding.New("stale-input", w.placeOf(f), found, age, finding.Say("{1}; what derives from it is withheld", allowed)))
}

// apart gives how far two times lie apart. A date alone is a whole day at the
// session's place: the days between are counted.
func (w *work) apart(a, b record.Time) time.Duration {
	if a.IsDate() || b.IsDate() {
		return distance(w.day(a), w.day(b))
	}
	return distance(a.Go(), b.Go())
}

// day gives the calendar day of a time at the session's place, as midnight UTC so
// that days between can be counted.
func (w *work) day(t record.Time) time.Time {
	moment := t.Go()
	if !t.IsDate() {
		moment = moment.In(w.session.Start.Go().Location())
	}
	y, m, d := moment.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}
