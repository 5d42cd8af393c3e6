package mapping_test

import (
	"slices"
	"strings"
	"testing"

	"saltmark/internal/derive"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// held gives the codes of what holds a session.
func held(t *testing.T, s *record.Session) string {
	t.Helper()
	var codes []string
	for _, h := range mapping.Hold(s) {
		codes = append(codes, h.Code)
		if slices.ContainsFunc(h.Words[:], func(words string) bool { return words == "" || strings.HasSuffix(words, ".") }) {
			t.Errorf("%s has no words, or a full stop: %q", h.Code, h.Words)
		}
	}
	return strings.Join(codes, " ")
}

func TestWhatKeepsASessionPreliminary(t *testing.T) {
	tie := func(s *record.Session) {
		inject(s, 3, "14:36", "0.680 L/min")
		put(s, `
			injection 1 | blood-flow | 0.600 L/min | 14:24
			injection 2 | blood-flow | 0.640 L/min | 14:30`)
	}
	confirm := func(s *record.Session, rule, by string) {
		put(s, `
			confirmation 1 | confirmation || 14:50
			confirmation 1 | confirmed-why | demo
			confirmation 1 | confirmed-rule | `+rule+`
			confirmation 1 | confirmed-by | `+by)
	}
	tests := []struct {
		name  string
		state func(s *record.Session)
		want  string
	}{
		{"nothing", func(*record.Session) {}, ""},
		{"foramen not seen: the label is determined", func(s *record.Session) { look(s, "atrial", "not-seen", "13:40") }, ""},
		{"duct not seen", func(s *record.Session) { look(s, "ductal", "not-seen", "13:40") }, "not-assessed"},
		{"duct seen long ago", func(s *record.Session) { look(s, "ductal", "closed", "01:00") }, "stale-assessment"},
		{"duct, area not known", func(s *record.Session) {
			look(s, "ductal", "left-to-right", "13:40")
			put(s, `session | area-counts-lung-recirculation | unknown`)
		}, "monitor-area-unknown"},
		{"duct, area without the lungs", func(s *record.Session) {
			look(s, "ductal", "left-to-right", "13:40")
			put(s, `session | area-counts-lung-recirculation | no`)
		}, "monitor-area-excludes-lungs"},
		{"duct right to left: no data would cure that", func(s *record.Session) { look(s, "ductal", "right-to-left", "13:40") }, ""},
		{"other anatomy", facts(`session | anatomy | other-anatomy`), ""},
		{"life support beside a level not seen", func(s *record.Session) {
			look(s, "ductal", "not-seen", "13:40")
			put(s, `session | life-support | yes`)
		}, ""},
		{"a sign unanswered", facts(`injection 1 | shunt-sign | yes`), "sign-unanswered"},
		{"a sign unanswered, area not known: the answer cures both", facts(`
			injection 1 | shunt-sign | yes
			session | area-counts-lung-recirculation | unknown`), "sign-unanswered"},
		{"a catheter through the atrial wall, area not known, duct open", func(s *record.Session) {
			look(s, "ductal", "left-to-right", "13:40")
			put(s, `
				catheter venous | catheter-tip | left-atrium
				session | area-counts-lung-recirculation | unknown`)
		}, "monitor-area-unknown sign-unanswered"},
		{"a sign answered", facts(`
			injection 1 | shunt-sign | yes
			session | sign-answer | seen again
			session | sign-answer-by | demo-person-9
			session | sign-answer-at | 2031-05-03T14:50:00+02:00`), ""},
		{"one injection", facts(`injection 2 | exclusion-cause | air`), "single-injection"},
		{"no agreement", facts(`injection 2 | blood-flow | 0.9 L/min | 14:30`), "no-agreeing-pair"},
		{"all excluded", facts(`
			injection 1 | exclusion-cause | air
			injection 2 | exclusion-cause | air`), "injection-failed"},
		{"no tolerance", facts(`session | agreement-tolerance | `), "input-missing"},
		{"a wide tie", tie, "tie-unconfirmed"},
		{"a tie that spreads by less than the tolerance", func(s *record.Session) {
			inject(s, 3, "14:36", "1.040 L/min")
			inject(s, 4, "14:38", "1.050 L/min")
			put(s, `
				injection 1 | blood-flow | 0.950 L/min | 14:24
				injection 2 | blood-flow | 1.040 L/min | 14:30`)
		}, ""},
		{"a wide tie, confirmed", func(s *record.Session) { tie(s); confirm(s, mapping.TiedRule, "demo-person-9") }, ""},
		{"a wide tie, confirmed by another", func(s *record.Session) { tie(s); confirm(s, mapping.TiedRule, "demo-person-7") }, "tie-unconfirmed"},
		{"a wide tie, something else confirmed", func(s *record.Session) { tie(s); confirm(s, "plausible-flow-per-kg", "demo-person-9") }, "tie-unconfirmed"},
		{"a wide tie, confirmed without a reason", func(s *record.Session) {
			tie(s)
			confirm(s, mapping.TiedRule, "demo-person-9")
			put(s, `confirmation 1 | confirmed-why | `)
		}, "tie-unconfirmed"},
		{"a wide tie, confirmed by a verifier who has not verified", func(s *record.Session) {
			tie(s)
			confirm(s, mapping.TiedRule, "demo-person-9")
			s.Verification = record.Verification{}
		}, "tie-unconfirmed"},
		{"the tip in the liver", facts(`catheter venous | catheter-tip | liver`), "catheter-tip"},
		{"the tip in the portal vein", facts(`catheter venous | catheter-tip | portal-vein`), "catheter-tip"},
		{"several", func(s *record.Session) {
			look(s, "ductal", "not-seen", "13:40")
			put(s, `
				injection 2 | exclusion-cause | air
				catheter venous | catheter-tip | liver`)
		}, "not-assessed single-injection catheter-tip"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			test.state(s)
			settled(t, s, nil)
			if got := held(t, s); got != test.want {
				t.Errorf("%q, want %q", got, test.want)
			}
			if kept := s.Verified() && s.ReportStatus == record.Preliminary; kept != (test.want != "" && s.Verified()) {
				t.Errorf("the report is %s", s.ReportStatus)
			}
			if h := mapping.Hold(s); len(h) > 0 && !strings.Contains(conclusion(t, s), h[len(h)-1].Words.In(measure.English)) {
				t.Errorf("the conclusion does not say %q: %s", h[len(h)-1].Words.In(measure.English), conclusion(t, s))
			}
			if got := held(t, accepted(t, s)); got != test.want {
				t.Errorf("read back it is %q, want %q", got, test.want)
			}
		})
	}
}

// What was taken back in a later revision holds nothing.
func TestWhatWasTakenBackHoldsNothing(t *testing.T) {
	first := accepted(t, settled(t, next(1, func(s *record.Session) { put(s, `catheter venous | catheter-tip | liver`) }), nil))
	second := settled(t, next(2, func(s *record.Session) { put(s, `catheter venous | catheter-tip | `) }), first)
	if got := held(t, second); got != "" || second.ReportStatus != record.Final {
		t.Errorf("held by %q, the report is %s", got, second.ReportStatus)
	}
}

// Every reason of a label that further data could cure holds a session, and no other.
func TestEveryCurableReasonHolds(t *testing.T) {
	for _, reason := range measure.Reasons() {
		s := plain()
		settled(t, s, nil)
		s.Find(record.TheSession, "blood-flow", record.Derived).Label = measure.Label{Reason: reason.Code}
		if got := held(t, s); (got == reason.Code) != measure.Curable(reason.Code) || got != "" && got != reason.Code {
			t.Errorf("%s, which is curable: %t, gives %q", reason.Code, measure.Curable(reason.Code), got)
		}
	}
}

// What the verifier confirms is a rule that a finding names.
func TestTheRuleThatIsConfirmedIsAFindings(t *testing.T) {
	s := plain()
	inject(s, 3, "14:36", "0.680 L/min")
	put(s, `
		injection 1 | blood-flow | 0.600 L/min | 14:24
		injection 2 | blood-flow | 0.640 L/min | 14:30`)
	found := derive.Apply(s)
	if !slices.ContainsFunc(found, func(f mapping.Finding) bool { return f.Rule == mapping.TiedRule }) {
		t.Errorf("findings: %v", found)
	}
}
