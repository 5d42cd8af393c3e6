package derive

import (
	"math"
	"math/big"
	"slices"
	"strings"
	"testing"

	"saltmark/internal/dilution"
	"saltmark/internal/finding"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// result is what an estimator might give: a flow in L/min with a deviation of so many
// per cent of it, and volumes that go with it.
func result(flowLMin, percent float64) dilution.Result {
	estimate := func(x float64) dilution.Estimate { return dilution.Estimate{Value: x, SD: x * percent / 100} }
	q := flowLMin / 0.06
	return dilution.Result{
		Flow: estimate(q), Transit: estimate(6.2), CentralML: estimate(6.2 * q), DispersionML: estimate(20), Distribution: estimate(1234.5),
		LeftToRight: dilution.Sign{Score: 0.02, Threshold: 0.18}, Early: dilution.Sign{},
	}
}

// asComputed gives both injections of a session the result.
func asComputed(r dilution.Result) []Computed {
	u := dilution.Uncertainty{Volume: 0.02, LoopFlow: 0.05, Tubing: 0.05, Sensor: 0.02}
	one := func(key string) Computed {
		return Computed{Injection: record.Thing{Kind: measure.Injection, Key: key}, Result: r, Recipe: "recipe " + key, Input: dilution.Input{Uncertainty: u}}
	}
	return []Computed{one("1"), one("2")}
}

// governed is a session under a site that decides on curves.
func governed(s *record.Session, chart, settle string) *record.Session {
	put(s, "session", "recomputed-flow-tolerance", "15 %")
	put(s, "session", "recomputed-charted", chart)
	put(s, "session", "recomputed-settles-label", settle)
	return s
}

// unreported takes away what the monitor reported.
func unreported(s *record.Session) *record.Session {
	var facts []record.Fact
	for _, f := range s.Facts {
		if f.Origin != record.Reported || f.Value.Curve != nil {
			facts = append(facts, f)
		}
	}
	s.Facts = facts
	return s
}

// computedRules gives the rules of the findings of a session that was computed.
func computedRules(s *record.Session, computed []Computed) string {
	var ids []string
	for _, f := range ApplyComputed(s, computed) {
		ids = append(ids, f.Rule)
	}
	return strings.Join(ids, " ")
}

func TestReportedValuesAreChartedWhateverIsRecomputed(t *testing.T) {
	s := governed(full(), "yes", "no")
	put(s, "session", "area-counts-lung-recirculation", "yes")
	without := copyOf(s)
	Apply(without)
	found := computedRules(s, asComputed(result(0.610, 2)))
	if found != "recomputed-beside" {
		t.Errorf("found are %q", found)
	}
	for _, f := range s.Facts {
		if f.Origin == record.Recomputed && isRecomputedValue(f.Measure) {
			t.Errorf("%s is charted", nameOf(f.Ref))
		}
	}
	for _, key := range []string{"blood-flow", "central-blood-volume", "stroke-volume", "blood-flow-index-by-weight"} {
		if got, want := says(s, "session", key), says(without, "session", key); got != want {
			t.Errorf("%s is %s, without curves %s", key, got, want)
		}
	}
	for _, f := range Check(s) {
		t.Errorf("%s", f.Text(true))
	}
}

func TestARecomputedFlowIsChartedOnlyWhereTheSiteAsksAndTheMonitorReportedNothing(t *testing.T) {
	for _, c := range []struct{ chart, flow, rule string }{
		{"no", "absent, input-missing", "recomputed-beside"},
		{"yes", "0.612 L/min", "recomputed-charted"},
	} {
		s := governed(unreported(full()), c.chart, "no")
		found := computedRules(s, asComputed(result(0.6123, 4)))
		if got := says(s, "session", "blood-flow"); got != c.flow || !strings.Contains(found, c.rule) {
			t.Errorf("chart %s: the flow is %s, found are %s", c.chart, got, found)
		}
		for _, f := range Check(s) {
			t.Errorf("chart %s: %s", c.chart, f.Text(true))
		}
		if c.chart == "no" {
			continue
		}
		for key, want := range map[string]string{
			"blood-flow-uncertainty": "0.0245 L/min", "central-blood-volume": "63.3 mL", "indicator-distribution-volume": "1235 mL",
			"blood-flow-index-by-weight": "204 mL/min/kg", "recomputed-agreement": "only-recomputed", "dispersion-volume": "nothing",
		} {
			if got := says(s, "session", key); got != want {
				t.Errorf("%s is %s, want %s", key, got, want)
			}
		}
	}
}

// doubted gives a result the faults of rules, none of which takes its values away.
func doubted(r dilution.Result, rules ...string) dilution.Result {
	for _, rule := range rules {
		fault := dilution.Fault{Rule: rule, AtS: math.NaN(), Found: 0.47, Allowed: 0.57}
		if rule == doubtful {
			fault.Cause = dilution.Imprecise
		}
		r.Faults = append(r.Faults, fault)
	}
	return r
}

func TestADoubtfulFlowIsWithheldWhereNoMonitorShowedOne(t *testing.T) {
	good, bad := result(0.6, 4), doubted(result(0.55, 9), "venous-area-mismatch", "baseline-short")
	for _, c := range []struct {
		what          string
		first, second dilution.Result
		flow, volume  string
		fault, rule   string
	}{
		{"both doubtful", bad, bad, "absent, recording-doubtful", "absent, recording-doubtful", "doubtful", "recomputed-withheld"},
		{"the second doubtful", good, bad, "0.600 L/min", "62.0 mL", "doubtful", "recomputed-charted"},
		{"one that only an information is told of", good, doubted(good, "baseline-short"), "0.600 L/min", "62.0 mL", "nothing", "recomputed-charted"},
	} {
		s := governed(unreported(full()), "yes", "no")
		computed := asComputed(c.first)
		computed[1].Result = c.second
		found := computedRules(s, computed)
		if got := says(s, "session", "blood-flow"); got != c.flow || !strings.Contains(found, c.rule) {
			t.Errorf("%s: the flow is %s, found are %s", c.what, got, found)
		}
		if got := says(s, "session", "central-blood-volume"); got != c.volume {
			t.Errorf("%s: the central blood volume is %s", c.what, got)
		}
		if got := says(s, "injection 2", "venous-area-mismatch"); got != c.fault {
			t.Errorf("%s: the fault is %s", c.what, got)
		}
		if got := says(s, "injection 2", "baseline-short"); got != "noted" {
			t.Errorf("%s: the short baseline is %s", c.what, got)
		}
		for _, f := range Check(s) {
			t.Errorf("%s: %s", c.what, f.Text(true))
		}
		for _, b := range Compare(s, computed) {
			if b.About == record.TheSession && b.Doubtful != (c.what == "both doubtful") && !b.Recomputed.IsAbsent() {
				t.Errorf("%s: in the table %s is doubtful: %v", c.what, b.Measure, b.Doubtful)
			}
		}
	}
}

// Beside the monitor's number the doubt is told and coded, and takes nothing away.
func TestADoubtfulRecordingLeavesWhatTheMonitorReported(t *testing.T) {
	s := governed(full(), "yes", "yes")
	computed := asComputed(doubted(result(0.6, 3), doubtful))
	ApplyComputed(s, computed)
	if got := says(s, "session", "blood-flow"); got != "0.610 L/min" || says(s, "injection 1", doubtful) != "doubtful" {
		t.Errorf("the flow is %s, the doubt %s", got, says(s, "injection 1", doubtful))
	}
	for _, b := range Compare(s, computed) {
		if b.Measure == "blood-flow" && !b.Doubtful {
			t.Errorf("the row of %v says nothing of the doubt", b.About)
		}
	}
}

func TestADoubtThatWasTakenOutOfABundleIsFound(t *testing.T) {
	charted := func() (*record.Session, []Computed) {
		s := governed(unreported(recorded()), "yes", "no")
		computed := Curves(s)
		for i := range computed {
			computed[i].Result.Faults = nil
		}
		computed[0].Result = doubted(computed[0].Result, doubtful)
		ApplyComputed(s, computed)
		return s, computed
	}
	s, computed := charted()
	if found := append(Check(s), CheckComputed(s, computed)...); len(found) > 0 {
		t.Fatalf("found are %v", found)
	}
	drop(s, "injection 1", doubtful)
	if found := CheckComputed(s, computed); len(found) != 1 || found[0].Rule != "recomputed-value" {
		t.Errorf("without the fault found are %v", found)
	}
	s, _ = charted()
	flow := s.Find(thing("injection 1"), "blood-flow", record.Recomputed)
	flow.Value = record.Value{Quantity: record.Quantity{Number: "0.600", Unit: "L/min"}}
	told := false
	for _, f := range Check(s) {
		told = told || f.Rule == "withheld-wrong" && strings.Contains(f.Sentence(true), "injection 1 blood-flow")
	}
	if !told {
		t.Errorf("a number beside the doubt: found are %v", Check(s))
	}
}

func TestAnAuditTellsWhatIsWrongWithTheRecordings(t *testing.T) {
	s := governed(recorded(), "no", "no")
	computed := Curves(s)
	computed[0].Result.Faults = []dilution.Fault{{Rule: "venous-area-mismatch", Sensor: "venous", AtS: 1, Found: 0.47, Allowed: 0.57}}
	computed[1].Result.Faults = nil
	ApplyComputed(s, computed)
	found := Faults(s, computed)
	if len(found) != 1 || found[0].Rule != "venous-area-mismatch" || found[0].Severity != finding.Warning {
		t.Errorf("found are %v", found)
	}
}

// The monitor of the session reports one value, and not even the flow.
func TestOneReportedValueKeepsRecomputedOnesOut(t *testing.T) {
	s := governed(unreported(full()), "yes", "no")
	put(s, "injection 2", "mean-transit-time", "absent not-shown at 14:30")
	ApplyComputed(s, asComputed(result(0.61, 4)))
	if got := says(s, "session", "blood-flow"); got != "absent, input-missing" {
		t.Errorf("the flow is %s", got)
	}
}

func TestARecomputedFlowSettlesALabelOnlyWhereItAgreesSurelyAndTheSiteLetsIt(t *testing.T) {
	for _, c := range []struct {
		what          string
		settle        string
		flow, percent float64
		area, label   string
		beside, rule  string
	}{
		{"it agrees", "yes", 0.60, 3, "unknown", "Qs-RVO", "agrees", "recomputed-beside"},
		{"it agrees beside a monitor that leaves the lungs out", "yes", 0.60, 3, "no", "Qs-RVO", "agrees", "recomputed-beside"},
		{"the site does not let it", "no", 0.60, 3, "unknown", "not-determined", "agrees", "recomputed-beside"},
		{"it is not sure enough", "yes", 0.60, 7.6, "unknown", "not-determined", "agrees-widely", "recomputed-beside"},
		{"it is doubtful", "yes", 0.60, 3, "doubtful", "not-determined", "agrees-widely", "recomputed-beside"},
		{"it differs", "yes", 0.80, 3, "unknown", "not-determined", "differs", "recomputed-differs"},
		{"it differs by the tolerance", "yes", 0.7015, 1, "unknown", "not-determined", "differs", "recomputed-differs"},
	} {
		s := governed(full(), "no", c.settle)
		look(s, "ductal", "left-to-right", "13:40")
		r := result(c.flow, c.percent)
		if c.area == "doubtful" {
			c.area, r.Faults = "unknown", []dilution.Fault{{Rule: doubtful, AtS: math.NaN(), Cause: dilution.Unlike}}
		}
		put(s, "session", "area-counts-lung-recirculation", c.area)
		found := computedRules(s, asComputed(r))
		if got := s.Verdict().Label.Code(); got != c.label || says(s, "session", "recomputed-agreement") != c.beside || !strings.Contains(found, c.rule) {
			t.Errorf("%s: label %s, %s, found %s", c.what, got, says(s, "session", "recomputed-agreement"), found)
		}
		for _, f := range Check(s) {
			t.Errorf("%s: %s", c.what, f.Text(true))
		}
	}
}

// The monitor saw the same flow twice, the curves did not: a mean would hide which is wrong.
func TestNoMeanIsMadeOfRecomputedFlowsThatAreApart(t *testing.T) {
	for _, c := range []struct {
		second float64
		want   string
		flow   string
	}{
		{0.65, "recomputed-beside", "0.625 L/min"},
		{0.67, "recomputed-apart", "absent, no-agreeing-pair"},
		{0.46, "recomputed-apart", "absent, no-agreeing-pair"},
	} {
		s := governed(full(), "no", "yes")
		look(s, "ductal", "left-to-right", "13:40")
		put(s, "session", "area-counts-lung-recirculation", "unknown")
		computed := asComputed(result(0.60, 3))
		computed[1].Result = result(c.second, 3)
		if found := computedRules(s, computed); !strings.Contains(found, c.want) {
			t.Errorf("%v: found are %s", c.second, found)
		}
		rows := Compare(s, computed)
		i := slices.IndexFunc(rows, func(b Beside) bool { return b.About == record.TheSession && b.Measure == "blood-flow" })
		if got := shownBeside(rows[i].Recomputed); got != c.flow {
			t.Errorf("%v: the flow of the session is %s, want %s", c.second, got, c.flow)
		}
		if label := s.Verdict().Label.Code(); (label == "not-determined") != (c.want == "recomputed-apart") {
			t.Errorf("%v: the label is %s", c.second, label)
		}
	}
}

func shownBeside(v record.Value) string {
	if v.IsAbsent() {
		return "absent, " + v.Absent.Reason
	}
	return v.Quantity.String()
}

// What is known to be wrong with an excluded injection says nothing about the others.
func TestADoubtfulFlowOfAnExcludedInjectionHoldsNoLabel(t *testing.T) {
	for injection, want := range map[string]string{"injection 1": "agrees-widely", "injection 3": "agrees"} {
		s := governed(full(), "no", "yes")
		put(s, "injection 3", "injection", "at 14:40")
		put(s, "injection 3", "exclusion-cause", "volume")
		computed := append(asComputed(result(0.61, 3)), asComputed(result(0.61, 3))[0])
		computed[2].Injection = thing("injection 3")
		computed[map[string]int{"injection 1": 0, "injection 3": 2}[injection]].Result.Faults = []dilution.Fault{{Rule: doubtful, AtS: math.NaN(), Cause: dilution.Unlike}}
		ApplyComputed(s, computed)
		if got := says(s, "session", "recomputed-agreement"); got != want {
			t.Errorf("%s doubtful: %s, want %s", injection, got, want)
		}
	}
}

func TestWithoutAToleranceNothingAgreesAndNothingDiffers(t *testing.T) {
	s := governed(full(), "no", "yes")
	drop(s, "session", "recomputed-flow-tolerance")
	found := computedRules(s, asComputed(result(0.9, 1)))
	if says(s, "session", "recomputed-agreement") != "nothing" || found != "recomputed-beside" {
		t.Errorf("%s, found are %s", says(s, "session", "recomputed-agreement"), found)
	}
}

func TestAComputedSignAgainstTheContextWaitsForTheVerifier(t *testing.T) {
	leftToRight, early := result(0.61, 3), result(0.61, 3)
	leftToRight.LeftToRight.Present = true
	early.Early.Present = true
	withheld := leftToRight
	withheld.LeftToRight.Withheld = dilution.SensorFault
	for _, c := range []struct {
		what   string
		result dilution.Result
		state  func(*record.Session)
		want   string
	}{
		{"a left-to-right sign, all levels closed", leftToRight, nil, "unanswered"},
		{"a left-to-right sign beside an open duct", leftToRight, func(s *record.Session) { look(s, "ductal", "left-to-right", "13:40") }, "none"},
		{"a left-to-right sign where nobody looked", leftToRight, func(s *record.Session) { look(s, "atrial", "not-seen", "13:40") }, "none"},
		{"a sign that was withheld", withheld, nil, "none"},
		{"no sign", result(0.61, 3), nil, "none"},
		{"early appearance, all levels closed", early, nil, "unanswered"},
		{"early appearance beside an atrial level right to left", early, func(s *record.Session) { look(s, "atrial", "right-to-left", "13:40") }, "none"},
		{"early appearance behind a duct right to left", early, func(s *record.Session) {
			look(s, "ductal", "right-to-left", "13:40")
			put(s, "catheter arterial", "catheter-duct-site", "postductal")
		}, "none"},
		{"early appearance before a duct right to left", early, func(s *record.Session) {
			look(s, "ductal", "right-to-left", "13:40")
			put(s, "catheter arterial", "catheter-duct-site", "preductal")
		}, "unanswered"},
		{"a sign of injections excluded for the sensor", leftToRight, func(s *record.Session) {
			put(s, "injection 1", "exclusion-cause", "sensor")
			put(s, "injection 2", "exclusion-cause", "air")
		}, "none"},
		{"a sign of an injection excluded for movement", leftToRight, func(s *record.Session) { put(s, "injection 1", "exclusion-cause", "movement") }, "unanswered"},
		{"a sign with the catheter in the left atrium", leftToRight, func(s *record.Session) {
			look(s, "atrial", "left-to-right", "13:40")
			put(s, "catheter venous", "catheter-tip", "left-atrium")
		}, "none"},
	} {
		s := governed(full(), "no", "no")
		if c.state != nil {
			c.state(s)
		}
		found := computedRules(s, asComputed(c.result))
		if got := says(s, "session", "sign-contradicts"); got != c.want || strings.Contains(found, "sign-contradicts") != (c.want == "unanswered") {
			t.Errorf("%s: %s, found %s", c.what, got, found)
		}
		if got := says(s, "session", "stroke-volume"); c.want == "unanswered" && got != "absent, sign-unanswered" && got != "absent, two-paths" {
			t.Errorf("%s: the stroke volume is %s", c.what, says(s, "session", "stroke-volume"))
		}
		for _, f := range Check(s) {
			t.Errorf("%s: %s", c.what, f.Text(true))
		}
	}
}

// The verifier is asked about signs of good recordings only; of others it is told.
func TestASignOfABadRecordingIsToldAndHoldsNothing(t *testing.T) {
	r := result(0.61, 3)
	r.LeftToRight = dilution.Sign{Present: true, Withheld: dilution.SensorFault}
	for state, want := range map[string]bool{"closed": true, "left-to-right": false} {
		s := governed(full(), "no", "no")
		look(s, "ductal", state, "13:40")
		found := computedRules(s, asComputed(r))
		if strings.Contains(found, "sign-discounted") != want || strings.Contains(found, "sign-contradicts") || says(s, "session", "sign-contradicts") != "none" {
			t.Errorf("duct %s: found are %s", state, found)
		}
		if got := says(s, "injection 1", leftToRightSign); got != "absent, sensor-fault" {
			t.Errorf("duct %s: the sign is %s", state, got)
		}
	}
}

// Air is a warning in whatever line, for somebody has to look at once.
func TestAirInTheVenousLineIsAWarning(t *testing.T) {
	s := governed(recorded(), "no", "no")
	computed := Curves(s)
	computed[0].Result.Faults = []dilution.Fault{{Rule: "air-burst", Sensor: "venous", AtS: 30, Found: 3, Allowed: 0.2}}
	found := ApplyComputed(s, computed)
	if i := slices.IndexFunc(found, func(f finding.Finding) bool { return f.Rule == "air-burst" }); i < 0 || found[i].Severity != finding.Warning {
		t.Errorf("found are %v", found)
	}
}

func TestNothingThatIsNoNumberIsCharted(t *testing.T) {
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -3} {
		for _, sd := range []float64{0.1, x} {
			r := result(0.61, 3)
			r.Flow = dilution.Estimate{Value: x, SD: sd}
			r.CentralML = dilution.Estimate{Value: 60, SD: x}
			s := governed(unreported(full()), "yes", "no")
			ApplyComputed(s, asComputed(r))
			for _, key := range []string{"blood-flow", "central-blood-volume"} {
				if got := says(s, "injection 1", key); got != "absent, not-computable" {
					t.Errorf("%v, deviation %v: %s is %s", x, sd, key, got)
				}
			}
		}
	}
}

func TestAComparisonWithholdsWhatTheLabelTableWithholds(t *testing.T) {
	s := governed(full(), "no", "no")
	look(s, "atrial", "right-to-left", "13:40")
	computed := asComputed(result(0.6123, 3))
	ApplyComputed(s, computed)
	rows := map[string]Beside{}
	for _, b := range Compare(s, computed) {
		rows[string(b.About.Kind)+b.About.Key+" "+b.Measure] = b
	}
	if b := rows["session central-blood-volume"]; b.Recomputed.Absent.Reason != "shunt-rule" || b.Difference.Number != "" {
		t.Errorf("central blood volume under a shunt from right to left: %+v", b)
	}
	b := rows["session blood-flow"]
	if b.Recomputed.Quantity.String() != "0.612 L/min" || b.Reported.Quantity.String() != "0.610 L/min" || b.Difference.String() != "0.3 %" || b.Uncertainty.String() != "0.0184 L/min" {
		t.Errorf("blood flow: %+v", b)
	}
	if b := rows["injection1 blood-flow"]; b.Difference.Number != "2.3" {
		t.Errorf("injection 1: %+v", b)
	}
}

func TestWhatWasComputedIsComputedAgain(t *testing.T) {
	for _, chart := range []string{"no", "yes"} {
		s := governed(recorded(), chart, "no")
		if chart == "yes" {
			s = unreported(s)
		}
		Apply(s)
		before := copyOf(s)
		for _, f := range CheckComputed(s, Curves(s)) {
			t.Errorf("chart %s: %s", chart, f.Text(true))
		}
		Apply(s)
		if diff := sameFacts(before, s); diff != "" {
			t.Errorf("chart %s: %s", chart, diff)
		}
	}
}

func TestAChangeOfWhatWasComputedIsFound(t *testing.T) {
	fact := func(s *record.Session, about, key string) *record.Fact {
		return s.Find(thing(about), key, record.Recomputed)
	}
	for _, c := range []struct {
		what   string
		change func(s *record.Session)
		want   string
	}{
		{"one unit in the last digit, as another machine may round", func(s *record.Session) {
			q := &fact(s, "injection 1", "blood-flow").Value.Quantity
			q.Number = ucum.Round(new(big.Rat).Add(q.Rat(), big.NewRat(1, 1000)), 3)
		}, ""},
		{"another flow", func(s *record.Session) { fact(s, "injection 1", "blood-flow").Value.Quantity.Number = "0.999" }, "recomputed-value"},
		{"a sign", func(s *record.Session) {
			fact(s, "injection 1", "computed-left-to-right-sign").Value = record.Value{Code: "yes"}
		}, "recomputed-value"},
		{"another volume of indicator", func(s *record.Session) { put(s, "injection 1", "indicator-volume", "2.6 mL") }, "recomputed-recipe"},
		{"another weight", func(s *record.Session) { put(s, "session", "weight", "3.1 kg at 08:00") }, "recomputed-recipe"},
		{"a curve that was moved", func(s *record.Session) {
			s.Get(thing("injection 1"), "arterial-trace").Value.Curve.Start = clock("14:23")
		}, "recomputed-recipe"},
		{"another version", func(s *record.Session) {
			for _, n := range []string{"injection 1", "injection 2"} {
				fact(s, n, versionKey).Value.Text = "0"
				fact(s, n, "blood-flow").Value.Quantity.Number = "0.999"
			}
		}, "recomputed-version"},
	} {
		s := governed(unreported(recorded()), "yes", "no")
		Apply(s)
		c.change(s)
		found := CheckComputed(s, Curves(s))
		told := false
		for _, f := range found {
			told = told || f.Rule == c.want
			if c.want == "" || c.want == "recomputed-version" && f.Rule != c.want {
				t.Errorf("%s: %s", c.what, f.Text(true))
			}
		}
		if !told && c.want != "" {
			t.Errorf("%s: found are %v", c.what, found)
		}
	}
}

func TestOneUnitInTheLastDigitIsTheMostThatMachinesMayDiffer(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want bool
	}{{"0.610", "0.611", true}, {"0.610", "0.612", false}, {"0.999", "1.00", true}, {"0.98", "1.00", false}, {"12", "12", true}, {"12", "x", false}} {
		if got := oneUnitApart(record.Quantity{Number: c.a, Unit: "L/min"}, record.Quantity{Number: c.b, Unit: "L/min"}); got != c.want {
			t.Errorf("%s and %s: %v", c.a, c.b, got)
		}
	}
}

// Facts of a computation that were taken back, its group among them, leave the
// injection alone.
func TestAComputationTakenBackLeavesItsInjection(t *testing.T) {
	s := governed(full(), "no", "no")
	ApplyComputed(s, asComputed(result(0.61, 3)))
	for i := range s.Facts {
		if f := &s.Facts[i]; f.Origin == record.Recomputed && f.About.Kind == measure.Injection {
			f.Status = record.EnteredInError
		}
	}
	Apply(s)
	if got := says(s, "session", "blood-flow"); got != "0.610 L/min" {
		t.Errorf("the flow is %s", got)
	}
}

func TestEveryFaultOfARecordingHasItsWords(t *testing.T) {
	rules := dilution.Rules()
	var rows []string // each rule once
	for _, row := range faultRows {
		if len(rows) == 0 || rows[len(rows)-1] != row.rule {
			rows = append(rows, row.rule)
		}
	}
	if len(rules) != len(rows) {
		t.Errorf("%d rules and rows for %d", len(rules), len(rows))
	}
	for i, r := range rules {
		page, known := finding.RuleOf(r.ID)
		if i >= len(rows) || rows[i] != r.ID || !known || page.Severity == finding.Error || r.MaySpoil && page.Severity != finding.Warning {
			t.Errorf("%s has no row, another place, no page or another severity", r.ID)
		}
		if m := measure.Get(r.ID); m == nil || m.Values != recordingFaults || m.In != "curve-computation" {
			t.Errorf("%s has no row in the table of measures by which the record holds it", r.ID)
		}
	}
}

func TestADoubtSaysWhatItRestsOn(t *testing.T) {
	for _, c := range []struct {
		fault dilution.Fault
		want  string
	}{
		{dilution.Fault{Rule: doubtful, Cause: dilution.Unlike, Found: 1.7, Allowed: 1.2}, "the recording of injection 1 is unlike those that the computation was tried on, and its flow may be far off; look at tubes, loop flow and volume on the sheet"},
		{dilution.Fault{Rule: doubtful, Cause: dilution.Imprecise, Found: 0.0812, Allowed: 0.05}, `the stated standard deviation of the flow computed from the curves of injection 1 is "8.12 %" of it; at most 5 % is wanted: look at tubes, loop flow and volume on the sheet`},
		{dilution.Fault{Rule: doubtful, Cause: dilution.Volume, Found: math.NaN(), Allowed: math.NaN()}, "the flow computed from the curves of injection 1 goes by a volume that the venous sensor did not see; see what is said of the volume"},
		{dilution.Fault{Rule: "venous-area-mismatch", Sensor: "venous", AtS: -0.09, Found: 0.47, Allowed: 0.575}, `the venous sensor saw "47 %" of the volume that the sheet states for injection 1; at least 57.5 % is wanted: look at volume, loop flow and sensor`},
		{dilution.Fault{Rule: "venous-area-mismatch", Sensor: "venous", AtS: -0.09, Found: 2, Allowed: 1.68}, `the venous sensor saw "200 %" of the volume that the sheet states for injection 1; at most 168 % is wanted: look at volume, loop flow and sensor`},
	} {
		computed := asComputed(result(0.6, 3))
		told, known := computed[0].Tell(c.fault)
		if got := told.Sentence(true); !known || got != c.want {
			t.Errorf("%s\nwant\n%s", got, c.want)
		}
	}
}

func TestAFaultIsToldWithItsFiguresAndSpoilsNoReportedValue(t *testing.T) {
	s := governed(recorded(), "no", "no")
	put(s, "session", "area-counts-lung-recirculation", "yes")
	computed := Curves(s)
	computed[0].Result.Faults = []dilution.Fault{
		{Rule: "record-short", Sensor: "venous", AtS: 41.2, Found: 41.25, Allowed: 60},
		{Rule: "curve-clipped", Sensor: "arterial", AtS: math.NaN(), Found: 0.01234, Allowed: 0, Spoils: true},
	}
	withhold(&computed[0].Result, dilution.SensorFault)
	var said []string
	for _, f := range ApplyComputed(s, computed) {
		if f.Rule == "record-short" || f.Rule == "curve-clipped" || f.Severity == finding.Error {
			said = append(said, f.Severity.String()+": "+f.Sentence(true))
		}
	}
	want := []string{
		`information: the venous curve of injection 1 ends "41.3" s after the injection, at 41.2 s; at least 60 s are wanted, better 90 s`,
		`warning: the arterial curve of injection 1 is cut off at a limit of the sensor, in "1.23 %" of its samples; the whole curve is wanted, within the range of the recorder; no value is computed from these curves`,
	}
	slices.Sort(said)
	if !slices.Equal(said, want) {
		t.Errorf("%s\nwant\n%s", strings.Join(said, "\n"), strings.Join(want, "\n"))
	}
	if got := says(s, "session", "blood-flow"); got != "0.610 L/min" {
		t.Errorf("the flow is %s", got)
	}
}

func TestCurvesThatAreSpoiledGiveNothing(t *testing.T) {
	s := recorded()
	curve := s.Get(thing("injection 1"), "arterial-trace").Value.Curve
	curve.Origin.Unit = "1" // it is in per cent
	c := Curves(s)[0]
	for _, row := range recomputedRows {
		if v, _ := row.value(&c.Result); v.Absent.Reason == "" {
			t.Errorf("%s is %+v, faults %+v", row.measure, v, c.Result.Faults)
		}
	}
	if len(c.Result.Faults) == 0 {
		t.Error("no fault is named")
	}
}
