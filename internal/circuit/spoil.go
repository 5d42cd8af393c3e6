package circuit

import (
	"math"
	"slices"
)

// Spoiling is one thing that goes wrong while recording. Its name is the rule by which an
// estimator is to name it.
type Spoiling struct {
	Name string
	// before changes what is there to be recorded, and how; after changes the samples.
	before func(spoiler, *Run, *Recorder)
	after  func(spoiler, *Recording)
}

// Spoilings gives everything that can go wrong, each of varied kind and severity.
func Spoilings() []Spoiling {
	return []Spoiling{
		{Name: "curve-unit-wrong", after: spoiler.sayAnotherUnit},
		{Name: "sensors-swapped", before: spoiler.swap},
		{Name: "curve-reversed", after: spoiler.reverse},
		{Name: "no-indicator", after: spoiler.injectNothing},
		{Name: "curve-flat", after: spoiler.stopSensor},
		{Name: "sensor-unplugged", after: spoiler.unplug},
		{Name: "curve-clipped", before: spoiler.limit, after: spoiler.hideLimit},
		{Name: "two-injections", before: spoiler.injectAgain},
		{Name: "baseline-missing", after: beginAt(-0.5, 4)},
		{Name: "baseline-short", after: beginAt(-5, -1.7)},
		{Name: "record-short", after: spoiler.end},
		{Name: "curve-gap", after: spoiler.lose},
		{Name: "air-burst", after: spoiler.bubble},
		{Name: "noise-burst", after: spoiler.shake},
		{Name: "curve-noisy", before: spoiler.drown},
		{Name: "drift-strong", before: spoiler.drift},
		{Name: "curve-step", before: spoiler.leap},
		{Name: "blood-stands", before: spoiler.clampLine},
		{Name: "venous-area-mismatch", before: spoiler.misread},
		{Name: "injection-time-off", before: spoiler.noteLate},
	}
}

// SpoilingOf gives the one of that name.
func SpoilingOf(name string) (Spoiling, bool) {
	all := Spoilings()
	i := slices.IndexFunc(all, func(s Spoiling) bool { return s.Name == name })
	if i < 0 {
		return Spoiling{}, false
	}
	return all[i], true
}

// Record records a run so that this goes wrong, the same for the same seed.
func (s Spoiling) Record(run Run, r Recorder, seed uint64) Recording {
	d := newDraw(Scenario{Seed: seed}, streamSpoil)
	run.Arterial, run.Venous = slices.Clone(run.Arterial), slices.Clone(run.Venous)
	at := spoiler{draw: d, run: run, recorder: r, venous: d.chance(0.5), peaks: [2]float64{peakOf(run.Arterial), peakOf(run.Venous)}}
	if s.before != nil {
		s.before(at, &run, &r)
	}
	recording := r.Record(run, d.Uint64())
	at.notedS = -r.NotedLateS
	if s.after != nil {
		s.after(at, &recording)
	}
	return recording
}

// spoiler is one spoiling at work.
type spoiler struct {
	draw
	run    Run
	venous bool       // which sensor is hit
	peaks  [2]float64 // arterial, venous
	// recorder is as it was meant to be; notedS is when the injection began on the clock of
	// the recording.
	recorder Recorder
	notedS   float64
}

// struck gives the sensor that is hit, and the peak of its curve.
func (s spoiler) struck(r *Recording) (*Samples, float64) {
	if s.venous {
		return &r.Venous, s.peaks[1]
	}
	return &r.Arterial, s.peaks[0]
}

// span gives samples (half-open) of so many seconds that begin between two times after
// the start of the injection.
func (s spoiler) span(r *Recording, earliestS, latestS, longS float64) (from, to int) {
	at := s.notedS + earliestS + (latestS-earliestS)*s.Float64()
	n := len(r.Arterial.Values)
	from = min(max(int((at-r.StartS)/r.StepS), 0), n)
	return from, min(from+int(longS/r.StepS), n)
}

// perFraction is by how much the numbers of a sensor move for a volume fraction of one.
func (s spoiler) perFraction(unit string) float64 {
	switch unit {
	case "%":
		return 100
	case "m/s":
		return s.recorder.Arterial.IndicatorMS - s.recorder.Arterial.BloodMS
	}
	return 1
}

func (s spoiler) sayAnotherUnit(r *Recording) {
	for _, c := range []*Samples{&r.Arterial, &r.Venous} {
		switch c.Unit {
		case "%":
			c.Unit = []string{"1", "m/s"}[s.IntN(2)]
		case "m/s":
			c.Unit = []string{"1", "%"}[s.IntN(2)]
		default:
			c.Unit = []string{"%", "m/s"}[s.IntN(2)]
		}
	}
}

func (s spoiler) swap(run *Run, r *Recorder) {
	run.Arterial, run.Venous = run.Venous, run.Arterial
	r.Arterial, r.Venous = r.Venous, r.Arterial
	// The noise stays with the sensor: a part of the peak of the true arterial curve.
	ratio := s.peaks[0] / s.peaks[1]
	for _, sensor := range []*Sensor{&r.Arterial, &r.Venous} {
		sensor.WhiteNoise *= ratio
		sensor.SlowNoise *= ratio
		sensor.DriftPerMin *= ratio
		sensor.Bend *= ratio
	}
}

// reverse mirrors one curve or both about the level at which it begins.
func (s spoiler) reverse(r *Recording) {
	both := s.chance(0.4)
	for i, c := range []*Samples{&r.Arterial, &r.Venous} {
		if !both && (i == 1) != s.venous {
			continue
		}
		level := firstValid(c.Values)
		for k := range c.Values {
			c.Values[k] = 2*level - c.Values[k]
		}
	}
}

func firstValid(values []float64) float64 {
	for _, v := range values {
		if !math.IsNaN(v) {
			return v
		}
	}
	return 0
}

// injectNothing takes the curves off and leaves the noise that they would have had.
func (s spoiler) injectNothing(r *Recording) {
	for _, x := range []struct {
		*Samples
		curve  []float64
		sensor Sensor
	}{{&r.Arterial, s.run.Arterial, s.recorder.Arterial}, {&r.Venous, s.run.Venous, s.recorder.Venous}} {
		for i := range x.Values {
			shown := (1 + x.sensor.GainError) * valueAt(x.curve, float64(i)*r.StepS/s.run.StepS)
			v := x.Values[i] - s.perFraction(x.Unit)*shown
			if x.Quantum > 0 {
				v = math.Round(v/x.Quantum) * x.Quantum
			}
			x.Values[i] = v
		}
	}
}

// stopSensor lets a sensor stand still, for all of the recording or from some time on.
func (s spoiler) stopSensor(r *Recording) {
	c, _ := s.struck(r)
	from, to := 0, len(c.Values)
	if s.chance(0.5) {
		from, to = s.span(r, -5, 30, s.between(3, 60))
	}
	stuck := math.NaN()
	for i := from; i < to; i++ {
		if math.IsNaN(stuck) {
			stuck = c.Values[i]
		}
		c.Values[i] = stuck
	}
}

// unplug sends a sensor to a rail, to silence, or to hum, for some seconds or for good.
func (s spoiler) unplug(r *Recording) {
	c, peak := s.struck(r)
	unit := peak * s.perFraction(c.Unit)
	long := 1e6
	kind := s.IntN(3)
	if kind == 0 {
		long = s.between(4, 100)
	}
	from, to := s.span(r, -5, 40, long)
	rail := firstValid(c.Values) + unit*s.between(1, 10)*float64(1-2*s.IntN(2))
	for i := from; i < to; i++ {
		switch kind {
		case 0:
			c.Values[i] = rail
		case 1:
			c.Values[i] = math.NaN()
		default:
			c.Values[i] = firstValid(c.Values) + unit*s.NormFloat64()*3
		}
	}
}

// limit cuts one curve, or both, at a part of its peak.
func (s spoiler) limit(_ *Run, r *Recorder) {
	at := s.between(0.3, 0.93)
	if !s.venous || s.chance(0.3) {
		r.Arterial.ClipAt = at
	}
	if s.venous {
		r.Venous.ClipAt = at
	}
}

// hideLimit leaves it unsaid in half of the records.
func (s spoiler) hideLimit(r *Recording) {
	if s.chance(0.5) {
		for _, c := range []*Samples{&r.Arterial, &r.Venous} {
			c.Lower, c.Upper = math.NaN(), math.NaN()
		}
	}
}

// injectAgain adds a second injection of 0.5 to 1 times the volume.
func (s spoiler) injectAgain(run *Run, _ *Recorder) {
	later := int(s.between(10, 50) / run.StepS)
	part := s.between(0.5, 1)
	for _, curve := range [][]float64{run.Arterial, run.Venous} {
		first := slices.Clone(curve)
		for i := later; i < len(curve); i++ {
			curve[i] = min(curve[i]+part*first[i-later], 0.99)
		}
	}
}

// beginAt lets the recording begin so many seconds after the start of the injection.
func beginAt(earliestS, latestS float64) func(spoiler, *Recording) {
	return func(s spoiler, r *Recording) {
		from, _ := s.span(r, earliestS, latestS, 0)
		r.Arterial.Values, r.Venous.Values = r.Arterial.Values[from:], r.Venous.Values[from:]
		r.StartS += float64(from) * r.StepS
	}
}

func (s spoiler) end(r *Recording) {
	to, _ := s.span(r, 8, 57, 0)
	r.Arterial.Values, r.Venous.Values = r.Arterial.Values[:to], r.Venous.Values[:to]
}

func (s spoiler) lose(r *Recording) {
	c, _ := s.struck(r)
	from, to := s.span(r, -5, 45, s.between(1.2, 12))
	for i := from; i < to; i++ {
		c.Values[i] = math.NaN()
	}
}

// bubble adds 3 to 20 spikes of 20 to 200 ms within some seconds, or in a third of the
// recordings a crowd of bubbles for 0.3 to 3 s, from the baseline on; either way to one
// side.
func (s spoiler) bubble(r *Recording) {
	c, peak := s.struck(r)
	unit := peak * s.perFraction(c.Unit) * float64(1-2*s.IntN(2))
	if s.chance(1.0 / 3) {
		depth := unit * s.between(1, 8)
		from, to := s.span(r, -6, 50, s.between(0.3, 3))
		for i := from; i < to; i++ {
			c.Values[i] += depth * s.Float64()
		}
		return
	}
	from, to := s.span(r, 8, 50, s.between(2, 6))
	for range 3 + s.IntN(18) {
		if to <= from {
			return
		}
		at, height := from+s.IntN(to-from), unit*s.between(0.4, 4)
		for i := at; i < min(at+max(1, int(s.between(0.02, 0.2)/r.StepS)), len(c.Values)); i++ {
			c.Values[i] += height
		}
	}
}

// shake adds noise of 8 to 40 % of the peak for some seconds.
func (s spoiler) shake(r *Recording) {
	c, peak := s.struck(r)
	sd := peak * s.perFraction(c.Unit) * s.between(0.08, 0.4)
	from, to := s.span(r, 8, 50, s.between(2, 8))
	for i := from; i < to; i++ {
		c.Values[i] += sd * s.NormFloat64()
	}
}

// drown takes noise of averages over 0.1 s to 8 to 40 % of the arterial peak.
func (s spoiler) drown(_ *Run, r *Recorder) {
	rate := r.RateHz
	if rate == 0 {
		rate = 100
	}
	r.Arterial.WhiteNoise = s.between(0.08, 0.4) * math.Sqrt(max(rate/10, 1))
}

func (s spoiler) drift(_ *Run, r *Recorder) {
	r.Arterial.DriftPerMin = s.between(0.6, 2) * float64(1-2*s.IntN(2))
}

// leap moves the level of the arterial curve by 10 to 60 % of the peak, either way, from
// some time on.
func (s spoiler) leap(run *Run, _ *Recorder) {
	by := s.peaks[0] * s.between(0.1, 0.6) * float64(1-2*s.IntN(2))
	for i := max(run.index(-6+56*s.Float64()), 0); i < len(run.Arterial); i++ {
		run.Arterial[i] += by
	}
}

// clampLine lets the blood in the arterial line stand from where the curve has fallen to
// 30 to 85 % of its peak.
func (s spoiler) clampLine(run *Run, _ *Recorder) {
	level := s.peaks[0] * s.between(0.3, 0.85)
	peak := slices.Index(run.Arterial, s.peaks[0])
	for i := peak; i < len(run.Arterial); i++ {
		if run.Arterial[i] <= level {
			for k := i; k < len(run.Arterial); k++ {
				run.Arterial[k] = run.Arterial[i]
			}
			return
		}
	}
}

// index gives the sample at a time.
func (r *Run) index(atS float64) int { return int((atS - r.StartS) / r.StepS) }

// misread lets the venous sensor see 2 to 7 times less of the volume, or 2.5 to 7 times
// more: with a loop that runs at a flow that is not the stated one, blood and indicator
// meet in another ratio.
func (s spoiler) misread(run *Run, _ *Recorder) {
	factor := 1 / s.between(2, 7)
	if s.chance(0.5) {
		factor = s.between(2.5, 7)
	}
	for i, h := range run.Venous {
		run.Venous[i] = factor * h / (1 - h + factor*h)
	}
}

func (s spoiler) noteLate(_ *Run, r *Recorder) {
	r.NotedLateS = s.between(8, 25) * float64(1-2*s.IntN(2))
}
