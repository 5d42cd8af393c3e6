package derive

import (
	"strings"
	"testing"

	"saltmark/mapping/record"
)

func TestWhatKeepsASessionPreliminary(t *testing.T) {
	tie := func(s *record.Session) {
		put(s, "injection 1", "blood-flow", "0.600 L/min at 14:24")
		put(s, "injection 2", "blood-flow", "0.640 L/min at 14:30")
		inject(s, "3", "14:33", "0.680 L/min")
	}
	confirm := func(s *record.Session, rule, by string) {
		put(s, "confirmation 1", "confirmation", " at 15:00")
		put(s, "confirmation 1", "confirmed-rule", rule)
		put(s, "confirmation 1", "confirmed-why", "demo")
		put(s, "confirmation 1", "confirmed-by", by)
		s.Verification = record.Verification{By: "demo-person-9", At: clock("15:00"), Revision: 1}
	}
	tests := []struct {
		name string
		make func(s *record.Session)
		want string
	}{
		{"nothing", func(*record.Session) {}, ""},
		{"foramen not seen: the label is determined", func(s *record.Session) {
			look(s, "atrial", "not-seen", "13:40")
			put(s, "session", "area-counts-lung-recirculation", "yes")
		}, ""},
		{"duct not seen", func(s *record.Session) { look(s, "ductal", "not-seen", "13:40") }, "not-assessed"},
		{"duct seen long ago", func(s *record.Session) { look(s, "ductal", "closed", "01:00") }, "stale-assessment"},
		{"duct, area not known", func(s *record.Session) { look(s, "ductal", "left-to-right", "13:40") }, "monitor-area-unknown"},
		{"duct, area without the lungs", func(s *record.Session) {
			look(s, "ductal", "left-to-right", "13:40")
			put(s, "session", "area-counts-lung-recirculation", "no")
		}, "monitor-area-excludes-lungs"},
		{"duct right to left: no data would cure that", func(s *record.Session) { look(s, "ductal", "right-to-left", "13:40") }, ""},
		{"other anatomy", func(s *record.Session) { put(s, "session", "anatomy", "other-anatomy") }, ""},
		{"life support beside a level not seen", func(s *record.Session) {
			put(s, "session", "life-support", "yes")
			look(s, "ductal", "not-seen", "13:40")
		}, ""},
		{"a sign unanswered", func(s *record.Session) {
			put(s, "injection 1", "shunt-sign", "yes")
			put(s, "session", "area-counts-lung-recirculation", "yes")
		}, "sign-unanswered"},
		{"a sign answered", func(s *record.Session) { put(s, "injection 1", "shunt-sign", "yes"); answer(s, "demo-person-9") }, ""},
		{"one injection", func(s *record.Session) { put(s, "injection 2", "exclusion-cause", "air") }, "single-injection"},
		{"no agreement", func(s *record.Session) { put(s, "injection 2", "blood-flow", "0.9 L/min at 14:30") }, "no-agreeing-pair"},
		{"all excluded", func(s *record.Session) {
			put(s, "injection 1", "exclusion-cause", "air")
			put(s, "injection 2", "exclusion-cause", "air")
		}, "injection-failed"},
		{"a wide tie", tie, "tie-unconfirmed"},
		{"a tie that spreads by less than the tolerance", func(s *record.Session) {
			put(s, "injection 1", "blood-flow", "0.950 L/min at 14:24")
			put(s, "injection 2", "blood-flow", "1.040 L/min at 14:30")
			inject(s, "3", "14:33", "1.040 L/min")
			inject(s, "4", "14:36", "1.050 L/min")
		}, ""},
		{"a wide tie, confirmed", func(s *record.Session) { tie(s); confirm(s, TiedRule, "demo-person-9") }, ""},
		{"a wide tie, confirmed by another", func(s *record.Session) { tie(s); confirm(s, TiedRule, "demo-person-7") }, "tie-unconfirmed"},
		{"a wide tie, something else confirmed", func(s *record.Session) { tie(s); confirm(s, "plausible-flow-per-kg", "demo-person-9") }, "tie-unconfirmed"},
		{"a wide tie, confirmed without a reason", func(s *record.Session) {
			tie(s)
			confirm(s, TiedRule, "demo-person-9")
			drop(s, "confirmation 1", "confirmed-why")
		}, "tie-unconfirmed"},
		{"the tip in the liver", func(s *record.Session) { put(s, "catheter venous", "catheter-tip", "liver") }, "catheter-tip"},
		{"the tip in the portal vein", func(s *record.Session) { put(s, "catheter venous", "catheter-tip", "portal-vein") }, "catheter-tip"},
		{"several", func(s *record.Session) {
			look(s, "ductal", "not-seen", "13:40")
			put(s, "injection 2", "exclusion-cause", "air")
			put(s, "catheter venous", "catheter-tip", "liver")
		}, "not-assessed single-injection catheter-tip"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			test.make(s)
			Apply(s)
			var codes []string
			for _, h := range Hold(s) {
				codes = append(codes, h.Code)
				if h.Words == "" {
					t.Errorf("%s has no words", h.Code)
				}
			}
			if got := strings.Join(codes, " "); got != test.want {
				t.Errorf("%q, want %q", got, test.want)
			}
		})
	}
}

// What the verifier confirms is a rule that a finding names.
func TestTheRuleThatIsConfirmedIsAFindings(t *testing.T) {
	s := plain()
	inject(s, "3", "14:33", "0.680 L/min")
	put(s, "injection 1", "blood-flow", "0.600 L/min at 14:24")
	put(s, "injection 2", "blood-flow", "0.640 L/min at 14:30")
	if ids := rules(t, s); !strings.Contains(ids, TiedRule) {
		t.Errorf("findings: %s", ids)
	}
}
