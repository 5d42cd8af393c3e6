package sheet

import (
	"saltmark/internal/finding"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// injectionTimes judges whether injections lie within the session and follow each
// other by number.
func (j *judge) injectionTimes() {
	var before record.Time
	bounded := j.s.Start != "" && j.s.End != "" && j.s.Start.Before(j.s.End)
	for _, i := range j.injections() {
		at := j.when(i)
		if at == "" {
			continue
		}
		place, called := j.whenPlace(i)
		if bounded && (at.Before(j.s.Start) || j.s.End.Before(at)) {
			j.add("injection-outside-session", place, finding.Say("{1} is {}", called), string(at), finding.Say("it must lie between session.start, {1}, and session.end, {2}", finding.Data(string(j.s.Start)), finding.Data(string(j.s.End))))
		}
		if before != "" && !before.Before(at) {
			j.add("injection-order", place, finding.Say("{1} is {}", called), string(at), finding.Say("a greater number has a later time; the injection before it has {1}", finding.Data(string(before))))
		}
		before = at
	}
}

// events finds what changes the patient's state between two injections that count:
// they are then of two sessions. That treatment changed otherwise, and gaps that
// are too long, are found by derivation.
func (j *judge) events() {
	var first, last record.Time
	for _, i := range j.injections() {
		if at := j.when(i); at != "" && !j.excluded(i) {
			if first == "" {
				first = at
			}
			last = at
		}
	}
	for _, e := range j.s.Things(measure.Event) {
		f := j.s.Get(e, "event")
		if f != nil && f.At != "" && first != "" && first.Before(f.At) && f.At.Before(last) {
			j.add("event-between-injections", j.place(f.Ref), finding.Say("{1} is {}, between two injections that count", j.called(f.Ref)), f.Value.Code,
				"injections of two states are of two sessions: each state needs a sheet of its own")
		}
	}
}

// pressures judges the order of the pressures of one injection.
func (j *judge) pressures() {
	const systolic, mean, diastolic = "arterial-pressure-systolic", "arterial-pressure-mean", "arterial-pressure-diastolic"
	for _, i := range j.injections() {
		for _, pair := range [][2]string{{diastolic, systolic}, {diastolic, mean}, {mean, systolic}} {
			low, high := j.s.Get(i, pair[0]), j.s.Get(i, pair[1])
			if low == nil || high == nil {
				continue
			}
			x, y := low.Value.Quantity.Rat(), high.Value.Quantity.Rat()
			if x != nil && y != nil && x.Cmp(y) > 0 {
				j.add("pressures-order", j.place(low.Ref), finding.Say("{1} is {}", j.called(low.Ref)), low.Value.Quantity.String(), finding.Say("it must not be above {1}, {2}", j.called(high.Ref), finding.Data(high.Value.Quantity.String())))
			}
		}
	}
}
