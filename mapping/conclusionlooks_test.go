package mapping_test

import (
	"testing"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

func lookAll(state, seen string) func(*record.Session) {
	return func(s *record.Session) {
		for _, level := range measure.Levels {
			look(s, level, state, seen)
		}
	}
}

// The injections are of 14:24 and 14:30; the limit is 12 h in this infant of two
// weeks, 168 h in a child.
func TestTheAgeOfALookNeverContradictsItsLimit(t *testing.T) {
	child := func(seen string) func(*record.Session) {
		return func(s *record.Session) {
			put(s, `session | birth-date | 2030-05-03`)
			lookAll("closed", seen)(s)
		}
	}
	speak(t, []spoken{
		{"hours", lookAll("closed", "2031-05-02T07:30:00+02:00"), []string{"last echo 31 h before; this unit's limit is 12 h"}, nil},
		{"twenty minutes beyond", lookAll("closed", "2031-05-04T02:50:00+02:00"), []string{"last echo 12 h 20 min after; this unit's limit is 12 h"}, nil},
		{"seconds beyond", lookAll("closed", "2031-05-04T02:30:05+02:00"), []string{"last echo 12 h 1 min after; this unit's limit is 12 h"}, nil},
		{"by the clock of the day", lookAll("closed", "01:00"), []string{"last echo 01:00; this unit's limit is 12 h"}, nil},
		{"seven days and five hours", child("2031-04-26T09:24:00+02:00"), []string{"last echo 173 h before; this unit's limit is 168 h"}, nil},
		{"seven days and ten minutes", child("2031-04-26T14:14:00+02:00"), []string{"last echo 168 h 10 min before; this unit's limit is 168 h"}, nil},
		{"nine days", child("2031-04-24T13:00:00+02:00"), []string{"last echo 9 days before; this unit's limit is 168 h"}, nil},
		{"three days, and it holds", child("2031-04-30T12:00:00+02:00"), []string{"echo 3 days before found duct"}, nil},
		{"exactly at the limit", child("2031-04-26T14:24:00+02:00"), []string{"echo 7 days before found duct"}, []string{"NOT KNOWN"}},
		{"a date alone", child("2031-05-02"), []string{"echo of 2031-05-02 found duct"}, nil},
		{"written in another zone", lookAll("closed", "2031-05-03T11:40:00Z"), []string{"echo at 13:40 found"}, nil},
		{"a time not stated", func(s *record.Session) {
			for _, level := range measure.Levels {
				put(s, "level "+level+" | level-seen | ")
			}
		}, []string{"last echo at a time not stated; this unit's limit is 12 h"}, nil},
	})
}

func TestALookThatAnEventEndedNamesTheEvent(t *testing.T) {
	speak(t, []spoken{
		{"after the look", facts(`event 1 | event | surfactant | 14:00`), []string{"no valid look for a shunt (last echo 13:40; surfactant given at 14:00)."}, []string{"limit"}},
		{"two of them", facts(`
			event 1 | event | surfactant | 14:00
			event 2 | event | nitric-oxide-change | 14:10`),
			[]string{"(last echo 13:40; surfactant given at 14:00 and inhaled nitric oxide changed at 14:10)"}, nil},
		{"one before the look counts for nothing", facts(`
			event 1 | event | surfactant | 14:00
			event 2 | event | resuscitation | 12:00`),
			[]string{"(last echo 13:40; surfactant given at 14:00)"}, nil},
		{"on a day alone", facts(`event 1 | event | surfactant | 2031-05-03`), []string{"(last echo 13:40; surfactant given on 2031-05-03)"}, nil},
		{"a look that is too old as well", func(s *record.Session) {
			lookAll("closed", "2031-05-02T07:30:00+02:00")(s)
			put(s, `event 1 | event | surfactant | 14:00`)
		}, []string{"(last echo 31 h before; this unit's limit is 12 h)"}, nil},
		{"the look of the latest level is the last", func(s *record.Session) {
			lookAll("closed", "12:00")(s)
			look(s, "atrial", "closed", "13:40")
			put(s, `event 1 | event | surfactant | 14:00`)
		}, []string{"(last echo 13:40; surfactant given at 14:00)"}, nil},
		{"the atrial wall alone", func(s *record.Session) {
			look(s, "atrial", "closed", "2031-05-02T07:30:00+02:00")
		}, []string{"is not known: the look at the atrial wall no longer holds (last echo 31 h before; this unit's limit is 12 h). Echo at 13:40 found duct and ventricular wall closed"}, nil},
	})
}

func TestEveryLookIsNamed(t *testing.T) {
	speak(t, []spoken{
		{
			"of two kinds",
			func(s *record.Session) {
				look(s, "ductal", "closed", "12:00")
				put(s, `level ductal | level-method | magnetic-resonance`)
			},
			[]string{"magnetic resonance at 12:00 found duct closed; echo at 13:40 found atrial and ventricular walls closed and no other connection."}, nil,
		},
		{
			"of no kind", func(s *record.Session) {
				for _, level := range measure.Levels {
					put(s, "level "+level+" | level-method | ")
				}
			},
			[]string{": a look at 13:40 found duct"}, nil,
		},
		{
			"beside a lesion", func(s *record.Session) {
				look(s, "atrial", "left-to-right", "13:40")
				look(s, "ductal", "closed", "12:00")
			},
			[]string{"(left to right, echo 13:40; duct closed (echo 12:00), ventricular wall closed, no other connection)"}, nil,
		},
		{"where only the anatomy says that no flow is known", facts(`session | anatomy | other-anatomy`), []string{"Last look for a shunt: echo 13:40."}, nil},
		{"under a contradiction", func(s *record.Session) {
			look(s, "ductal", "closed", "12:00")
			put(s, `injection 1 | shunt-sign | yes`)
		}, []string{"against the shunt findings as stated (echo 12:00, echo 13:40)."}, []string{"Last look"}},
		{"where nobody looked", lookAll("not-seen", "13:40"), []string{"no valid look for a shunt."}, []string{"Last look"}},
	})
}
