package derive

import (
	"strings"
	"testing"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// The invented infant of the page on words: the numbers that a colleague reads there.
func TestTheInfantOfThePageOnWords(t *testing.T) {
	s := plain()
	if told := rules(t, s); told != "" {
		t.Errorf("findings: %s", told)
	}
	for key, want := range map[string]string{
		"blood-flow": "0.610 L/min", "blood-flow-index-by-weight": "203 mL/min/kg", "blood-flow-index-by-area": "2.95 L/min/m2",
		"stroke-volume": "4.1 mL", "spread": "3.9 %", "injections-used": "2 1", "loop-share-of-flow": "2.0 %",
		"fluid-given": "7.0 mL", "fluid-given-by-weight": "2.3 mL/kg", "sodium-given": "1.1 mmol", "sodium-given-by-weight": "0.36 mmol/kg",
	} {
		if got := says(s, "session", key); got != want {
			t.Errorf("%s: %s, want %s", key, got, want)
		}
	}
}

// Worked by hand from the values as charted: flow 0.610, without the loop 0.598,
// area 0.207, mean pressures 45 and 5, content 1.34 x 13.2 x 0.97 + 0.003 x 72.
func TestEveryValueOfAFullSheet(t *testing.T) {
	s := full()
	if told := rules(t, s); told != "" {
		t.Errorf("findings: %s", told)
	}
	for key, want := range map[string]string{
		"body-surface-area": "0.207 m2", "mean-heart-rate": "150 /min", "mean-arterial-pressure": "45 mm[Hg]", "mean-central-venous-pressure": "5 mm[Hg]",
		"stroke-volume-index": "19.6 mL/m2", "flow-without-loop": "0.598 L/min",
		"systemic-vascular-resistance": "5351 dyn.s/cm5", "systemic-vascular-resistance-index": "1108 dyn.s.m2/cm5",
		"arterial-oxygen-content": "17.4 mL/dL", "dissolved-oxygen-counted": "yes", "oxygen-delivery": "104 mL/min", "oxygen-delivery-index": "503 mL/min/m2",
		"central-blood-volume-index-by-weight": "20.5 mL/kg", "central-blood-volume-index-by-area": "297 mL/m2",
		"end-diastolic-volume-index-by-weight": "3.7 mL/kg", "end-diastolic-volume-index-by-area": "54.1 mL/m2",
		"indicator-distribution-volume": "1210 mL",
	} {
		if got := says(s, "session", key); got != want {
			t.Errorf("%s: %s, want %s", key, got, want)
		}
	}
	if got := says(s, "injection 1", "indicator-volume-by-weight"); got != "0.8 mL/kg" {
		t.Errorf("indicator per kg: %s", got)
	}
}

func TestDerivedValuesNameTheirSourcesAndTime(t *testing.T) {
	s := full()
	Apply(s)
	for key, want := range map[string]string{
		"blood-flow":                   "14:30 from injection 1 blood-flow (reported), injection 2 blood-flow (reported)",
		"blood-flow-index-by-weight":   "14:30 from session weight (stated), session blood-flow (derived)",
		"mean-heart-rate":              "14:30 from injection 1 injection (stated), injection 2 injection (stated)",
		"stroke-volume":                "14:30 from session blood-flow (derived), session mean-heart-rate (derived)",
		"body-surface-area":            "14:30 from session weight (stated), session length (stated)",
		"systemic-vascular-resistance": "14:30 from session mean-arterial-pressure (derived), session mean-central-venous-pressure (derived), session flow-without-loop (derived)",
		"flow-without-loop":            "14:30 from session blood-flow (derived)",
		"arterial-oxygen-content":      "14:00 from sample 1 haemoglobin (stated), sample 1 arterial-saturation (stated), sample 1 arterial-oxygen-pressure (stated)",
		"session-panel":                "14:20 from nothing",
		"shunt-context":                "14:30 from nothing",
		"measurement-load":             "14:40 from session weight (stated), injection 1 injection (stated), injection 2 injection (stated), earlier 1 earlier-session (stated)",
	} {
		f := s.Find(record.TheSession, key, record.Derived)
		if got := strings.TrimSuffix(strings.TrimPrefix(string(f.At), "2031-05-03T"), ":00+02:00") + " from " + refs(f.From).String(); got != want {
			t.Errorf("%s: %s\nwant %s", key, got, want)
		}
	}
	if got := s.Find(record.TheSession, "body-surface-area", record.Derived).Method; got != "haycock" {
		t.Errorf("area by %q", got)
	}
}

// A sheet that does not speak of a matter gets no absences about it; five values say
// always what they are, or why they are not.
func TestAPlainSheetIsNotFullOfAbsences(t *testing.T) {
	s := empty()
	put(s, "session", "weight", "3.0 kg at 08:00")
	for _, level := range measure.Levels {
		look(s, level, "closed", "13:40")
	}
	inject(s, "1", "14:24", "0.598 L/min")
	inject(s, "2", "14:30", "0.622 L/min")
	Apply(s)
	absences := map[string]string{}
	for _, f := range s.Facts {
		if f.Value.IsAbsent() {
			absences[f.Measure] = f.Value.Absent.Reason
		}
	}
	want := map[string]string{"blood-flow-index-by-area": "input-missing", "stroke-volume": "input-missing", "stroke-volume-index": "input-missing"}
	for key, reason := range want {
		if absences[key] != reason {
			t.Errorf("%s: %q", key, absences[key])
		}
		delete(absences, key)
	}
	if len(absences) > 0 {
		t.Errorf("absent too: %v", absences)
	}
	if got := says(s, "session", "blood-flow-index-by-weight"); got != "203 mL/min/kg" {
		t.Errorf("per kg: %s", got)
	}
}

func TestSomeOfItsInputsMakeAValueSpeak(t *testing.T) {
	tests := []struct {
		name  string
		drops []string // "about key"
		key   string
		want  string
	}{
		{"no venous pressure: nothing is said of resistance", []string{"injection 1|central-venous-pressure", "injection 2|central-venous-pressure"}, "systemic-vascular-resistance", "nothing"},
		{"venous pressure at one injection alone", []string{"injection 2|central-venous-pressure"}, "systemic-vascular-resistance", "absent, input-missing"},
		{"venous pressure, no arterial one", []string{"injection 1|arterial-pressure-mean", "injection 2|arterial-pressure-mean"}, "systemic-vascular-resistance", "absent, input-missing"},
		{"no loop flow: none is assumed", []string{"session|loop-flow"}, "systemic-vascular-resistance", "absent, input-missing"},
		{"no loop flow: no flow without it", []string{"session|loop-flow"}, "flow-without-loop", "nothing"},
		{"no loop flow: no share", []string{"session|loop-flow"}, "loop-share-of-flow", "nothing"},
		{"no haemoglobin", []string{"sample 1|haemoglobin"}, "oxygen-delivery", "nothing"},
		{"no saturation", []string{"sample 1|arterial-saturation"}, "arterial-oxygen-content", "nothing"},
		{"no oxygen pressure: the dissolved part is left out", []string{"sample 1|arterial-oxygen-pressure"}, "arterial-oxygen-content", "17.2 mL/dL"},
		{"no oxygen pressure: and said so", []string{"sample 1|arterial-oxygen-pressure"}, "dissolved-oxygen-counted", "no"},
		{"no heart rate at one injection", []string{"injection 2|heart-rate"}, "stroke-volume", "absent, input-missing"},
		{"no length: no index of optional values", []string{"session|length"}, "central-blood-volume-index-by-area", "nothing"},
		{"no length: the index of the flow says so", []string{"session|length"}, "blood-flow-index-by-area", "absent, input-missing"},
		{"no weight", []string{"session|weight"}, "blood-flow-index-by-weight", "absent, input-missing"},
		{"no oxygen capacity set by the site", []string{"session|oxygen-capacity"}, "arterial-oxygen-content", "absent, input-missing"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := full()
			for _, d := range test.drops {
				about, key, _ := strings.Cut(d, "|")
				drop(s, about, key)
			}
			Apply(s)
			if got := says(s, "session", test.key); got != test.want {
				t.Errorf("%s, want %s", got, test.want)
			}
		})
	}
}

// What a formula has no meaning for is absent, and said.
func TestAFormulaThatCannotBeDoneIsTold(t *testing.T) {
	tests := []struct {
		name string
		make func(s *record.Session)
		key  string
	}{
		{"loop flow as large as the flow", func(s *record.Session) { put(s, "session", "loop-flow", "610 mL/min") }, "flow-without-loop"},
		{"venous pressure above the arterial", func(s *record.Session) {
			put(s, "injection 1", "central-venous-pressure", "50 mm[Hg]")
			put(s, "injection 2", "central-venous-pressure", "50 mm[Hg]")
		}, "systemic-vascular-resistance"},
		{"saturation above 100 %", func(s *record.Session) { put(s, "sample 1", "arterial-saturation", "101 % at 14:00") }, "arterial-oxygen-content"},
		{"no weight at all", func(s *record.Session) { put(s, "session", "weight", "0 kg at 08:00") }, "blood-flow-index-by-weight"},
		{"no flow at all", func(s *record.Session) { put(s, "injection 1", "blood-flow", "0 L/min at 14:24") }, "blood-flow"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := full()
			drop(s, "session", "area-index-weight-limit")
			test.make(s)
			if told := rules(t, s); !strings.Contains(told, "derive-refused") {
				t.Errorf("findings: %s", told)
			}
			if got := says(s, "session", test.key); got != "absent, input-missing" {
				t.Errorf("%s: %s", test.key, got)
			}
		})
	}
}

// The newest value within its age limit counts, from arterial samples alone where it
// is arterial. The limit is 4 h, the flow of 14:30.
func TestOxygenContentTakesTheNewestBloodWithinTheLimit(t *testing.T) {
	sample := func(s *record.Session, number, at, site, haemoglobin, saturation string) {
		about := "sample " + number
		put(s, about, "blood-sample", " at "+at)
		put(s, about, "sample-site", site)
		if haemoglobin != "" {
			put(s, about, "haemoglobin", haemoglobin+" g/dL at "+at)
		}
		if saturation != "" {
			put(s, about, "arterial-saturation", saturation+" % at "+at)
		}
	}
	tests := []struct {
		name string
		make func(s *record.Session)
		want string
		at   string
	}{
		{"one sample at the limit exactly", func(s *record.Session) { sample(s, "1", "10:30", "arterial", "10.0", "100") }, "13.4 mL/dL", "10:30"},
		{"one sample beyond it", func(s *record.Session) { sample(s, "1", "10:29", "arterial", "10.0", "100") }, "absent, stale-input", "14:30"},
		{"one sample after the measurement", func(s *record.Session) { sample(s, "1", "18:30", "arterial", "10.0", "100") }, "13.4 mL/dL", "18:30"},
		{"the newer of two", func(s *record.Session) {
			sample(s, "2", "13:00", "arterial", "20.0", "100")
			sample(s, "3", "12:00", "arterial", "10.0", "100")
		}, "26.8 mL/dL", "13:00"},
		{"the newest is too far off, an older one is not", func(s *record.Session) {
			sample(s, "2", "13:00", "arterial", "20.0", "100")
			sample(s, "3", "19:00", "arterial", "10.0", "100")
		}, "26.8 mL/dL", "13:00"},
		{"saturation from an arterial sample alone", func(s *record.Session) {
			sample(s, "2", "13:00", "capillary", "20.0", "50")
			sample(s, "3", "12:00", "arterial-preductal", "10.0", "100")
		}, "26.8 mL/dL", "12:00"},
		{"no arterial sample", func(s *record.Session) { sample(s, "1", "13:00", "venous-mixed", "10.0", "70") }, "nothing", ""},
		{"a fresh saturation and an old haemoglobin", func(s *record.Session) {
			sample(s, "1", "13:00", "arterial", "", "100")
			sample(s, "2", "02:00", "venous-central", "10.0", "")
		}, "absent, stale-input", "14:30"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			test.make(s)
			Apply(s)
			if got := says(s, "session", "arterial-oxygen-content"); got != test.want {
				t.Errorf("%s, want %s", got, test.want)
			}
			if f := s.Get(record.TheSession, "arterial-oxygen-content"); f != nil && f.At != clock(test.at) {
				t.Errorf("at %s, want %s", f.At, test.at)
			}
		})
	}
}
