package derive

import (
	"math"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"

	"saltmark/internal/circuit"
	"saltmark/internal/dilution"
	"saltmark/internal/trace"
	"saltmark/internal/ucum"
	"saltmark/mapping/record"
)

// simulated is the recording of both sensors of an invented circulation without a shunt,
// who weighs about 3 kg, twice: 25 s before the injection of 2.5 mL in 3 s and 75 s after it.
var simulated = sync.OnceValues(func() (map[string]circuit.Recording, circuit.Truth) {
	s := circuit.Population{Class: circuit.To5kg, Shunt: circuit.NoShunt}.Draw(2358)
	s.BaselineS, s.AfterS = 25, 75
	s.Loop = circuit.Loop{FlowMLs: 0.2, ArteryToSensorML: 0.8, SensorToPortML: 0.6, PortToSensorML: 0.5, SensorToVeinML: 0.9}
	s.Injection = circuit.Injection{VolumeML: 2.5, DurationS: 3, RampShare: 0.1, TailShare: 0.1}
	run, err := circuit.Tanks{}.Run(s)
	if err != nil {
		panic(err)
	}
	sensor := circuit.Sensor{WhiteNoise: 0.005, Unit: "%", Quantum: 0.0001}
	recordings := map[string]circuit.Recording{}
	for n, about := range []string{"injection 1", "injection 2"} {
		recordings[about] = circuit.Recorder{Arterial: sensor, Venous: sensor, RateHz: 20}.Record(run, uint64(1+n))
	}
	return recordings, run.Truth
})

// sampled puts the recording of a sensor beside an injection.
func sampled(s *record.Session, about, sensor string) {
	recordings, _ := simulated()
	recording := recordings[about]
	values := recording.Arterial.Values
	if sensor == trace.Venous {
		values = recording.Venous.Values
	}
	series := trace.Series{Name: sensor, Unit: "%", Origin: "0", Factor: "0.0001", StartMs: "-25000", PeriodMs: "50"}
	for _, h := range values {
		series.Samples = append(series.Samples, int32(math.Round(h*1e4)))
	}
	text := series.SampledData()
	injected := s.Get(thing(about), "injection").At.Go()
	begin := record.At(injected.Add(-25 * time.Second))
	s.Facts = append(s.Facts, record.Fact{
		Ref: record.Ref{About: thing(about), Measure: curveMeasures[sensor], Origin: record.Reported}, At: begin,
		Value: record.Value{Curve: &record.Curve{
			Origin: ucum.Quantity{Number: text.Origin, Unit: text.Unit}, Period: text.Period, Factor: text.Factor, Data: text.Data,
			Start: begin, End: record.At(injected.Add(75 * time.Second)),
		}},
	})
}

// recorded is full with these curves at both injections.
func recorded() *record.Session {
	s := full()
	for _, about := range []string{"injection 1", "injection 2"} {
		put(s, about, "injection-duration", "3 s")
		for i, volume := range []string{"0.8 mL", "0.6 mL", "0.5 mL", "0.9 mL"} {
			put(s, "session", sections[i], volume)
		}
		sampled(s, about, trace.Arterial)
		sampled(s, about, trace.Venous)
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
		{"section", in.Loop.PortToSensorML, 0.5}, {"sound", in.IndicatorSoundMS, 1531.5},
		{"start", in.Arterial.StartS, -25}, {"step", in.Venous.StepS, 0.05}, {"quantum", in.Venous.Quantum, 0.0001},
	} {
		if math.Abs(x.got-x.want) > 1e-12 {
			t.Errorf("%s is %v, want %v", x.what, x.got, x.want)
		}
	}
	if !in.Postductal || in.Arterial.Unit != dilution.Percent || len(in.Venous.Values) != 2001 {
		t.Errorf("the recipe is %v, %s, %d samples", in.Postductal, in.Arterial.Unit, len(in.Venous.Values))
	}
	_, truth := simulated()
	if got := all[1].Result.Flow; got.Withheld != "" || math.Abs(got.Value/truth.FlowMLs-1) > 0.1 {
		t.Errorf("the flow is %+v mL/s, want %v", got, truth.FlowMLs)
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

// Whatever a foreign bundle carries as curves, the computation answers, and what it gives
// can be charted: no number that is none, the same twice.
func TestNoCurvesMakeItPanicOrChartWhatIsNoNumber(t *testing.T) {
	curve := rapid.Custom(func(t *rapid.T) *record.Curve {
		pick := func(what string, from ...string) string { return rapid.SampledFrom(from).Draw(t, what) }
		words := rapid.SliceOfN(rapid.SampledFrom([]string{"0", "1", "-7", "250", "1000", "99999999", "E", "L", "U", "0.5", "x", ""}), 0, 400).Draw(t, "samples")
		if rapid.Bool().Draw(t, "smooth") {
			for i := range words {
				words[i] = strconv.Itoa(int(1e4 * math.Exp(-math.Pow(float64(i-90)/30, 2))))
			}
		}
		return &record.Curve{
			Origin: ucum.Quantity{Number: pick("origin", "0", "1500", "-3", "9999999999", "x"), Unit: pick("unit", "1", "%", "m/s", "mg", "")},
			Period: pick("period", "100", "10", "0", "-1", "0.001", "900000", "x"), Factor: pick("factor", "", "0.001", "1", "-0.01", "0"),
			LowerLimit: pick("lower", "", "0"), UpperLimit: pick("upper", "", "100"), Data: strings.Join(words, " "),
			Start: record.Time(pick("start", "2031-05-03T14:23:50+02:00", "2031-05-03", "9999-12-31T23:59:59Z", "", "odd")),
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		s := governed(unreported(full()), "yes", "yes")
		for _, about := range []string{"injection 1", "injection 2"} {
			for _, key := range curveMeasures {
				if rapid.IntRange(0, 9).Draw(t, about+" without "+key) == 0 {
					continue
				}
				s.Facts = append(s.Facts, record.Fact{
					Ref:   record.Ref{About: thing(about), Measure: key, Origin: record.Reported},
					Value: record.Value{Curve: curve.Draw(t, about+" "+key)},
				})
			}
		}
		for key, values := range map[string][]string{
			"indicator-volume": {"2.5 mL", "0 mL", "-1 mL", "1000000 mL"}, "injection-duration": {"3 s", "0 s", "100000 s"},
		} {
			put(s, "injection 1", key, rapid.SampledFrom(values).Draw(t, key))
		}
		put(s, "session", "loop-flow", rapid.SampledFrom([]string{"12 mL/min", "0 mL/min", "-3 mL/min", "1000000000 mL/min"}).Draw(t, "loop flow"))
		put(s, "session", "weight", rapid.SampledFrom([]string{"3 kg at 08:00", "0 kg at 08:00", "0.000001 kg at 08:00"}).Draw(t, "weight"))
		Apply(s)
		for _, f := range s.Facts {
			if f.Origin == record.Recomputed && isRecomputedValue(f.Measure) && !f.Value.IsAbsent() && (f.Value.Quantity.Rat() == nil || f.Value.Quantity.Rat().Sign() <= 0) {
				t.Errorf("%s is %+v", nameOf(f.Ref), f.Value)
			}
		}
		first := copyOf(s)
		Apply(s)
		if diff := sameFacts(first, s); diff != "" {
			t.Error(diff)
		}
		for _, f := range append(Check(s), CheckComputed(s, Curves(s))...) {
			t.Errorf("%s", f.Text(true))
		}
	})
}
