package dilution

import (
	"math"
	"math/rand/v2"
	"testing"
)

// long is an infant whose record has a minute after the injection and its tubes.
func long() plain {
	c := infant()
	c.baselineS = 45
	return c
}

// volume is V_ind over the noise-free curve a minute after.
func (c plain) volume() float64 {
	a, _ := c.run()
	atS := c.durationS + 60 + (c.loop.PortToSensorML+c.loop.SensorToVeinML+c.loop.ArteryToSensorML)/c.loop.FlowMLs
	return c.volumeML / a[int((c.baselineS+atS)*100)]
}

func TestDistributionVolumeIsTheIndicatorOverWhatIsLeftOfItAMinuteLater(t *testing.T) {
	c := long()
	want := c.volume()
	for seed := range uint64(12) {
		in := c.input(0.01, seed)
		got := prepare(in).distribution(in)
		if got.Withheld != "" {
			t.Errorf("seed %d: withheld: %s", seed, got.Withheld)
			continue
		}
		near(t, "volume", got.Value, want, 3*got.SD)
		near(t, "its relative standard deviation", got.SD/got.Value, 0.01, 0.006)
	}
}

func TestDistributionVolumeIsWithheldWithItsReason(t *testing.T) {
	for _, row := range []struct {
		name   string
		change func(*plain)
		spoil  func(*Input)
		want   Reason
	}{
		{"baseline of 8 s", func(c *plain) { c.baselineS = 8 }, nil, BaselineShort},
		{"record of 60 s", func(c *plain) { c.afterS = 60 }, nil, RecordShort},
		{"no volume stated", nil, func(in *Input) { in.VolumeML = math.NaN() }, InputMissing},
		{"no loop flow stated", nil, func(in *Input) { in.Loop.FlowMLs = 0 }, InputMissing},
		{"slow noise of 1 % of the peak", nil, func(in *Input) { wander(in, 0.01) }, SlowNoise},
		{"slow noise of 0.5 % of the peak", nil, func(in *Input) { wander(in, 0.005) }, SlowNoise},
		{"drift that settles", nil, func(in *Input) { settle(in, 0.04, 20) }, SlowNoise},
		{"drift of 6 % of the peak per minute", nil, func(in *Input) { settle(in, 6, 6000) }, SlowNoise},
	} {
		t.Run(row.name, func(t *testing.T) {
			c := long()
			if row.change != nil {
				row.change(&c)
			}
			in := c.input(0.01, 1)
			if row.spoil != nil {
				row.spoil(&in)
			}
			if got := prepare(in).distribution(in); got.Withheld != row.want {
				t.Errorf("%+v, %q is wanted", got, row.want)
			}
		})
	}
}

// peakOf is the highest value of a curve.
func peakOf(values []float64) (peak float64) {
	for _, v := range values {
		peak = max(peak, v)
	}
	return peak
}

// wander adds slow noise of 4 s to the arterial curve, as part of its peak.
func wander(in *Input, part float64) {
	r := rand.New(rand.NewPCG(4, 0))
	keep, at, peak := math.Exp(-in.Arterial.StepS/4), 0.0, peakOf(in.Arterial.Values)
	for i := range in.Arterial.Values {
		at = keep*at + math.Sqrt(1-keep*keep)*r.NormFloat64()
		in.Arterial.Values[i] += part * peak * at
	}
}

// settle adds a drift that comes to a part of the arterial peak, with its time constant.
func settle(in *Input, part, overS float64) {
	peak := peakOf(in.Arterial.Values)
	for i := range in.Arterial.Values {
		in.Arterial.Values[i] += part * peak * -math.Expm1(-float64(i)*in.Arterial.StepS/overS)
	}
}

func TestStatedUncertaintyWidensTheDistributionVolume(t *testing.T) {
	in := long().input(0.01, 1)
	narrow := prepare(in).distribution(in)
	in.Uncertainty.Volume = 0.05
	wide := prepare(in).distribution(in)
	near(t, "standard deviation", wide.SD, math.Hypot(narrow.SD, 0.05*narrow.Value), 1e-9*narrow.Value)
}

func TestUnitAndOffsetMoveTheDistributionVolumeByNothing(t *testing.T) {
	in := long().input(0.01, 1)
	want := prepare(in).distribution(in).Value
	for _, c := range []*Curve{&in.Arterial, &in.Venous} {
		c.Values, c.Unit = each(c.Values, func(v float64) float64 { return 100*v + 3 }), Percent
	}
	near(t, "volume", prepare(in).distribution(in).Value, want, 1e-9*want)
}
