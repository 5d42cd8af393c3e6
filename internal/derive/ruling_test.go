package derive

import (
	"testing"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Why a column is withheld, by the label and its doubt. The monitor counts lung
// recirculation except where the row says otherwise.
func TestWhatIsWithheldSaysWhy(t *testing.T) {
	open := func(level, state string) func(s *record.Session) {
		return func(s *record.Session) { look(s, level, state, "13:40") }
	}
	area := func(answer string) func(s *record.Session) {
		return func(s *record.Session) {
			look(s, "ductal", "left-to-right", "13:40")
			put(s, "session", "area-counts-lung-recirculation", answer)
		}
	}
	const charted = ""
	tests := []struct {
		name             string
		make             func(s *record.Session)
		label            string
		lv, ro, cbv, edv string
	}{
		{"all closed", func(*record.Session) {}, "Qs-LVO-RVO-Qp", charted, charted, charted, charted},
		{"foramen left to right", open("atrial", "left-to-right"), "Qs-LVO", charted, charted, charted, "shunt-rule"},
		{"foramen right to left", open("atrial", "right-to-left"), "Qs-LVO", charted, charted, "shunt-rule", "shunt-rule"},
		{"foramen, direction not seen", open("atrial", "direction-not-seen"), "Qs-LVO", charted, charted, "shunt-rule", "shunt-rule"},
		{"foramen not seen", open("atrial", "not-seen"), "Qs-LVO", charted, charted, "shunt-not-assessed", "shunt-not-assessed"},
		{"foramen not seen beside a duct", func(s *record.Session) {
			look(s, "ductal", "left-to-right", "13:40")
			look(s, "atrial", "not-seen", "13:40")
		}, "Qs", "shunt-rule", charted, "shunt-not-assessed", "shunt-rule"},
		{"ventricular defect", open("ventricular", "left-to-right"), "Qs", "shunt-rule", charted, charted, "shunt-rule"},
		{"duct", open("ductal", "left-to-right"), "Qs-RVO", "shunt-rule", charted, charted, "shunt-rule"},
		{"duct right to left", open("ductal", "right-to-left"), "two-paths", "two-paths", "two-paths", "two-paths", "two-paths"},
		{"ventricular defect in both directions", open("ventricular", "bidirectional"), "unmixed-streams", "unmixed-streams", "unmixed-streams", "unmixed-streams", "unmixed-streams"},
		{"duct not seen", open("ductal", "not-seen"), "not-assessed", "shunt-not-assessed", "shunt-not-assessed", "shunt-not-assessed", "shunt-not-assessed"},
		{"duct seen long ago", func(s *record.Session) { look(s, "ductal", "closed", "01:00") }, "stale-assessment", "shunt-not-assessed", "shunt-not-assessed", "shunt-not-assessed", "shunt-not-assessed"},
		{"other anatomy", func(s *record.Session) { put(s, "session", "anatomy", "other-anatomy") }, "other-anatomy", "other-anatomy", "other-anatomy", "other-anatomy", "other-anatomy"},
		{"life support", func(s *record.Session) { put(s, "session", "life-support", "yes") }, "life-support", "life-support", "life-support", "life-support", "life-support"},
		{"duct, area not known", area("unknown"), "monitor-area-unknown", "monitor-area", "monitor-area", "monitor-area", "monitor-area"},
		{"duct, area without the lungs", area("no"), "monitor-area-excludes-lungs", "monitor-area", "monitor-area", "monitor-area", "monitor-area"},
		{"a sign, area known", func(s *record.Session) { put(s, "injection 1", "shunt-sign", "yes") }, "Qs-LVO-RVO-Qp", "sign-unanswered", charted, charted, charted},
		{"a sign, area not known", func(s *record.Session) {
			put(s, "injection 1", "shunt-sign", "yes")
			put(s, "session", "area-counts-lung-recirculation", "unknown")
		}, "monitor-area-unknown", "sign-unanswered", "monitor-area", "monitor-area", "monitor-area"},
		{"a tip against the context beside a duct: the duct forbids", func(s *record.Session) {
			look(s, "ductal", "left-to-right", "13:40")
			put(s, "catheter venous", "catheter-tip", "left-atrium")
		}, "Qs-RVO", "shunt-rule", charted, "catheter-tip", "shunt-rule"},
	}
	values := map[string]string{
		"stroke-volume": "4.1 mL", "oxygen-delivery": "104 mL/min", "systemic-vascular-resistance": "5351 dyn.s/cm5",
		"central-blood-volume": "61.5 mL", "mean-transit-time": "6.1 s", "end-diastolic-volume": "11.2 mL", "dispersion-volume": "20.1 mL",
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := full()
			put(s, "session", "area-counts-lung-recirculation", "yes")
			test.make(s)
			Apply(s)
			label := s.Verdict().Label
			if got := label.Code(); got != test.label && label.Reason != test.label {
				t.Errorf("label %s %s, want %s", got, label.Reason, test.label)
			}
			reasons := map[measure.Column]string{measure.ColumnLV: test.lv, measure.ColumnRO: test.ro, measure.ColumnCBV: test.cbv, measure.ColumnEDV: test.edv}
			for key, value := range values {
				want := value
				if reason := reasons[measure.Get(key).Column]; reason != charted {
					want = "absent, " + reason
				}
				if got := says(s, "session", key); got != want {
					t.Errorf("%s: %s, want %s", key, got, want)
				}
				if s.Get(thing("injection 1"), key) == nil {
					continue
				}
				if got := says(s, "injection 1", key); got != want {
					t.Errorf("%s of an injection: %s, want %s", key, got, want)
				}
			}
			if got := says(s, "session", "blood-flow"); got != "0.610 L/min" {
				t.Errorf("the flow itself: %s", got)
			}
		})
	}
}

// What the monitor did not show is not withheld by us; what it showed to be out of
// its range says something of its size.
func TestAWithheldValueKeepsWhatTheMonitorDidNotShow(t *testing.T) {
	s := withDuct()
	put(s, "injection 1", "end-diastolic-volume", "absent not-shown at 14:24")
	put(s, "injection 2", "end-diastolic-volume", "absent above-range at 14:30")
	s.Get(thing("injection 2"), "end-diastolic-volume").Value.Absent.Bound = record.Quantity{Number: "90", Unit: "mL"}
	Apply(s)
	for about, want := range map[string]string{"injection 1": "absent, not-shown", "injection 2": "absent, shunt-rule", "session": "absent, shunt-rule"} {
		if got := says(s, about, "end-diastolic-volume"); got != want {
			t.Errorf("%s: %s", about, got)
		}
	}
	if bound := s.Get(thing("injection 2"), "end-diastolic-volume").Value.Absent.Bound; bound.Number != "" {
		t.Errorf("the bound is still there: %s", bound)
	}
}

// A mean needs every injection that entered the flow.
func TestAValueThatOneInjectionLacksHasNoMean(t *testing.T) {
	tests := []struct {
		name string
		make func(s *record.Session)
		want string
	}{
		{"all have it", func(*record.Session) {}, "61.5 mL"},
		{"one not shown", func(s *record.Session) {
			put(s, "injection 2", "central-blood-volume", "absent not-shown at 14:30")
		}, "absent, not-shown"},
		{"one not stated", func(s *record.Session) { drop(s, "injection 2", "central-blood-volume") }, "absent, input-missing"},
		{"none stated", func(s *record.Session) {
			drop(s, "injection 1", "central-blood-volume")
			drop(s, "injection 2", "central-blood-volume")
		}, "nothing"},
		{"an excluded one may lack it", func(s *record.Session) { inject(s, "3", "14:33", "0.6 L/min", "exclusion-cause: air") }, "61.5 mL"},
		{"an excluded one takes no part", func(s *record.Session) {
			inject(s, "3", "14:33", "0.6 L/min", "exclusion-cause: air", "central-blood-volume: 90 mL")
		}, "61.5 mL"},
		{"the fewest digits win", func(s *record.Session) { put(s, "injection 2", "central-blood-volume", "64 mL at 14:30") }, "63 mL"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := full()
			test.make(s)
			Apply(s)
			if got := says(s, "session", "central-blood-volume"); got != test.want {
				t.Errorf("%s, want %s", got, test.want)
			}
		})
	}
}

func TestReadingsOfAnotherMethodGetTheirOwnLabel(t *testing.T) {
	s := withDuct()
	put(s, "comparator 2", "comparator", "")
	put(s, "comparator 2", "comparator-method", "echo")
	put(s, "comparator 2", "comparator-site", "aortic-valve")
	put(s, "reading 2.1", "comparator-flow", "0.75 L/min at 14:35")
	reading := func() measure.Label { Apply(s); return s.Get(thing("reading 2.1"), "comparator-flow").Label }
	if l := reading(); l.Code() != "LVO-Qp" {
		t.Errorf("beside a duct: %s", l.Code())
	}
	put(s, "session", "aortic-regurgitation", "not-seen")
	if l := reading(); l.Code() != "LVO-Qp" {
		t.Errorf("a valve not seen does not leak: %s", l.Code())
	}
	put(s, "session", "aortic-regurgitation", "mild")
	if l := reading(); l.Code() != "no-whole-flow" {
		t.Errorf("a leaking valve: %s", l.Code())
	}
	put(s, "comparator 2", "comparator-method", "fick-oxygen")
	put(s, "comparator 2", "comparator-site", "systemic-circulation")
	put(s, "comparator 2", "comparator-venous-site", "mixed-venous")
	put(s, "comparator 2", "comparator-arterial-site", "systemic-artery")
	if l := reading(); l.Code() != "Qs-RVO" {
		t.Errorf("Fick: %s", l.Code())
	}
}

// Single injections carry the session's label, the excluded ones too.
func TestEveryInjectionCarriesTheSessionsLabel(t *testing.T) {
	s := withDuct()
	inject(s, "3", "14:33", "0.9 L/min", "exclusion-cause: air")
	Apply(s)
	for _, about := range []string{"injection 1", "injection 2", "injection 3", "session"} {
		f := s.Get(thing(about), "blood-flow")
		if f.Label.Code() != "Qs-RVO" {
			t.Errorf("%s: %s", about, f.Label.Code())
		}
	}
}

// A withdrawn session derives as ever, so that readers see what had been there.
func TestAWithdrawnSessionKeepsItsValues(t *testing.T) {
	s := full()
	Apply(s)
	s.Withdrawal = record.Withdrawal{By: "demo-person-9", At: clock("16:00"), Reason: "demo"}
	for i := range s.Facts {
		s.Facts[i].Status = record.EnteredInError
	}
	if found := Check(s); len(found) > 0 {
		t.Errorf("%v", found)
	}
	Apply(s)
	if got := says(s, "session", "stroke-volume"); got != "4.1 mL" {
		t.Errorf("stroke volume: %s", got)
	}
}
