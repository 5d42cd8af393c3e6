package derive

import (
	"strings"
	"testing"

	"saltmark/mapping/record"
)

// Two injections of 2.5 mL and a flush of 2.0 mL in an infant of 3.0 kg; saline and
// flush hold 0.154 mmol/mL.
func TestTheLoadCountsAllThatWasGiven(t *testing.T) {
	tests := []struct {
		name                 string
		make                 func(s *record.Session)
		fluid, sodium, perKg string
		sodiumPerKg, heparin string
		rules                string
	}{
		{"as it is", func(*record.Session) {}, "7.0 mL", "1.1 mmol", "2.3 mL/kg", "0.36 mmol/kg", "nothing", ""},
		{"an excluded injection counts", func(s *record.Session) { inject(s, "3", "14:33", "0.9 L/min", "exclusion-cause: air") }, "9.5 mL", "1.5 mmol", "3.2 mL/kg", "0.49 mmol/kg", "nothing", ""},
		{"a failed one counts", func(s *record.Session) { inject(s, "3", "14:33", "absent not-shown") }, "9.5 mL", "1.5 mmol", "3.2 mL/kg", "0.49 mmol/kg", "nothing", ""},
		{"flushes of the injections", func(s *record.Session) { put(s, "injection 1", "flush-volume", "1.5 mL") }, "8.5 mL", "1.3 mmol", "2.8 mL/kg", "0.44 mmol/kg", "nothing", ""},
		{"a prime that was given", func(s *record.Session) {
			put(s, "session", "prime-volume", "4.0 mL")
			put(s, "session", "prime-given", "yes")
			put(s, "session", "prime-sodium", "0.100 mmol/mL")
		}, "11.0 mL", "1.5 mmol", "3.7 mL/kg", "0.49 mmol/kg", "nothing", ""},
		{"a prime that was discarded", func(s *record.Session) {
			put(s, "session", "prime-volume", "4.0 mL")
			put(s, "session", "prime-given", "no")
		}, "7.0 mL", "1.1 mmol", "2.3 mL/kg", "0.36 mmol/kg", "nothing", ""},
		{"a prime of which nobody knows", func(s *record.Session) {
			put(s, "session", "prime-volume", "4.0 mL")
			put(s, "session", "prime-given", "unknown")
		}, "7.0 mL", "1.1 mmol", "2.3 mL/kg", "0.36 mmol/kg", "nothing", "prime-not-known"},
		{"a prime that was given, of unknown volume", func(s *record.Session) { put(s, "session", "prime-given", "yes") }, "absent, input-missing", "absent, input-missing", "absent, input-missing", "absent, input-missing", "nothing", ""},
		{"rinse-back of unknown content", func(s *record.Session) { put(s, "session", "rinse-back", "3.0 mL") }, "10.0 mL", "absent, input-missing", "3.3 mL/kg", "absent, input-missing", "nothing", ""},
		{"a volume of nothing needs no content", func(s *record.Session) { put(s, "session", "rinse-back", "0.0 mL") }, "7.0 mL", "1.1 mmol", "2.3 mL/kg", "0.36 mmol/kg", "nothing", ""},
		{"blood discarded, by volume only", func(s *record.Session) { put(s, "session", "blood-discarded", "1.5 mL") }, "5.5 mL", "1.1 mmol", "1.8 mL/kg", "0.36 mmol/kg", "nothing", ""},
		{"more blood discarded than given", func(s *record.Session) { put(s, "session", "blood-discarded", "8.0 mL") }, "-1.0 mL", "1.1 mmol", "-0.3 mL/kg", "0.36 mmol/kg", "nothing", ""},
		{"the fewest digits win, per kg from what was written", func(s *record.Session) { put(s, "session", "flush-total", "2 mL") }, "7 mL", "1.1 mmol", "2.3 mL/kg", "0.36 mmol/kg", "nothing", ""},
		{"heparin in the flush", func(s *record.Session) { put(s, "session", "flush-heparin", "2 [iU]/mL") }, "7.0 mL", "1.1 mmol", "2.3 mL/kg", "0.36 mmol/kg", "4.0 [iU]", ""},
		{"the volume of an injection is missing", func(s *record.Session) { drop(s, "injection 2", "indicator-volume") }, "absent, input-missing", "absent, input-missing", "absent, input-missing", "absent, input-missing", "nothing", ""},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			test.make(s)
			var told []string
			for id := range strings.FieldsSeq(rules(t, s)) {
				if !strings.HasPrefix(id, "replicates") {
					told = append(told, id)
				}
			}
			got := []string{says(s, "session", "fluid-given"), says(s, "session", "sodium-given"), says(s, "session", "fluid-given-by-weight"), says(s, "session", "sodium-given-by-weight"), says(s, "session", "heparin-given"), strings.Join(told, " ")}
			want := []string{test.fluid, test.sodium, test.perKg, test.sodiumPerKg, test.heparin, test.rules}
			if strings.Join(got, "; ") != strings.Join(want, "; ") {
				t.Errorf("%s\nwant %s", strings.Join(got, "; "), strings.Join(want, "; "))
			}
		})
	}
}

func TestTheVolumeOfTheLoopIsThatOfItsSections(t *testing.T) {
	s := plain()
	put(s, "session", "prime-volume", "9.5 mL")
	Apply(s)
	if got := says(s, "session", "loop-volume"); got != "9.5 mL" {
		t.Errorf("by its prime: %s", got)
	}
	for _, section := range sections {
		put(s, "session", section, "2.25 mL")
	}
	Apply(s)
	if got := says(s, "session", "loop-volume"); got != "9.00 mL" {
		t.Errorf("by its sections: %s", got)
	}
	// 9 mL of 84 mL/kg x 3.0 kg = 252 mL.
	if got := says(s, "session", "loop-share-of-blood-volume"); got != "3.6 %" {
		t.Errorf("share of blood volume: %s", got)
	}
	drop(s, "session", sections[2])
	drop(s, "session", "prime-volume")
	Apply(s)
	if got := says(s, "session", "loop-volume"); got != "nothing" {
		t.Errorf("with a section missing: %s", got)
	}
}

// The session starts at 14:20: earlier ones from 14:20 the day before count.
func TestEarlierSessionsOfTheLastDayCount(t *testing.T) {
	earlier := func(s *record.Session, number, at, fluid, sodium string) {
		put(s, "earlier "+number, "earlier-session", " at "+at)
		put(s, "earlier "+number, "earlier-fluid", fluid)
		if sodium != "" {
			put(s, "earlier "+number, "earlier-sodium", sodium)
		}
	}
	tests := []struct {
		name          string
		make          func(s *record.Session)
		fluid, sodium string
	}{
		{"none", func(*record.Session) {}, "nothing", "nothing"},
		{"one", func(s *record.Session) { earlier(s, "1", "09:00", "9.0 mL", "1.4 mmol") }, "16.0 mL", "2.5 mmol"},
		{"two", func(s *record.Session) {
			earlier(s, "1", "09:00", "9.0 mL", "1.4 mmol")
			earlier(s, "2", "11:00", "-1.0 mL", "0.2 mmol")
		}, "15.0 mL", "2.7 mmol"},
		{"at a day exactly", func(s *record.Session) { earlier(s, "1", "2031-05-02T14:20:00+02:00", "9.0 mL", "1.4 mmol") }, "16.0 mL", "2.5 mmol"},
		{"longer ago", func(s *record.Session) { earlier(s, "1", "2031-05-02T14:19:00+02:00", "9.0 mL", "1.4 mmol") }, "nothing", "nothing"},
		{"of unknown sodium", func(s *record.Session) { earlier(s, "1", "09:00", "9.0 mL", "") }, "16.0 mL", "absent, input-missing"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			test.make(s)
			Apply(s)
			if got := says(s, "session", "fluid-given-24-hours") + "; " + says(s, "session", "sodium-given-24-hours"); got != test.fluid+"; "+test.sodium {
				t.Errorf("%s, want %s; %s", got, test.fluid, test.sodium)
			}
		})
	}
}

func TestTimeOnTheLoopRunsToTheEnd(t *testing.T) {
	s := plain()
	put(s, "session", "loop-connected", "13:55")
	Apply(s)
	if got := says(s, "session", "time-on-loop"); got != "45 min" {
		t.Errorf("%s", got)
	}
	put(s, "session", "loop-connected", "15:00")
	Apply(s)
	if got := says(s, "session", "time-on-loop"); got != "nothing" {
		t.Errorf("connected after the end: %s", got)
	}
}
