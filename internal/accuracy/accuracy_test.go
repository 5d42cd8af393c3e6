package main

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"saltmark/internal/accuracy/cases"
	"saltmark/internal/circuit"
	"saltmark/internal/dilution"
)

func TestAGoalIsMetByTheWorseEndOnly(t *testing.T) {
	for _, c := range []struct {
		name        string
		goal        goal
		got         interval
		met, missed bool
	}{
		{"below a limit", atMostPercent(5), interval{100, 4, 3, 4.9}, true, false},
		{"reaches over a limit", atMostPercent(5), interval{100, 4, 3, 5.1}, false, false},
		{"beyond a limit", atMostPercent(5), interval{100, 6, 5.5, 7}, false, true},
		{"inside", within(-1, 1), interval{100, 0, -0.9, 0.9}, true, false},
		{"one end outside", within(-1, 1), interval{100, 0.5, -0.1, 1.2}, false, false},
		{"too few to bound", atMostPercent(5), interval{20, 1, 0.5, math.Inf(1)}, false, false},
		{"nothing", atMostPercent(5), interval{}, false, false},
	} {
		if met, missed := c.goal.met(c.got), c.goal.missed(c.got); met != c.met || missed != c.missed {
			t.Errorf("%s: met %v, missed %v", c.name, met, missed)
		}
	}
}

// made gives outcomes whose flow is off by so many per cent, with a stated SD in per cent.
func made(shunt circuit.Shunting, sd float64, errors ...float64) (list []outcome) {
	for _, e := range errors {
		list = append(list, outcome{
			shunt: shunt, truth: circuit.Truth{FlowMLs: 10},
			flow: dilution.Estimate{Value: 10 + e/10, SD: sd / 10},
		})
	}
	return list
}

func TestErrorsOfFlowAreInPerCentOfTheTruth(t *testing.T) {
	list := made(circuit.NoShunt, 2, -6, 1, 3, 9)
	list = append(list, outcome{truth: circuit.Truth{FlowMLs: 10}, flow: dilution.Estimate{Value: 99, Withheld: dilution.NotComputable}})
	if got := flow.median(list, 0.95); math.Abs(got.value-2) > 1e-9 || got.n != 4 {
		t.Errorf("median %+v, want 2 of 4", got)
	}
	if got := flow.covered(list, 0.95); got.value != 50 || got.n != 4 {
		t.Errorf("covers %+v, want half of 4", got)
	}
	nan := made(circuit.NoShunt, 2, math.NaN())
	if got := flow.errors(nan); !math.IsInf(got[0], 1) {
		t.Errorf("a flow that is no number is off by %v", got)
	}
}

func TestAWarnedErrorIsNoUnwarnedOne(t *testing.T) {
	o := made(circuit.NoShunt, 1, 9)[0]
	if !beyondThreeUnwarned(o) {
		t.Error("9 % off with an SD of 1 % and no finding: not counted")
	}
	o.rules = []string{grossRule}
	if beyondThreeUnwarned(o) {
		t.Error("counted although the finding says so")
	}
}

// ramp is a circuit with one curve for everybody; its truth is chosen so that an
// estimator by area is right.
type ramp struct{}

func (ramp) Name() string { return "ramp" }

func (ramp) Run(s circuit.Scenario) (circuit.Run, error) {
	if s.WeightKg > 100 {
		return circuit.Run{}, errors.New("too heavy for this test")
	}
	r := circuit.Run{StartS: -10, StepS: 0.01, Truth: circuit.Truth{FlowMLs: s.FlowMLs, PulmonaryMLs: s.FlowMLs}}
	for i := range 10000 {
		t := r.StartS + float64(i)*r.StepS - 3
		h := 0.0
		if t > 0 {
			h = s.Injection.VolumeML / s.FlowMLs / 9 * t * math.Exp(-t/3)
		}
		r.Arterial, r.Venous = append(r.Arterial, h), append(r.Venous, 5*h)
	}
	return r, nil
}

func TestARunDoesNotDependOnTheNumberOfProcessors(t *testing.T) {
	groups := thinned(mainGroups()[:2], 0.01)
	one := runtime.GOMAXPROCS(1)
	alone, err := runAll(context.Background(), ramp{}, groups, 42)
	runtime.GOMAXPROCS(4)
	four, err2 := runAll(context.Background(), ramp{}, groups, 42)
	runtime.GOMAXPROCS(one)
	if err != nil || err2 != nil || len(alone) != 20 || len(four) != len(alone) {
		t.Fatal(err, err2, len(alone), len(four))
	}
	for i := range alone {
		a, b := alone[i], four[i]
		if math.Float64bits(a.flow.Value) != math.Float64bits(b.flow.Value) || a.baselineS != b.baselineS {
			t.Fatalf("case %d: %v and %v", i, a.flow, b.flow)
		}
	}
	other, _ := runAll(context.Background(), ramp{}, groups, 43)
	if other[0].truth.FlowMLs == alone[0].truth.FlowMLs {
		t.Error("another seed gives the same people")
	}
}

func TestACaseThatTheCircuitRefusesIsTold(t *testing.T) {
	g := group{setup: cases.Setup{Population: circuit.Population{Class: circuit.Over30kg}}, n: 1}
	refused := 0
	for seed := range uint64(40) {
		if o := tried(ramp{}, g, seed); o.refused != nil {
			refused++
			if len(chosen([]outcome{o}, func(outcome) bool { return true })) != 0 {
				t.Fatal("a refused case enters a figure")
			}
		}
	}
	if refused == 0 {
		t.Error("nobody above 100 kg was drawn")
	}
}

func TestTheLogKeepsWhatIsInItAndGivesTheLastVerdicts(t *testing.T) {
	top := t.TempDir()
	if err := os.MkdirAll(filepath.Join(top, filepath.Dir(logFile)), 0o755); err != nil {
		t.Fatal(err)
	}
	from := origin{commit: strings.Repeat("0123456789abcdef", 3)[:40], seed: 0x0123456789abcdef}
	f := figure{name: "flow", unit: "%", goal: atMostPercent(5), stretch: none}
	first := []result{{f, "tanks", interval{100, 4, 3, 4.5}}}
	second := []result{{f, "tanks", interval{100, 4, 3, 5.5}}}
	when := time.Date(2031, 6, 12, 23, 30, 0, 0, time.FixedZone("", 2*3600))
	for _, list := range [][]result{first, second} {
		if err := appendLog(top, from, list, when); err != nil {
			t.Fatal(err)
		}
	}
	text, err := os.ReadFile(filepath.Join(top, logFile))
	if err != nil {
		t.Fatal(err)
	}
	want := logHeader +
		"2031-06-12\t0123456789ab\t0123456789abcdef\ttanks\tflow\t100\t4\t3\t4.5\tat most 5 %\tmet\n" +
		"2031-06-12\t0123456789ab\t0123456789abcdef\ttanks\tflow\t100\t4\t3\t5.5\tat most 5 %\tnot shown\n"
	if string(text) != want {
		t.Errorf("%q\nwant\n%q", text, want)
	}
	got, err := lastVerdicts(top)
	if err != nil || got[logged{"tanks", "flow"}] != "not shown" {
		t.Errorf("last verdicts: %v, %v", got, err)
	}
}

// The gate must be able to fail: a goal that the log says is met, and cases that miss it
// by far.
func TestTheGateFailsWhereAMetGoalIsMissed(t *testing.T) {
	top := t.TempDir()
	if err := os.MkdirAll(filepath.Join(top, filepath.Dir(logFile)), 0o755); err != nil {
		t.Fatal(err)
	}
	bad := made(circuit.NoShunt, 2, make([]float64, 200)...)
	for i := range bad {
		bad[i].flow.Value *= 1.5
	}
	if err := gate(top, "tanks", bad); err != nil {
		t.Errorf("with an empty log: %v", err)
	}
	was := computed("tanks", made(circuit.NoShunt, 2, make([]float64, 200)...), confidence)
	if err := appendLog(top, origin{commit: strings.Repeat("a", 40)}, was, time.Now()); err != nil {
		t.Fatal(err)
	}
	if err := gate(top, "tanks", bad); err == nil || !strings.Contains(err.Error(), "flow, no shunt: 95th percentile") {
		t.Errorf("50 %% off: %v", err)
	}
	if err := gate(top, "tanks", made(circuit.NoShunt, 2, make([]float64, 200)...)); err != nil && strings.Contains(err.Error(), "flow, no shunt: 95th") {
		t.Errorf("without an error: %v", err)
	}
}

func TestEveryFigureChoosesCasesThatArePlanned(t *testing.T) {
	names := map[string]bool{}
	for _, f := range allFigures() {
		if names[f.name] {
			t.Errorf("%s stands twice", f.name)
		}
		names[f.name] = true
		any := false
		for _, g := range slices.Concat(mainGroups(), spoiledGroups(), mistakenGroups(), disturbedGroups()) {
			o := outcome{
				condition: g.condition, shunt: g.setup.Shunt, ratio: 2, postductal: true, baselineS: 40,
				truth: circuit.Truth{FlowMLs: 1, CentralML: 1, DistributionML: 1},
			}
			any = any || f.of(o)
		}
		if !any {
			t.Errorf("%s chooses no case of the plan", f.name)
		}
	}
}
