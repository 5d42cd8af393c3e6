package derive

import (
	"strings"
	"testing"

	"saltmark/mapping/record"
)

func answer(s *record.Session, by string) {
	s.Verification = record.Verification{By: "demo-person-9", At: clock("15:00"), Revision: 1}
	put(s, "session", "sign-answer", "demo answer")
	put(s, "session", "sign-answer-by", by)
	put(s, "session", "sign-answer-at", "14:55")
}

func TestASignAgainstTheContextWaitsForTheVerifier(t *testing.T) {
	sign := func(s *record.Session) { put(s, "injection 1", "shunt-sign", "yes") }
	excluded := func(cause string) func(s *record.Session) {
		return func(s *record.Session) { sign(s); put(s, "injection 1", "exclusion-cause", cause) }
	}
	tip := func(s *record.Session) { put(s, "catheter venous", "catheter-tip", "left-atrium") }
	tests := []struct {
		name string
		make func(s *record.Session)
		want string
	}{
		{"no sign", func(s *record.Session) { put(s, "injection 1", "shunt-sign", "no") }, "none"},
		{"not reported", func(s *record.Session) { put(s, "injection 1", "shunt-sign", "not-reported") }, "none"},
		{"a sign, all closed", sign, "unanswered"},
		{"a sign, a foramen right to left", func(s *record.Session) { sign(s); look(s, "atrial", "right-to-left", "13:40") }, "unanswered"},
		{"a sign, a duct left to right explains it", func(s *record.Session) { sign(s); look(s, "ductal", "left-to-right", "13:40") }, "none"},
		{"a sign, a level not seen may explain it", func(s *record.Session) { sign(s); put(s, "level ductal", "level-state", "not-seen") }, "none"},
		{"a sign, a stale look may explain it", func(s *record.Session) { sign(s); look(s, "ductal", "closed", "01:00") }, "none"},
		{"of an injection excluded for movement", excluded("movement"), "unanswered"},
		{"of an injection excluded for its volume", excluded("injected-volume"), "unanswered"},
		{"of an injection excluded for the sensor", excluded("sensor"), "none"},
		{"of an injection excluded for air", excluded("air"), "none"},
		{"of an injection excluded for the catheter", excluded("catheter"), "none"},
		{"answered by the verifier", func(s *record.Session) { sign(s); answer(s, "demo-person-9") }, "answered"},
		{"answered by another", func(s *record.Session) { sign(s); answer(s, "demo-person-7") }, "unanswered"},
		{"answered without words", func(s *record.Session) { sign(s); answer(s, "demo-person-9"); drop(s, "session", "sign-answer") }, "unanswered"},
		{"answered without a time", func(s *record.Session) { sign(s); answer(s, "demo-person-9"); drop(s, "session", "sign-answer-at") }, "unanswered"},
		{"answered and not verified", func(s *record.Session) { sign(s); answer(s, ""); s.Verification = record.Verification{} }, "unanswered"},
		{"an answer to nothing", func(s *record.Session) { answer(s, "demo-person-9") }, "none"},
		{"the tip went through a closed atrial level", tip, "unanswered"},
		{"the same, answered", func(s *record.Session) { tip(s); answer(s, "demo-person-9") }, "answered"},
		{"the tip went through an open foramen", func(s *record.Session) { tip(s); look(s, "atrial", "left-to-right", "13:40") }, "none"},
		{"the tip went through what was stated closed long ago", func(s *record.Session) { tip(s); look(s, "atrial", "closed", "01:00") }, "unanswered"},
		{"a sign that the tip withholds", func(s *record.Session) { tip(s); sign(s); look(s, "atrial", "right-to-left", "13:40") }, "none"},
		{"a tip in the liver is no contradiction", func(s *record.Session) { put(s, "catheter venous", "catheter-tip", "liver") }, "none"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			test.make(s)
			ids := rules(t, s)
			if got := says(s, "session", "sign-contradicts"); got != test.want {
				t.Errorf("%s, want %s", got, test.want)
			}
			if told := strings.Contains(ids, "sign-contradicts"); told != (test.want == "unanswered") {
				t.Errorf("findings: %s", ids)
			}
		})
	}
}

// While a sign is unanswered the left ventricular column is blocked; the flow keeps
// its label where the area is known to count lung recirculation.
func TestAnUnansweredSignBlocksTheLeftVentricle(t *testing.T) {
	s := full()
	put(s, "injection 1", "shunt-sign", "yes")
	put(s, "session", "area-counts-lung-recirculation", "yes")
	Apply(s)
	if v := s.Verdict(); v.Label.Code() != "Qs-LVO-RVO-Qp" || !v.Blocked {
		t.Errorf("label %s, blocked %v", v.Label.Code(), v.Blocked)
	}
	for key, want := range map[string]string{
		"stroke-volume": "absent, sign-unanswered", "stroke-volume-index": "absent, sign-unanswered", "blood-flow": "0.610 L/min",
		"oxygen-delivery": "104 mL/min", "central-blood-volume": "61.5 mL",
	} {
		if got := says(s, "session", key); got != want {
			t.Errorf("%s: %s, want %s", key, got, want)
		}
	}
	answer(s, "demo-person-9")
	Apply(s)
	if got := says(s, "session", "stroke-volume"); got != "4.1 mL" {
		t.Errorf("answered: %s", got)
	}
}

func TestTheTipOfTheVenousCatheterWithholdsWhatItSpoils(t *testing.T) {
	tests := []struct{ tip, volume, transit, sign, end string }{
		{"right-atrium", "61.5 mL", "6.1 s", "no", "11.2 mL"},
		{"liver", "absent, catheter-tip", "absent, catheter-tip", "no", "11.2 mL"},
		{"portal-vein", "absent, catheter-tip", "absent, catheter-tip", "no", "11.2 mL"},
		{"left-atrium", "absent, catheter-tip", "absent, catheter-tip", "absent, catheter-tip", "absent, shunt-rule"},
	}
	for _, test := range tests {
		t.Run(test.tip, func(t *testing.T) {
			s := full()
			put(s, "session", "area-counts-lung-recirculation", "yes")
			put(s, "catheter venous", "catheter-tip", test.tip)
			if test.tip == "left-atrium" {
				look(s, "atrial", "left-to-right", "13:40")
			}
			Apply(s)
			for _, about := range []string{"session", "injection 1", "injection 2"} {
				if got := says(s, about, "central-blood-volume"); got != test.volume {
					t.Errorf("%s central blood volume: %s", about, got)
				}
				if got := says(s, about, "mean-transit-time"); got != test.transit {
					t.Errorf("%s transit: %s", about, got)
				}
				if got := says(s, about, "end-diastolic-volume"); got != test.end {
					t.Errorf("%s end-diastolic volume: %s", about, got)
				}
			}
			if got := says(s, "injection 1", "shunt-sign"); got != test.sign {
				t.Errorf("sign: %s", got)
			}
			if got := says(s, "session", "stroke-volume"); got != "4.1 mL" {
				t.Errorf("stroke volume: %s", got)
			}
		})
	}
}
