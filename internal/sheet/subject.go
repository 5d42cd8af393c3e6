package sheet

import (
	"math/big"
	"time"

	"saltmark/internal/finding"
	"saltmark/mapping/record"
)

// Completed weeks of gestation at birth that are possible (common practice, no
// source): of a child that can be measured, and of the longest pregnancy.
const fewestWeeks, mostWeeks = 20, 45

// subject judges birth and age.
func (j *judge) subject() {
	if f := j.s.Get(record.TheSession, "gestational-age"); f != nil {
		x := f.Value.Quantity.Rat()
		if x != nil && (x.Cmp(big.NewRat(fewestWeeks, 1)) < 0 || x.Cmp(big.NewRat(mostWeeks, 1)) > 0) {
			j.addHidden("gestational-age", j.place(f.Ref), finding.Say("{1} is {}", j.called(f.Ref)), f.Value.Quantity.String(), "20 wk to 45 wk is possible")
		}
	}
	birth := j.s.Get(record.TheSession, "birth-date")
	if birth == nil || j.s.Start == "" {
		return
	}
	if string(birth.Value.Time) > localDay(j.s.Start) {
		j.addHidden("birth-after-session", j.place(birth.Ref), finding.Say("{1} is {}", j.called(birth.Ref)), string(birth.Value.Time), "it must not lie after the session")
		return
	}
	age := j.s.Get(record.TheSession, "age")
	if age == nil {
		return
	}
	lived, stated := big.NewRat(int64(daysLived(birth.Value.Time, j.s.Start)), 1), age.Value.Quantity.Rat()
	if stated == nil {
		return
	}
	if off := new(big.Rat).Sub(lived, stated); off.Abs(off).Cmp(big.NewRat(1, 1)) > 0 {
		j.addHidden("age-differs", j.place(age.Ref), finding.Say("{1} is {}", j.called(age.Ref)), age.Value.Quantity.String(), "subject.birth-date says another age; one of both is enough")
	}
}

// daysLived counts the whole calendar days from a birth to a time at its place.
func daysLived(birth, at record.Time) int {
	from, err := time.Parse(time.DateOnly, string(birth))
	if err != nil {
		return 0
	}
	to, err := time.Parse(time.DateOnly, localDay(at))
	if err != nil {
		return 0
	}
	return int(to.Sub(from).Hours() / 24)
}

// AgeInDays gives the age of the subject at the session in whole days, from the
// date of birth or as stated; known is false where the sheet says neither.
func AgeInDays(s *record.Session) (days int, known bool) {
	if birth := s.Get(record.TheSession, "birth-date"); birth != nil && s.Start != "" {
		return daysLived(birth.Value.Time, s.Start), true
	}
	if age := s.Get(record.TheSession, "age"); age != nil {
		if x := age.Value.Quantity.Rat(); x != nil {
			whole := new(big.Int).Quo(x.Num(), x.Denom())
			return int(whole.Int64()), whole.IsInt64()
		}
	}
	return 0, false
}

// loop judges the times of loop and monitor.
func (j *judge) loop() {
	if f := j.s.Get(record.TheSession, "loop-connected"); f != nil {
		if first := j.firstInjection(); first != "" && first.Before(f.Value.Time) {
			j.add("loop-connected-late", j.place(f.Ref), finding.Say("{1} is {}", j.called(f.Ref)), string(f.Value.Time), finding.Say("it must not lie after the first injection, {1}", finding.Data(string(first))))
		}
	}
	if f := j.s.Get(record.TheSession, "calibration-date"); f != nil && j.s.End != "" && string(f.Value.Time) > localDay(j.s.End) {
		j.add("calibration-late", j.place(f.Ref), finding.Say("{1} is {}", j.called(f.Ref)), string(f.Value.Time), "it must not lie after the session")
	}
}

func (j *judge) firstInjection() (first record.Time) {
	for _, i := range j.injections() {
		if at := j.when(i); at != "" && (first == "" || at.Before(first)) {
			first = at
		}
	}
	return first
}
