package derive

import (
	"math"
	"strings"
	"testing"
	"time"

	"saltmark/internal/dilution"
	"saltmark/internal/trace"
	"saltmark/internal/ucum"
	"saltmark/mapping/record"
)

// sampled puts the recording of a sensor beside an injection: h gives the volume
// fraction at a time in s; 25 s before the injection and 75 s after it, 20 Hz, in
// per cent with four decimals.
func sampled(s *record.Session, about, sensor string, h func(t float64) float64) {
	const start, step, n = -25.0, 0.05, 2000
	series := trace.Series{Name: sensor, Unit: "%", Origin: "0", Factor: "0.0001", StartMs: "-25000", PeriodMs: "50"}
	for i := range n {
		series.Samples = append(series.Samples, int32(math.Round(h(start+step*float64(i))*1e6)))
	}
	text := series.SampledData()
	injected := s.Get(thing(about), "injection").At.Go()
	begin := record.At(injected.Add(-25 * time.Second))
	s.Facts = append(s.Facts, record.Fact{
		Ref: record.Ref{About: thing(about), Measure: curveMeasures[sensor], Origin: record.Reported}, At: begin,
		Value: record.Value{Curve: &record.Curve{
			Origin: ucum.Quantity{Number: text.Origin, Unit: text.Unit}, Period: text.Period, Factor: text.Factor, Data: text.Data,
			Start: begin, End: record.At(injected.Add(75*time.Second - 50*time.Millisecond)),
		}},
	})
}

// passes is a first pass of a volume in mL at a flow in mL/s: four equal chambers of a
// mean of 8 s together, from 1 s on.
func passes(volumeML, flowMLs float64) func(t float64) float64 {
	return func(t float64) float64 {
		if t -= 1; t <= 0 {
			return 0
		}
		const tau = 2.0
		return volumeML / flowMLs * math.Pow(t/tau, 3) * math.Exp(-t/tau) / (6 * tau)
	}
}

// pulse is what the venous sensor sees: 2.5 mL in 3 s into a loop of 0.2 mL/s.
func pulse(t float64) float64 {
	if t < 0.5 || t >= 3.5 {
		return 0
	}
	const in, loop = 2.5 / 3, 0.2
	return in / (in + loop)
}

// recorded is full with curves of a flow of 0.6 L/min.
func recorded() *record.Session {
	s := full()
	for _, about := range []string{"injection 1", "injection 2"} {
		put(s, about, "injection-duration", "3 s")
		sampled(s, about, trace.Arterial, passes(2.5, 10))
		sampled(s, about, trace.Venous, pulse)
	}
	return s
}

func TestTheRecipeOfAnInjectionIsTakenFromTheFacts(t *testing.T) {
	s := recorded()
	put(s, "catheter arterial", "catheter-duct-site", "postductal")
	put(s, "session", "indicator-sound-speed", "1531.5 m/s")
	all := Curves(s)
	if len(all) != 2 || all[0].Injection.Key != "1" || all[1].Injection.Key != "2" {
		t.Fatalf("%d injections were computed", len(all))
	}
	in := all[1].Input
	for _, x := range []struct {
		what      string
		got, want float64
	}{
		{"volume", in.VolumeML, 2.5}, {"duration", in.DurationS, 3}, {"weight", in.WeightKg, 3}, {"loop flow", in.Loop.FlowMLs, 0.2},
		{"section", in.Loop.PortToSensorML, 2}, {"sound", in.IndicatorSoundMS, 1531.5},
		{"start", in.Arterial.StartS, -25}, {"step", in.Venous.StepS, 0.05}, {"quantum", in.Venous.Quantum, 0.0001},
	} {
		if math.Abs(x.got-x.want) > 1e-12 {
			t.Errorf("%s is %v, want %v", x.what, x.got, x.want)
		}
	}
	if !in.Postductal || in.Arterial.Unit != dilution.Percent || len(in.Venous.Values) != 2000 {
		t.Errorf("the recipe is %v, %s, %d samples", in.Postductal, in.Arterial.Unit, len(in.Venous.Values))
	}
	// A first pass alone is like no circulation: the combined flow is told as doubtful, and
	// the separations of the first pass are what the recipe can be held against.
	found := 0
	for _, got := range all[1].Result.Separations {
		if got.Withheld != "" {
			continue
		}
		if found++; math.Abs(got.FlowMLs-10) > 0.3 {
			t.Errorf("by %s the flow is %v mL/s, want 10", got.Name, got.FlowMLs)
		}
	}
	if found < 2 {
		t.Errorf("%d separations give a flow", found)
	}
}

func TestWhatCannotBeComputedSaysWhatIsMissing(t *testing.T) {
	for _, c := range []struct {
		what                string
		spoil               func(*record.Session)
		missing, unreadable string
	}{
		{"no loop flow", func(s *record.Session) { drop(s, "session", "loop-flow") }, "loop-flow", ""},
		{"no volume", func(s *record.Session) { drop(s, "injection 1", "indicator-volume") }, "indicator-volume", ""},
		{"a loop without its sections", func(s *record.Session) {
			for _, section := range sections {
				drop(s, "session", section)
			}
		}, strings.Join(sections, " "), ""},
		{"samples that are none", func(s *record.Session) { s.Get(thing("injection 1"), "arterial-trace").Value.Curve.Data = "1 two 3" }, "", "arterial-trace"},
		{"a unit of no sensor", func(s *record.Session) { s.Get(thing("injection 1"), "venous-trace").Value.Curve.Origin.Unit = "mg/L" }, "", "venous-trace"},
		{"a start that is no time", func(s *record.Session) { s.Get(thing("injection 1"), "venous-trace").Value.Curve.Start = "later" }, "", "venous-trace"},
	} {
		s := recorded()
		c.spoil(s)
		got := Curves(s)[0]
		if strings.Join(got.Missing, " ") != c.missing || strings.Join(got.Unreadable, " ") != c.unreadable || got.Result.Flow.Withheld != dilution.InputMissing {
			t.Errorf("%s: missing %v, unreadable %v, flow %+v", c.what, got.Missing, got.Unreadable, got.Result.Flow)
		}
	}
}

func TestASessionWithoutCurvesComputesNothing(t *testing.T) {
	if list := Curves(full()); list != nil {
		t.Errorf("%d injections were computed", len(list))
	}
}
