package derive

import (
	"slices"
	"testing"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// reading states a reading of another method at 14:28, with what was measured and
// without a flow; "flow" among the inputs is one that was reported.
func reading(s *record.Session, method string, inputs map[string]string) {
	put(s, "comparator 1", "comparator", " at 14:28")
	put(s, "comparator 1", "comparator-method", method)
	put(s, "reading 1.1", "comparator-flow", "absent not-reported at 14:28")
	for key, value := range inputs {
		if key == "flow" {
			value += " at 14:28"
		}
		put(s, "reading 1.1", "comparator-"+key, value)
	}
	put(s, "session", "comparator-tolerance", "10 %")
}

// The inputs of the tests.
var (
	echoInputs  = map[string]string{"diameter": "8.0 mm", "velocity-integral": "14.1 cm", "heart-rate": "148 /min"}
	oxygenBlood = map[string]string{
		"oxygen-uptake": "250 mL/min", "haemoglobin": "15 g/dL", "arterial-saturation": "98 %", "venous-saturation": "75 %",
		"arterial-oxygen-pressure": "95 mm[Hg]", "venous-oxygen-pressure": "40 mm[Hg]",
	}
	dioxideBlood = map[string]string{
		"carbon-dioxide-output": "200 mL/min", "haemoglobin": "15 g/dL", "gas-temperature": "37 Cel", "arterial-saturation": "97 %", "venous-saturation": "75 %",
		"arterial-carbon-dioxide-pressure": "40 mm[Hg]", "venous-carbon-dioxide-pressure": "46 mm[Hg]", "arterial-ph": "7.40 [pH]", "venous-ph": "7.37 [pH]",
	}
)

// with changes inputs; "" takes one away.
func with(inputs map[string]string, changes ...string) map[string]string {
	changed := map[string]string{}
	for key, value := range inputs {
		changed[key] = value
	}
	for i := 0; i < len(changes); i += 2 {
		if changed[changes[i]] = changes[i+1]; changes[i+1] == "" {
			delete(changed, changes[i])
		}
	}
	return changed
}

func TestAFlowByAnotherMethodFollowsFromItsInputs(t *testing.T) {
	for _, c := range []struct {
		name   string
		method string
		inputs map[string]string
		want   string // the derived flow
		rule   string
	}{
		{"echo", "echo", echoInputs, "1.05 L/min", ""}, // pi/4 0.8^2 14.1 148 = 1048.9 mL/min
		{"echo, reported too", "echo", with(echoInputs, "flow", "1.07 L/min"), "1.05 L/min", ""},
		{"echo, at the tolerance", "echo", with(echoInputs, "flow", "1.155 L/min"), "1.05 L/min", ""},
		{"echo, beyond the tolerance", "echo", with(echoInputs, "flow", "1.156 L/min"), "1.05 L/min", "comparator-differs"},
		{"echo, a digit slipped", "echo", with(echoInputs, "flow", "10.5 L/min"), "1.05 L/min", "comparator-differs"},
		{"echo without a rate", "echo", with(echoInputs, "heart-rate", ""), "input-missing", "comparator-without-flow"},
		{"echo without a rate, reported", "echo", with(echoInputs, "heart-rate", "", "flow", "1.07 L/min"), "nothing", ""},
		{"a probe has no inputs", "flow-probe", nil, "input-missing", "comparator-without-flow"},
		{"a probe, reported", "flow-probe", map[string]string{"flow": "1.07 L/min"}, "nothing", ""},

		// 250/(10 (19.98 - 15.20)): checks.md's 5.2214 with contents as charted.
		{"oxygen, from blood", "fick-oxygen", oxygenBlood, "5.23 L/min", ""},
		{"oxygen, contents stated", "fick-oxygen", map[string]string{"oxygen-uptake": "250 mL/min", "arterial-content": "20.0 mL/dL", "venous-content": "15.0 mL/dL"}, "5.00 L/min", ""},
		{"oxygen, stated contents count", "fick-oxygen", with(oxygenBlood, "arterial-content", "20.0 mL/dL", "venous-content", "15.0 mL/dL"), "5.00 L/min", ""},
		{"oxygen, one content stated is not mixed with one computed", "fick-oxygen", with(oxygenBlood, "arterial-content", "25.0 mL/dL"), "5.23 L/min", ""},
		{"oxygen, dissolved on one side alone is left out", "fick-oxygen", with(oxygenBlood, "venous-oxygen-pressure", ""), "5.41 L/min", ""}, // 250/(10 (19.70 - 15.08))
		{"oxygen, bloods exchanged", "fick-oxygen", with(oxygenBlood, "arterial-saturation", "75 %", "venous-saturation", "98 %"), "impossible-inputs", "comparator-impossible"},
		{"oxygen, no difference", "fick-oxygen", map[string]string{"oxygen-uptake": "250 mL/min", "arterial-content": "20.0 mL/dL", "venous-content": "20.0 mL/dL"}, "impossible-inputs", "comparator-impossible"},
		{"oxygen, bloods exchanged, reported", "fick-oxygen", map[string]string{"oxygen-uptake": "250 mL/min", "arterial-content": "15.0 mL/dL", "venous-content": "20.0 mL/dL", "flow": "5 L/min"}, "impossible-inputs", "comparator-impossible"},
		{"oxygen without haemoglobin", "fick-oxygen", with(oxygenBlood, "haemoglobin", ""), "input-missing", "comparator-without-flow"},
		{"oxygen without uptake", "fick-oxygen", with(oxygenBlood, "oxygen-uptake", ""), "input-missing", "comparator-without-flow"},

		// 200/(10 (51.06 - 46.72)): contents of Douglas 1988, as in hemo's tests.
		{"carbon dioxide, from blood", "fick-carbon-dioxide", dioxideBlood, "4.61 L/min", ""},
		{"carbon dioxide, no temperature is assumed", "fick-carbon-dioxide", with(dioxideBlood, "gas-temperature", ""), "input-missing", "comparator-without-flow"},
		{"carbon dioxide, bloods exchanged", "fick-carbon-dioxide", with(dioxideBlood, "arterial-carbon-dioxide-pressure", "46 mm[Hg]", "venous-carbon-dioxide-pressure", "40 mm[Hg]"), "impossible-inputs", "comparator-impossible"},
		{"carbon dioxide, a pH that the formula does not describe", "fick-carbon-dioxide", with(dioxideBlood, "venous-ph", "8.9 [pH]"), "impossible-inputs", "comparator-impossible"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := plain()
			reading(s, c.method, c.inputs)
			ids := rules(t, s)
			f := s.Find(thing("reading 1.1"), "comparator-flow", record.Derived)
			if f != nil && (f.At != clock("14:28") || f.Label.IsZero()) {
				t.Errorf("at %s, label %v", f.At, f.Label)
			}
			if c.inputs["flow"] != "" {
				if f != nil {
					t.Error("the reported flow is the one of the reading, and another was derived")
				}
				f = s.Get(thing("reading 1.1"), "comparator-flow-from-inputs")
			}
			got := "nothing"
			if f != nil {
				if got = shown(f.Value).String(); f.Value.IsAbsent() {
					got = f.Value.Absent.Reason
				}
			}
			if got != c.want || ids != c.rule {
				t.Errorf("%s, rules %q; want %s, %q", got, ids, c.want, c.rule)
			}
			if found := Check(s); len(found) > 0 {
				t.Errorf("checked again: %v", found)
			}
		})
	}
}

func TestTheContentsThatAFlowIsComputedFromAreCharted(t *testing.T) {
	s := plain()
	reading(s, "fick-carbon-dioxide", dioxideBlood)
	Apply(s)
	for key, want := range map[string]string{"comparator-arterial-content": "46.72 mL/dL", "comparator-venous-content": "51.06 mL/dL"} {
		if got := says(s, "reading 1.1", key); got != want {
			t.Errorf("%s: %s, want %s", key, got, want)
		}
	}
}

// Haemoglobin may come from a blood sample; it ages as everywhere.
func TestHaemoglobinOfAReadingMayComeFromASample(t *testing.T) {
	for at, want := range map[string]string{"14:00": "5.23 L/min", "10:28": "5.23 L/min", "10:27": "stale-input"} {
		s := plain()
		reading(s, "fick-oxygen", with(oxygenBlood, "haemoglobin", ""))
		put(s, "sample 1", "blood-sample", " at "+at)
		put(s, "sample 1", "haemoglobin", "15 g/dL at "+at)
		Apply(s)
		f := s.Find(thing("reading 1.1"), "comparator-flow", record.Derived)
		if f == nil {
			t.Fatalf("%s: no flow", at)
		}
		got := shown(f.Value).String()
		from := slices.ContainsFunc(f.From, func(r record.Ref) bool { return r.About.Kind == measure.Sample })
		if f.Value.IsAbsent() {
			got = f.Value.Absent.Reason
		}
		if got != want || from == f.Value.IsAbsent() {
			t.Errorf("sample of %s: %s, named %v; want %s", at, got, from, want)
		}
	}
}

// Bundles that were written before flows were computed carry no tolerance for them.
func TestWithoutAToleranceNothingIsComputedBesideAReportedFlow(t *testing.T) {
	s := plain()
	reading(s, "echo", with(echoInputs, "flow", "1.05 L/min"))
	drop(s, "session", "comparator-tolerance")
	Apply(s)
	if f := s.Get(thing("reading 1.1"), "comparator-flow-from-inputs"); f != nil {
		t.Errorf("computed %v", f.Value)
	}
	put(s, "reading 1.1", "comparator-flow", "absent not-reported at 14:28")
	Apply(s)
	if f := s.Find(thing("reading 1.1"), "comparator-flow", record.Derived); f == nil {
		t.Error("nothing is computed where no flow was reported")
	}
}

// The computed flow of another method stands for what a reported one would.
func TestAComputedFlowCarriesTheLabelOfItsMethod(t *testing.T) {
	s := plain()
	reading(s, "echo", echoInputs)
	put(s, "comparator 1", "comparator-site", "aortic-valve")
	look(s, "ductal", "left-to-right", "13:40")
	Apply(s)
	f := s.Find(thing("reading 1.1"), "comparator-flow", record.Derived)
	if f == nil || f.Label.Code() != "LVO-Qp" {
		t.Errorf("computed %+v", f)
	}
}
