package circuit

import (
	"math"
	"testing"
)

// hump is a smooth pair of curves for sensors: 60 s before, 90 s after, 100 Hz.
func hump() Run {
	r := Run{StartS: -60, StepS: 0.01}
	for i := range 15001 {
		t := r.StartS + float64(i)*r.StepS
		a := 0.0
		if t > 4 {
			a = 0.02 * math.Pow((t-4)/6, 3) * math.Exp(3-(t-4)/2)
		}
		v := 0.0
		if t > 0 && t < 3 {
			v = 0.5
		}
		r.Arterial, r.Venous = append(r.Arterial, a), append(r.Venous, v)
	}
	return r
}

// deviation is the mean and the standard deviation of a sensor that looks at a curve,
// less the curve, as parts of the arterial peak.
func deviation(t *testing.T, s Sensor, seed uint64) (mean, sd float64, differences []float64) {
	t.Helper()
	run := hump()
	got := Recorder{Arterial: s}.Record(run, seed)
	peak := peakOf(run.Arterial)
	for i, v := range got.Arterial.Values {
		differences = append(differences, (v-run.Arterial[i])/peak)
		mean += differences[i]
	}
	mean /= float64(len(differences))
	for _, d := range differences {
		sd += (d - mean) * (d - mean)
	}
	return mean, math.Sqrt(sd / float64(len(differences))), differences
}

func TestAPerfectSensorShowsTheCurve(t *testing.T) {
	run := hump()
	got := Recorder{}.Record(run, 1)
	if len(got.Arterial.Values) != len(run.Arterial) || got.StartS != -60 || got.StepS != 0.01 || got.Arterial.Unit != "1" {
		t.Fatalf("%d samples from %g by %g in %s", len(got.Arterial.Values), got.StartS, got.StepS, got.Arterial.Unit)
	}
	for i := range run.Arterial {
		if math.Abs(got.Arterial.Values[i]-run.Arterial[i]) > 1e-12 || math.Abs(got.Venous.Values[i]-run.Venous[i]) > 1e-9 {
			t.Fatalf("sample %d: %g and %g, the curves have %g and %g", i, got.Arterial.Values[i], got.Venous.Values[i], run.Arterial[i], run.Venous[i])
		}
	}
}

func TestWhiteNoiseHasItsStandardDeviationInEachSample(t *testing.T) {
	_, sd, d := deviation(t, Sensor{WhiteNoise: 0.01}, 3)
	steps := 0.0
	for i := range d[1:] {
		steps += (d[i+1] - d[i]) * (d[i+1] - d[i])
	}
	steps = math.Sqrt(steps / float64(len(d)-1) / 2)
	if math.Abs(sd/0.01-1) > 0.03 || math.Abs(steps/0.01-1) > 0.03 {
		t.Errorf("standard deviation %g, from first differences %g; 0.01 is wanted", sd, steps)
	}
}

func TestSlowNoiseHasItsStandardDeviationAndIsSlow(t *testing.T) {
	var square, within float64
	const records = 40
	for seed := range uint64(records) {
		mean, sd, d := deviation(t, Sensor{SlowNoise: 0.01}, seed)
		square += mean*mean + sd*sd
		for i := range d[1:] {
			within += (d[i+1] - d[i]) * (d[i+1] - d[i]) / 2 / float64(len(d)-1)
		}
	}
	sd, steps := math.Sqrt(square/records), math.Sqrt(within/records)
	if math.Abs(sd/0.01-1) > 0.08 {
		t.Errorf("standard deviation %g, 0.01 is wanted", sd)
	}
	if steps > 0.1*sd {
		t.Errorf("first differences show %g of %g: it is not slow", steps, sd)
	}
}

func TestDriftIsPerMinuteAndABendSettles(t *testing.T) {
	_, _, d := deviation(t, Sensor{DriftPerMin: 0.02}, 1)
	if got := d[6000] - d[0]; math.Abs(got-0.02) > 1e-9 {
		t.Errorf("after a minute the drift is %g of the peak, 0.02 is wanted", got)
	}
	_, _, d = deviation(t, Sensor{Bend: 0.04, BendS: 20}, 1)
	if early, late := d[2000], d[15000]; math.Abs(early-0.04*(1-math.Exp(-1))) > 1e-9 || math.Abs(late-0.04) > 1e-4 {
		t.Errorf("the bend is %g after its time constant and %g at the end", early, late)
	}
}

func TestGainUnitLimitAndStepOfTheNumbers(t *testing.T) {
	run := hump()
	top := 0
	for i, h := range run.Arterial {
		if h > run.Arterial[top] {
			top = i
		}
	}
	peak := run.Arterial[top]
	show := func(s Sensor) Samples { return Recorder{Arterial: s}.Record(run, 1).Arterial }
	if got := show(Sensor{GainError: 0.05}).Values[top]; math.Abs(got/peak-1.05) > 1e-9 {
		t.Errorf("gain: %g of the peak", got/peak)
	}
	if got := show(Sensor{Unit: "%"}); math.Abs(got.Values[top]-100*peak) > 1e-9 || got.Unit != "%" {
		t.Errorf("per cent: %g %s for %g", got.Values[top], got.Unit, peak)
	}
	sound := show(Sensor{Unit: "m/s", BloodMS: 1575, IndicatorMS: 1532.6, ClipAt: 0.5})
	if got, want := sound.Values[top], 1575-0.5*peak*(1575-1532.6); math.Abs(got-want) > 1e-9 || math.Abs(sound.Lower-want) > 1e-9 || !math.IsNaN(sound.Upper) {
		t.Errorf("clipped speed of sound: %g with limits %g and %g, want %g", got, sound.Lower, sound.Upper, want)
	}
	if got := show(Sensor{ClipAt: 0.5}); math.Abs(peakOf(got.Values)-0.5*peak) > 1e-12 || got.Upper != peakOf(got.Values) {
		t.Errorf("clipped at half: %g of %g, limit %g", peakOf(got.Values), peak, got.Upper)
	}
	for _, v := range show(Sensor{Unit: "%", Quantum: 0.01, WhiteNoise: 0.01}).Values {
		if math.Abs(v*100-math.Round(v*100)) > 1e-6 {
			t.Fatalf("%g is no multiple of 0.01", v)
		}
	}
}

func TestLostSamplesAreThePartThatWasAskedFor(t *testing.T) {
	lost, all := 0, 0
	for seed := range uint64(40) {
		for _, v := range (Recorder{Arterial: Sensor{Missing: 0.02}}).Record(hump(), seed).Arterial.Values {
			if all++; math.IsNaN(v) {
				lost++
			}
		}
	}
	if part := float64(lost) / float64(all); math.Abs(part/0.02-1) > 0.15 {
		t.Errorf("%g of the samples are lost, 0.02 is wanted", part)
	}
}

func TestTheClockOfARecorder(t *testing.T) {
	got := Recorder{RateHz: 25, NotedLateS: 2}.Record(hump(), 1)
	if len(got.Arterial.Values) != 3751 || got.StepS != 0.04 || got.StartS != -62 {
		t.Errorf("%d samples by %g s from %g", len(got.Arterial.Values), got.StepS, got.StartS)
	}
	even, uneven := Recorder{}.Record(hump(), 5), Recorder{JitterS: 0.005}.Record(hump(), 5)
	worst := 0.0
	for i, v := range even.Arterial.Values {
		worst = max(worst, math.Abs(v-uneven.Arterial.Values[i]))
	}
	if worst == 0 || worst > 0.05*peakOf(hump().Arterial) {
		t.Errorf("jitter of half a sample changes at most %g", worst)
	}
	if empty := (Recorder{}).Record(Run{}, 1); len(empty.Arterial.Values) != 0 {
		t.Errorf("an empty run gives %d samples", len(empty.Arterial.Values))
	}
}

func TestOwnPeakTakesNoiseFromEachCurve(t *testing.T) {
	s := Sensor{DriftPerMin: 0.02}
	run := hump()
	shared := Recorder{Venous: s}.Record(run, 1).Venous.Values[6000-1]
	own := Recorder{Venous: s, OwnPeak: true}.Record(run, 1).Venous.Values[6000-1]
	if ratio, want := own/shared, peakOf(run.Venous)/peakOf(run.Arterial); math.Abs(ratio/want-1) > 1e-6 {
		t.Errorf("the drift of the venous sensor is %g times larger, want %g", ratio, want)
	}
}

func TestTheSameSeedRecordsTheSame(t *testing.T) {
	r := Recorder{Arterial: Sensor{WhiteNoise: 0.01, SlowNoise: 0.01, Missing: 0.01}, JitterS: 0.001}
	a, b, other := r.Record(hump(), 9), r.Record(hump(), 9), r.Record(hump(), 10)
	same, differs := true, false
	for i, v := range a.Arterial.Values {
		same = same && math.Float64bits(v) == math.Float64bits(b.Arterial.Values[i])
		differs = differs || v != other.Arterial.Values[i]
	}
	if !same || !differs {
		t.Errorf("same seed the same: %v; other seed another: %v", same, differs)
	}
}
