package dilution

import (
	"math"
	"testing"
)

func TestPrepareFindsTheInjectionOnTheVenousCurve(t *testing.T) {
	for name, change := range map[string]func(*plain){
		"infant":          func(*plain) {},
		"short":           func(c *plain) { c.durationS = 1 },
		"long":            func(c *plain) { c.durationS = 6 },
		"long port":       func(c *plain) { c.loop.PortToSensorML = 1 },
		"port holds all":  func(c *plain) { c.loop.PortToSensorML = 5 },
		"no port":         func(c *plain) { c.loop.PortToSensorML = 0 },
		"short baseline":  func(c *plain) { c.baselineS = 8 },
		"long baseline":   func(c *plain) { c.baselineS = 200 },
		"strong dilution": func(c *plain) { c.loop.FlowMLs = 4; c.volumeML = 1 },
	} {
		t.Run(name, func(t *testing.T) {
			within := 0.25 // s
			if name == "port holds all" || name == "strong dilution" {
				within = 1 // a plug of 12 s, and blood that comes back at once
			}
			c := infant()
			change(&c)
			p := prepare(c.input(0.01, 1))
			i := p.Injection
			if !i.Seen {
				t.Fatalf("injection %+v", i)
			}
			near(t, "start", i.StartS, 0, within)
			near(t, "duration", i.DurationS, c.durationS, within)
			near(t, "volume", i.VolumeML, c.volumeML, 0.1*c.volumeML)
			near(t, "unsteadiness", i.Unsteadiness, 0, 0.05)
		})
	}
}

func TestPrepareFollowsAnInjectionNotedAtAnotherTime(t *testing.T) {
	c := infant()
	for _, lateS := range []float64{-8, -3, 2, 5} {
		in := c.input(0.01, 2)
		in.Arterial.StartS -= lateS
		in.Venous.StartS -= lateS
		p := prepare(in)
		near(t, "start", p.StartS, -lateS, 0.25)
		near(t, "arrival", p.ArrivalS+lateS, prepare(c.input(0, 2)).ArrivalS, 0.4)
	}
}

func TestPrepareGivesTheSameCurveForEveryUnitAndRate(t *testing.T) {
	in := infant().input(0.01, 3)
	want := prepare(in)
	percent, speed := in, in
	for _, c := range []*Curve{&percent.Arterial, &percent.Venous} {
		c.Values, c.Unit = each(c.Values, func(v float64) float64 { return 100 * v }), Percent
	}
	speed.IndicatorSoundMS = 1533
	for _, c := range []*Curve{&speed.Arterial, &speed.Venous} {
		c.Values, c.Unit = each(c.Values, func(v float64) float64 { return 1578 + (1533-1578)*v }), SoundSpeed
	}
	offset := in
	for _, c := range []*Curve{&offset.Arterial, &offset.Venous} {
		c.Values = each(c.Values, func(v float64) float64 { return v + 0.2 })
	}
	for name, other := range map[string]Input{"percent": percent, "speed": speed, "offset": offset} {
		got := prepare(other)
		for i, v := range want.Arterial.On.H {
			if d := got.Arterial.On.H[i] - v; math.Abs(d) > 2e-4*want.PeakH {
				t.Fatalf("%s: point %d differs by %g of the peak", name, i, d/want.PeakH)
			}
		}
		near(t, name+" start", got.StartS, want.StartS, 1e-3)
		near(t, name+" arrival", got.ArrivalS, want.ArrivalS, 1e-3)
	}
	for _, every := range []int{2, 4, 7} {
		less := infant().input(0, 3)
		for _, c := range []*Curve{&less.Arterial, &less.Venous} {
			thin := []float64{}
			for i := 0; i < len(c.Values); i += every {
				thin = append(thin, c.Values[i])
			}
			c.Values, c.StepS = thin, c.StepS*float64(every)
		}
		got, full := prepare(less), prepare(infant().input(0, 3))
		for i := range got.Arterial.On.H {
			if d := got.Arterial.On.H[i] - full.Arterial.On.H[i]; math.Abs(d) > 1e-3*full.PeakH {
				t.Fatalf("every %d: point %d differs by %g of the peak", every, i, d/full.PeakH)
			}
		}
	}
}

func TestBaselineTakesOffLevelAndSlope(t *testing.T) {
	in := infant().input(0, 4)
	clean := prepare(in)
	for i := range in.Arterial.Values {
		in.Arterial.Values[i] += 0.03 + 0.0002*(in.Arterial.StartS+float64(i)*0.01)
	}
	p := prepare(in)
	near(t, "level", p.Arterial.Base.Level, 0.03, 1e-9)
	near(t, "slope", p.Arterial.Base.SlopePerS, 0.0002, 1e-9)
	near(t, "peak", p.PeakH, clean.PeakH, 1e-9)
	if p.Arterial.Base.ToS > p.ArrivalS || p.Arterial.Base.ToS < 0 {
		t.Errorf("the arterial baseline ends at %g s, arrival is at %g s", p.Arterial.Base.ToS, p.ArrivalS)
	}
}

func TestNoiseIsMeasuredOverFourTimes(t *testing.T) {
	c := infant()
	c.baselineS = 60
	in := c.input(0.02, 5)
	p := prepare(in)
	for k, want := range []float64{1, math.Sqrt(0.1), 0.1, 0.1 / math.Sqrt(3)} {
		near(t, "noise", p.Arterial.Base.Noise[k]/(0.02*p.PeakH), want, 0.2*want)
	}
}

func TestGapsAreBridgedAndMasked(t *testing.T) {
	in := infant().input(0.01, 6)
	want := prepare(in)
	for i := range 150 {
		in.Arterial.Values[6000+i] = math.NaN()
	}
	p := prepare(in)
	unused := 0
	for i, used := range p.Arterial.On.Used {
		if !used {
			unused++
			near(t, "bridge", p.Arterial.On.H[i], want.Arterial.On.H[i], 0.05*want.PeakH)
		}
	}
	if unused < 14 || unused > 16 {
		t.Errorf("%d points are masked, 15 are missing", unused)
	}
}

// Half an hour is to cost no more than in proportion.
func BenchmarkPrepare(b *testing.B) {
	for name, afterS := range map[string]float64{"2.5 minutes": 90, "30 minutes": 1740} {
		b.Run(name, func(b *testing.B) {
			c := infant()
			c.baselineS, c.afterS = 60, afterS
			in := c.input(0.01, 8)
			for b.Loop() {
				prepare(in).faults(in)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*2*len(in.Arterial.Values)), "ns/sample")
		})
	}
}

func FuzzPrepare(f *testing.F) {
	f.Add(-30.0, 0.01, uint8(0), int64(1), 1.0, 0.4, 1530.0)
	f.Add(0.0, 1e300, uint8(3), int64(2), math.NaN(), 0.0, math.NaN())
	f.Add(math.Inf(-1), 0.1, uint8(2), int64(3), 1e308, -1.0, 0.0)
	f.Fuzz(func(t *testing.T, start, step float64, kind uint8, seed int64, scale, flow, sound float64) {
		in := infant().input(0.02, uint64(seed))
		odd := []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, scale, -scale, 1e308, 5e-324}
		for _, c := range []*Curve{&in.Arterial, &in.Venous} {
			c.StartS, c.StepS = start, step
			c.Unit = []string{Fraction, Percent, SoundSpeed, "x"}[kind%4]
			for i := range c.Values {
				if every := int(kind/4) + 1; i%every == 0 {
					c.Values[i] = odd[(i/every+int(uint64(seed)%8))%8]
				} else {
					c.Values[i] *= scale
				}
			}
			c.Values = c.Values[:len(c.Values)*int(kind)/255]
		}
		in.Loop.FlowMLs, in.IndicatorSoundMS = flow, sound
		p := prepare(in)
		if !p.Injection.finite() {
			t.Errorf("injection %+v", p.Injection)
		}
		p.faults(in)
		p.quality(in)
		if d := p.distribution(in); d.Withheld == "" && !(d.Value > 0 && d.Value < math.Inf(1) && d.SD >= 0 && d.SD < math.Inf(1)) {
			t.Errorf("distribution %+v", d)
		}
	})
}

// each gives the values changed.
func each(values []float64, change func(float64) float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = change(v)
	}
	return out
}

// near compares a figure with what is wanted.
func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %g, %g ± %g is wanted", what, got, want, within)
	}
}
