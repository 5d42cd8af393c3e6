package derive

import (
	"strings"
	"testing"

	"saltmark/mapping/record"
)

// The flow is of 14:30; limits: weight 24 h, length 30 d, pressures 5 min. At the
// limit an input still holds. The stale value is charted, what derives from it not.
func TestWhatIsTooOldIsNotReckonedWith(t *testing.T) {
	pressures := func(at string) func(s *record.Session) {
		return func(s *record.Session) {
			put(s, "injection 1", "pressures-at", "14:24")
			put(s, "injection 2", "pressures-at", at)
		}
	}
	value := func(key, value string) func(s *record.Session) {
		return func(s *record.Session) { put(s, "session", key, value) }
	}
	tests := []struct {
		name string
		make func(s *record.Session)
		key  string
		want string // "" = charted
	}{
		{"weight at the limit exactly", value("weight", "3.0 kg at 2031-05-02T14:30:00+02:00"), "blood-flow-index-by-weight", ""},
		{"weight a minute older", value("weight", "3.0 kg at 2031-05-02T14:29:00+02:00"), "blood-flow-index-by-weight", "stale-input"},
		{"an old weight makes no area", value("weight", "3.0 kg at 2031-05-01T14:30:00+02:00"), "body-surface-area", "stale-input"},
		{"and no index by area", value("weight", "3.0 kg at 2031-05-01T14:30:00+02:00"), "blood-flow-index-by-area", "stale-input"},
		{"nor a load per kg", value("weight", "3.0 kg at 2031-05-01T14:30:00+02:00"), "fluid-given-by-weight", "stale-input"},
		{"the load itself needs no weight", value("weight", "3.0 kg at 2031-05-01T14:30:00+02:00"), "fluid-given", ""},
		{"a weight of later that day", value("weight", "3.0 kg at 22:00"), "blood-flow-index-by-weight", ""},
		{"a weight with a date alone, the day before", value("weight", "3.0 kg at 2031-05-02"), "blood-flow-index-by-weight", ""},
		{"a weight with a date alone, two days before", value("weight", "3.0 kg at 2031-05-01"), "blood-flow-index-by-weight", "stale-input"},
		{"a weight without a time", value("weight", "3.0 kg"), "blood-flow-index-by-weight", "stale-input"},
		{"a length of 30 days", value("length", "50 cm at 2031-04-03"), "body-surface-area", ""},
		{"a length of 31 days", value("length", "50 cm at 2031-04-02"), "body-surface-area", "stale-input"},
		{"an old length spoils no index by weight", value("length", "50 cm at 2031-03-01"), "blood-flow-index-by-weight", ""},
		{"pressures at the limit", pressures("14:35"), "systemic-vascular-resistance", ""},
		{"pressures beyond it", pressures("14:36"), "systemic-vascular-resistance", "stale-input"},
		{"nor a mean of them", pressures("14:36"), "mean-arterial-pressure", "stale-input"},
		{"pressures without a time are those at the injection", func(*record.Session) {}, "systemic-vascular-resistance", ""},
		{"the site sets no limit", func(s *record.Session) { drop(s, "session", "weight-age-limit") }, "blood-flow-index-by-weight", "stale-input"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := full()
			test.make(s)
			ids := rules(t, s)
			f := s.Get(record.TheSession, test.key)
			if f == nil || f.Value.Absent.Reason != test.want {
				t.Fatalf("%s is %s, want %q", test.key, says(s, "session", test.key), test.want)
			}
			if test.want == "stale-input" && !strings.Contains(ids, "stale-input") {
				t.Errorf("findings: %s", ids)
			}
			if got := says(s, "session", "weight"); got != "3.0 kg" {
				t.Errorf("the input itself: %s", got)
			}
		})
	}
}

// Each injection's volume per kg hangs on the weight at its own time.
func TestVolumePerKgIsJudgedAtTheInjection(t *testing.T) {
	s := plain()
	put(s, "session", "weight", "3.0 kg at 2031-05-02T14:27:00+02:00")
	Apply(s)
	if got := says(s, "injection 1", "indicator-volume-by-weight") + "; " + says(s, "injection 2", "indicator-volume-by-weight"); got != "0.8 mL/kg; absent, stale-input" {
		t.Errorf("%s", got)
	}
}

func TestTimeSpansAreWrittenExactly(t *testing.T) {
	for text, want := range map[string]string{"0s": "0 s", "59s": "59 s", "90m": "1 h 30 min", "47h59m": "47 h 59 min", "48h": "2 d", "49h0m1s": "2 d 1 h 1 s"} {
		if got := inWords(parsed(t, text)); got != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
}
