package derive

import (
	"slices"
	"strings"
	"testing"

	"saltmark/internal/finding"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// The patient is born as given; the window of the site is 12 h in the young, else 7
// days (the demo's numbers; common practice, no source).
func TestALookHoldsInsideTheWindowOfThePatient(t *testing.T) {
	const young, old = "12 h", "168 h"
	tests := []struct {
		name, born, gestation, age string
		limit                      string
	}{
		{"27 days", "2031-04-06", "39 wk", "", young},
		{"28 days", "2031-04-05", "39 wk", "", old},
		{"born at 36+6, 43+6 weeks after the mother's last period", "2031-03-15", "258 d", "", young},
		{"born at 36+6, at 44 weeks to the day", "2031-03-14", "258 d", "", old},
		{"born at 37+0", "2031-03-15", "259 d", "", old},
		{"born at 36 wk", "2031-03-15", "36 wk", "", young},
		{"gestation not known, 119 days", "2031-01-04", "", "", young},
		{"gestation not known, 120 days", "2031-01-03", "", "", old},
		{"age not known", "", "39 wk", "", young},
		{"a stated age of 27 days", "", "39 wk", "27 d", young},
		{"a stated age of 28 days", "", "39 wk", "28 d", old},
		{"a stated age in parts of a day", "", "39 wk", "27.9 d", young},
		{"not yet born: a slip, taken as young", "2031-06-01", "39 wk", "", young},
		{"a school child", "2022-01-01", "", "", old},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			for key, value := range map[string]string{"birth-date": test.born, "gestational-age": test.gestation, "age": test.age} {
				drop(s, "session", key)
				if value != "" {
					put(s, "session", key, value)
				}
			}
			Apply(s)
			if got := says(s, "session", "look-limit"); got != test.limit {
				t.Errorf("limit %s, want %s", got, test.limit)
			}
		})
	}
}

// The site says who is young; without its word 28 days, 44 weeks and 120 days hold, as
// in bundles that were written before a site could say it.
func TestTheSiteSaysWhoIsYoung(t *testing.T) {
	const young, old = "12 h", "168 h"
	for _, test := range []struct {
		name, born, gestation string
		limits                map[string]string
		limit                 string
	}{
		{"29 days, young below 30", "2031-04-04", "39 wk", map[string]string{"young-age-limit": "30 d"}, young},
		{"30 days, young below 30", "2031-04-03", "39 wk", map[string]string{"young-age-limit": "30 d"}, old},
		{"20 days, young below 14", "2031-04-13", "39 wk", map[string]string{"young-age-limit": "14 d"}, old},
		{"43+6 weeks, young below 42", "2031-03-15", "258 d", map[string]string{"young-postmenstrual-limit": "42 wk"}, old},
		{"gestation not known, 100 days, young below 90", "2031-01-23", "", map[string]string{"young-unknown-limit": "90 d"}, old},
		{"gestation not known, 100 days", "2031-01-23", "", nil, young},
	} {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			for key, value := range map[string]string{"birth-date": test.born, "gestational-age": test.gestation, "age": ""} {
				drop(s, "session", key)
				if value != "" {
					put(s, "session", key, value)
				}
			}
			for key, value := range test.limits {
				drop(s, "session", key)
				put(s, "session", key, value)
			}
			Apply(s)
			if got := says(s, "session", "look-limit"); got != test.limit {
				t.Errorf("limit %s, want %s", got, test.limit)
			}
		})
	}
}

// The day of the session is that of its place: at half past midnight in Ljubljana it
// is still the day before in Greenwich.
func TestDaysOfAgeAreThoseOfTheSessionsPlace(t *testing.T) {
	s := plain()
	put(s, "session", "birth-date", "2031-04-05") // 28 days before 3 May
	s.Start = "2031-05-03T00:30:00+02:00"
	Apply(s)
	if got := says(s, "session", "look-limit"); got != "168 h" {
		t.Errorf("at the place: %s", got)
	}
	s.Start = "2031-05-02T22:30:00Z"
	Apply(s)
	if got := says(s, "session", "look-limit"); got != "12 h" {
		t.Errorf("in Greenwich: %s", got)
	}
}

// Injections are at 14:24 and 14:30; the window is 12 h. Each look is at all four
// levels, found closed.
func TestALookIsMeasuredToTheNearestInjectionUsed(t *testing.T) {
	tests := []struct {
		name   string
		seen   string
		events []string // times
		change func(s *record.Session)
		age    string
		holds  string
	}{
		{"before", "13:40", nil, nil, "0.7 h", "holds"},
		{"before, at the limit exactly", "02:24", nil, nil, "12.0 h", "holds"},
		{"before, a minute past the limit", "02:23", nil, nil, "12.0 h", "stale-assessment"},
		{"after, at the limit exactly", "2031-05-04T02:30:00+02:00", nil, nil, "12.0 h", "holds"},
		{"after, a minute past the limit", "2031-05-04T02:31:00+02:00", nil, nil, "12.0 h", "stale-assessment"},
		{"among the injections", "14:25", nil, nil, "0.0 h", "holds"},
		{"in another offset", "2031-05-03T00:24:00Z", nil, nil, "12.0 h", "holds"},
		{"to the injections used only", "02:20", nil, func(s *record.Session) { inject(s, "3", "14:20", "0.6 L/min", "exclusion-cause: air") }, "12.1 h", "stale-assessment"},
		{"a date alone is the start of that day", "2031-05-03", nil, nil, "14.4 h", "stale-assessment"},
		{"no time", "", nil, func(s *record.Session) { drop(s, "level ductal", "level-seen") }, "nothing", "stale-assessment"},
		{"not seen", "13:40", nil, func(s *record.Session) { put(s, "level ductal", "level-state", "not-seen") }, "0.7 h", "not-assessed"},
		{"not stated", "13:40", nil, func(s *record.Session) { drop(s, "level ductal", "level-state") }, "0.7 h", "not-assessed"},
		{"no window", "13:40", nil, func(s *record.Session) { drop(s, "session", "assessment-window-young") }, "0.7 h", "stale-assessment"},

		{"an event before the look", "13:40", []string{"13:39"}, nil, "0.7 h", "holds"},
		{"an event in the minute of the look", "13:40", []string{"13:40"}, nil, "0.7 h", "stale-assessment"},
		{"an event seconds before the look, in its minute", "2031-05-03T13:40:50+02:00", []string{"13:40"}, nil, "0.7 h", "stale-assessment"},
		{"an event between", "13:40", []string{"14:00"}, nil, "0.7 h", "stale-assessment"},
		{"an event in the minute of the injection", "13:40", []string{"14:24"}, nil, "0.7 h", "stale-assessment"},
		{"an event among the injections", "13:40", []string{"14:27"}, nil, "0.7 h", "stale-assessment"},
		{"an event in the minute of the last injection", "13:40", []string{"2031-05-03T14:30:30+02:00"}, nil, "0.7 h", "stale-assessment"},
		{"a look after: an event in its minute", "15:00", []string{"2031-05-03T15:00:30+02:00"}, nil, "0.5 h", "stale-assessment"},
		{"an event after the injections", "13:40", []string{"14:31"}, nil, "0.7 h", "holds"},
		{"a look after: an event between", "15:00", []string{"14:45"}, nil, "0.5 h", "stale-assessment"},
		{"a look after: an event behind it", "15:00", []string{"15:01"}, nil, "0.5 h", "holds"},
		{"a look after: an event before the injections", "15:00", []string{"14:23"}, nil, "0.5 h", "holds"},
		{"an event of that day", "13:40", []string{"2031-05-03"}, nil, "0.7 h", "stale-assessment"},
		{"an event of the day before", "13:40", []string{"2031-05-02"}, nil, "0.7 h", "holds"},
		{"an event at no known time", "13:40", []string{""}, nil, "0.7 h", "stale-assessment"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			for _, level := range measure.Levels {
				look(s, level, "closed", test.seen)
			}
			for i, at := range test.events {
				put(s, "event "+string(rune('1'+i)), "event", "surfactant at "+at)
			}
			if test.change != nil {
				test.change(s)
			}
			ids := rules(t, s)
			if got := says(s, "level ductal", "level-age") + ", " + says(s, "level ductal", "level-holds"); got != test.age+", "+test.holds {
				t.Errorf("%s, want %s, %s", got, test.age, test.holds)
			}
			if lapsed := test.holds == "stale-assessment"; lapsed != strings.Contains(ids, "shunt-look-lapsed") {
				t.Errorf("findings: %s", ids)
			}
		})
	}
}

// The finding names the event that ended a look, by its code.
func TestAFindingNamesTheEventThatEndsALook(t *testing.T) {
	s := plain()
	for _, level := range measure.Levels {
		look(s, level, "closed", "13:40")
	}
	put(s, "event 1", "event", "surfactant at 13:00")
	put(s, "event 2", "event", "nitric-oxide-change at 14:00")
	want := `between the look at the ductal level and the injections lies the event "nitric-oxide-change"; such an event ends what a look says; the level counts as not seen`
	list := Apply(s)
	if !slices.ContainsFunc(list, func(f finding.Finding) bool { return strings.Contains(f.Text(false), want) }) {
		t.Errorf("found %v", list)
	}
}

// An event ends every look before it, and none after it.
func TestAnEventEndsEveryLevelOfThatLook(t *testing.T) {
	s := plain()
	look(s, "atrial", "closed", "14:10")
	put(s, "event 1", "event", "nitric-oxide-change at 14:00")
	Apply(s)
	for level, want := range map[string]string{"atrial": "holds", "ventricular": "stale-assessment", "ductal": "stale-assessment", "aortopulmonary": "stale-assessment"} {
		if got := says(s, "level "+level, "level-holds"); got != want {
			t.Errorf("%s: %s", level, got)
		}
	}
	if l := s.Verdict().Label; l.Reason != "stale-assessment" {
		t.Errorf("label %s %s", l.Code(), l.Reason)
	}
}

// Nothing stated at all: four levels that nobody looked at, never 'none'.
func TestNoShuntIsNeverInferredFromSilence(t *testing.T) {
	s := empty()
	inject(s, "1", "14:24", "0.6 L/min")
	Apply(s)
	for _, level := range []string{"atrial", "ventricular", "ductal", "aortopulmonary"} {
		if got := says(s, "level "+level, "level-holds"); got != "not-assessed" {
			t.Errorf("%s: %s", level, got)
		}
	}
	if got := says(s, "session", "stroke-volume"); got != "absent, shunt-not-assessed" {
		t.Errorf("stroke volume: %s", got)
	}
}
