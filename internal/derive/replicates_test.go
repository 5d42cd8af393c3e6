package derive

import (
	"strings"
	"testing"

	"saltmark/mapping/record"
)

// The replicate rule on whole sessions; the numbers are made up. An injection is
// "minute flow", with "!cause" behind it where it is excluded.
func TestTheSessionsFlowIsTheMeanOfInjectionsThatAgree(t *testing.T) {
	tests := []struct {
		name       string
		injections []string
		flow       string // as charted
		at         string
		used       string
		spread     string
		agreement  string
		from       string // injections
		rules      string
	}{
		{"two that agree", []string{"24 0.598 L/min", "30 0.622 L/min"}, "0.610 L/min", "14:30", "2 1", "3.9 %", "agreeing", "1 2", ""},
		{"two that differ by the tolerance exactly do not agree", []string{"24 0.950 L/min", "30 1.050 L/min"}, "absent, no-agreeing-pair", "14:30", "nothing", "nothing", "no-agreeing-pair", "", "replicates-third"},
		{"one digit below the tolerance", []string{"24 0.9501 L/min", "30 1.0499 L/min"}, "1.00 L/min", "14:30", "2 1", "10.0 %", "agreeing", "1 2", ""},
		{"a third decides", []string{"24 0.600 L/min", "27 0.700 L/min", "30 0.690 L/min"}, "0.695 L/min", "14:30", "2 1", "1.4 %", "agreeing", "2 3", ""},
		{"the time is that of the last that entered", []string{"24 0.600 L/min", "27 0.610 L/min", "30 0.750 L/min"}, "0.605 L/min", "14:27", "2 1", "1.7 %", "agreeing", "1 2", ""},
		{"a tie of three shares an injection", []string{"24 0.600 L/min", "27 0.640 L/min", "30 0.680 L/min"}, "0.640 L/min", "14:30", "3 1", "12.5 %", "tie", "1 2 3", "replicates-tied"},
		{"two pairs that share none", []string{"22 0.600 L/min", "24 0.610 L/min", "27 0.800 L/min", "30 0.810 L/min"}, "absent, no-agreeing-pair", "14:30", "nothing", "nothing", "no-agreeing-pair", "", "replicates-disagree"},
		{"one alone", []string{"24 0.598 L/min"}, "0.598 L/min", "14:24", "1 1", "nothing", "single", "1", "replicates-single"},
		{"an excluded one takes no part", []string{"24 0.598 L/min", "27 0.900 L/min !air", "30 0.622 L/min"}, "0.610 L/min", "14:30", "2 1", "3.9 %", "agreeing", "1 3", ""},
		{"without agreement the time is of the last not excluded", []string{"24 0.500 L/min", "27 0.700 L/min", "30 0.9 L/min !rhythm"}, "absent, no-agreeing-pair", "14:27", "nothing", "nothing", "no-agreeing-pair", "", "replicates-third"},
		{"all excluded", []string{"24 0.598 L/min !air", "30 0.622 L/min !air"}, "absent, injection-failed", "14:30", "nothing", "nothing", "injection-failed", "", "replicates-failed"},
		{"none shown", []string{"24 absent not-shown", "30 absent above-range"}, "absent, injection-failed", "14:30", "nothing", "nothing", "injection-failed", "", "replicates-failed"},
		{"one shown", []string{"24 absent not-shown", "30 0.622 L/min"}, "0.622 L/min", "14:30", "1 1", "nothing", "single", "2", "replicates-single"},
		{"the fewest digits win", []string{"24 0.60 L/min", "30 0.622 L/min"}, "0.61 L/min", "14:30", "2 1", "3.6 %", "agreeing", "1 2", ""},
		{"another power of ten", []string{"24 598 mL/min", "30 0.622 L/min"}, "0.610 L/min", "14:30", "2 1", "3.9 %", "agreeing", "1 2", ""},
		{"two decimals from 1 up", []string{"24 1.234 L/min", "30 1.235 L/min"}, "1.23 L/min", "14:30", "2 1", "0.1 %", "agreeing", "1 2", ""},
		{"the order on the sheet does not matter", []string{"30 0.622 L/min", "24 0.598 L/min"}, "0.610 L/min", "14:30", "2 1", "3.9 %", "agreeing", "1 2", ""},
		{"none at all", nil, "absent, input-missing", "14:20", "nothing", "nothing", "nothing", "", ""},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := empty()
			put(s, "session", "weight", "3.0 kg at 08:00")
			for i, injection := range test.injections {
				minute, flow, _ := strings.Cut(injection, " ")
				flow, cause, excluded := strings.Cut(flow, " !")
				number := string(rune('1' + i))
				inject(s, number, "14:"+minute, flow)
				if excluded {
					put(s, "injection "+number, "exclusion-cause", cause)
				}
			}
			told := replicateRules(rules(t, s))
			flow := s.Find(record.TheSession, "blood-flow", record.Derived)
			var from []string
			for _, r := range flow.From {
				if r.Measure != "blood-flow" || r.Origin != record.Reported {
					t.Errorf("made from %s", nameOf(r))
				}
				from = append(from, r.About.Key)
			}
			got := []string{shown(flow.Value).String(), string(flow.At), says(s, "session", "injections-used"), says(s, "session", "spread"), says(s, "session", "agreement"), strings.Join(from, " "), told}
			want := []string{test.flow, string(clock(test.at)), test.used, test.spread, test.agreement, test.from, test.rules}
			if strings.Join(got, "; ") != strings.Join(want, "; ") {
				t.Errorf("%s\nwant %s", strings.Join(got, "; "), strings.Join(want, "; "))
			}
		})
	}
}

func replicateRules(ids string) string {
	var kept []string
	for id := range strings.FieldsSeq(ids) {
		if strings.HasPrefix(id, "replicates") {
			kept = append(kept, id)
		}
	}
	return strings.Join(kept, " ")
}

// Without agreement the session has no value of any measure, and what derives says
// why; the values of single injections stay.
func TestMeanIsWithheldWhenNoPairAgrees(t *testing.T) {
	s := withoutAgreement()
	Apply(s)
	for _, key := range []string{
		"blood-flow", "blood-flow-index-by-weight", "blood-flow-index-by-area", "stroke-volume", "stroke-volume-index", "flow-without-loop",
		"systemic-vascular-resistance", "systemic-vascular-resistance-index", "oxygen-delivery", "oxygen-delivery-index",
		"central-blood-volume", "mean-transit-time", "end-diastolic-volume", "dispersion-volume", "indicator-distribution-volume",
		"central-blood-volume-index-by-weight", "central-blood-volume-index-by-area", "mean-heart-rate", "mean-arterial-pressure", "mean-central-venous-pressure",
	} {
		if got := says(s, "session", key); got != "absent, no-agreeing-pair" {
			t.Errorf("%s: %s", key, got)
		}
	}
	for key, want := range map[string]string{"blood-flow": "0.598 L/min", "central-blood-volume": "61.5 mL"} {
		if got := says(s, "injection 1", key); got != want {
			t.Errorf("injection 1 %s: %s", key, got)
		}
	}
	for _, key := range []string{"loop-share-of-flow", "precision-of-mean", "least-significant-change", "spread"} {
		if got := says(s, "session", key); got != "nothing" {
			t.Errorf("%s of no flow: %s", key, got)
		}
	}
	if got := says(s, "session", "fluid-given"); got != "7.0 mL" {
		t.Errorf("fluid: %s", got)
	}
}

// 0.598 L/min by 3.0 kg is 199.3 mL/min/kg.
func TestEachInjectionHasItsFlowPerKg(t *testing.T) {
	const key = "blood-flow-by-weight-of-one-injection"
	s := withoutAgreement()
	Apply(s)
	if got := says(s, "injection 1", key); got != "199 mL/min/kg" {
		t.Errorf("%s", got)
	}
	put(s, "injection 1", "blood-flow", "absent not-shown at 14:24")
	Apply(s)
	if got := says(s, "injection 1", key); got != "nothing" {
		t.Errorf("without a flow: %s", got)
	}
	drop(s, "injection 1", "blood-flow")
	put(s, "injection 2", "blood-flow", "0.6 L/min at 14:30")
	Apply(s)
	if got := says(s, "injection 1", key) + ", " + says(s, "session", "blood-flow"); got != "nothing, 0.6 L/min" {
		t.Errorf("without a word on its flow, beside the session's: %s", got)
	}
	put(s, "session", "weight", "3.0 kg at 2031-01-03")
	Apply(s)
	if got := says(s, "injection 2", key); got != "nothing" {
		t.Errorf("with a weight that is too old: %s", got)
	}
}

// No agreement comes before the rule of a shunt: there is nothing that it forbids.
func TestNoAgreementIsNamedBeforeTheShunt(t *testing.T) {
	s := withoutAgreement()
	look(s, "ductal", "left-to-right", "13:40")
	put(s, "session", "area-counts-lung-recirculation", "yes")
	Apply(s)
	if got := says(s, "session", "stroke-volume"); got != "absent, no-agreeing-pair" {
		t.Errorf("stroke volume: %s", got)
	}
	if got := says(s, "injection 1", "end-diastolic-volume"); got != "absent, shunt-rule" {
		t.Errorf("end-diastolic volume of an injection: %s", got)
	}
}

func TestPrecisionComesFromThePooledVariationAlone(t *testing.T) {
	s := plain()
	Apply(s)
	if got := says(s, "session", "precision-of-mean"); got != "nothing" {
		t.Errorf("without a pooled variation: %s", got)
	}
	put(s, "session", "pooled-variation", "3.0 %")
	Apply(s)
	// 2 x 3/sqrt 2 and that times sqrt 2 (hemo.PrecisionOfMean names the source).
	if got := says(s, "session", "precision-of-mean") + ", " + says(s, "session", "least-significant-change"); got != "4.2 %, 6.0 %" {
		t.Errorf("%s", got)
	}
	put(s, "injection 2", "exclusion-cause", "air")
	Apply(s)
	if got := says(s, "session", "precision-of-mean"); got != "nothing" {
		t.Errorf("of a single injection: %s", got)
	}
}

func TestWithoutAToleranceNothingAgrees(t *testing.T) {
	s := plain()
	drop(s, "session", "agreement-tolerance")
	ids := rules(t, s)
	if got := says(s, "session", "blood-flow"); got != "absent, input-missing" || !strings.Contains(ids, "derive-refused") {
		t.Errorf("%s, %s", got, ids)
	}
}
