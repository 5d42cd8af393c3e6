package derive

import (
	"cmp"
	"errors"
	"math"
	"math/big"
	"slices"
	"strconv"
	"time"

	"saltmark/internal/dilution"
	"saltmark/internal/finding"
	"saltmark/internal/trace"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Computed is what the curves of one injection come to: the recipe and the result.
type Computed struct {
	Injection record.Thing
	Input     dilution.Input
	Result    dilution.Result
	// Recipe is the SHA-256 of all that it was computed from, as the facts write it.
	Recipe string
	// Missing are the measures without which nothing could be computed; Unreadable are
	// the curves that are no series of samples.
	Missing, Unreadable []string
}

// curveMeasures are the measures that carry the curves of both sensors.
var curveMeasures = map[string]string{trace.Arterial: "arterial-trace", trace.Venous: "venous-trace"}

// needed are the measures without which no curve is computed. What else the sheet does
// not state is not known to the computation, which goes on without.
var needed = append(of("indicator-volume", "loop-flow"), sections...)

// Curves computes every injection whose arterial curve the session carries, in the
// order of their numbers. It costs some milliseconds for each; a session without curves
// costs nothing. It takes nothing but the session's facts, so that what was computed
// can be computed again from a bundle that carries the curves.
func Curves(s *record.Session) []Computed {
	var list []Computed
	var facts map[slot]*record.Fact
	for i := range s.Facts {
		f := &s.Facts[i]
		if f.Measure != curveMeasures[trace.Arterial] || f.Value.Curve == nil || f.Status.TakenBack() && !s.Withdrawn() {
			continue
		}
		if facts == nil {
			facts = recipeFacts(s)
		}
		list = append(list, compute(facts, f.About))
	}
	slices.SortFunc(list, func(a, b Computed) int {
		return record.Ref{About: a.Injection}.Compare(record.Ref{About: b.Injection})
	})
	together(facts, list)
	return list
}

// together judges the injections of the session by each other.
func together(facts map[slot]*record.Fact, list []Computed) {
	var all []dilution.Measured
	for i := range list {
		if c := &list[i]; len(c.Missing) == 0 && len(c.Unreadable) == 0 {
			all = append(all, dilution.Measured{Input: c.Input, Result: &c.Result, Excluded: facts[slot{c.Injection, "exclusion-cause"}] != nil})
		}
	}
	dilution.Together(all)
}

// recipeFacts gives the facts that a recipe is made of: those that no computation made.
// Of two about the same the first counts.
func recipeFacts(s *record.Session) map[slot]*record.Fact {
	facts := make(map[slot]*record.Fact, len(s.Facts))
	for i := range s.Facts {
		f := &s.Facts[i]
		at := slot{f.About, f.Measure}
		if f.Origin == record.Derived || f.Origin == record.Recomputed || f.Status.TakenBack() && !s.Withdrawn() || facts[at] != nil {
			continue
		}
		facts[at] = f
	}
	return facts
}

// recipe gathers the input of one injection.
type recipe struct {
	facts     map[slot]*record.Fact
	injection record.Thing
	made      *Computed
}

func compute(facts map[slot]*record.Fact, injection record.Thing) Computed {
	c := Computed{Injection: injection}
	r := recipe{facts, injection, &c}
	c.Input = dilution.Input{
		Arterial: r.curve(trace.Arterial),
		Venous:   r.curve(trace.Venous),
		Loop: dilution.Loop{
			FlowMLs:          r.number("loop-flow", "mL/s"),
			ArteryToSensorML: r.number("artery-to-sensor-volume", "mL"),
			SensorToPortML:   r.number("sensor-to-port-volume", "mL"),
			PortToSensorML:   r.number("port-to-sensor-volume", "mL"),
			SensorToVeinML:   r.number("sensor-to-vein-volume", "mL"),
		},
		VolumeML:         r.number("indicator-volume", "mL"),
		DurationS:        r.number("injection-duration", "s"),
		WeightKg:         r.number("weight", "kg"),
		IndicatorSoundMS: r.number("indicator-sound-speed", "m/s"),
		Postductal:       r.postductal(),
		Uncertainty: dilution.Uncertainty{
			Volume:   r.number("indicator-volume-uncertainty", "1"),
			LoopFlow: r.number("loop-flow-uncertainty", "1"),
			Tubing:   r.number("tubing-uncertainty", "1"),
			Sensor:   r.number("sensor-uncertainty", "1"),
		},
	}
	c.Recipe = recipeOf(r)
	for _, key := range needed {
		if math.IsNaN(r.number(key, measure.Get(key).Unit)) {
			c.Missing = append(c.Missing, key)
		}
	}
	if len(c.Missing) > 0 || len(c.Unreadable) > 0 {
		withhold(&c.Result, dilution.InputMissing)
		return c
	}
	c.Result = dilution.Analyse(c.Input)
	if c.Result.Spoiled() {
		withhold(&c.Result, dilution.SensorFault)
	}
	if q := c.Result.Flow; q.Withheld == "" && !(q.Value > c.Input.Loop.FlowMLs) {
		withhold(&c.Result, dilution.NotComputable) // the loop carries a part of the flow
	}
	return c
}

// withhold takes every value away that is still there: none may rest on curves that are
// spoiled, whoever computed it.
func withhold(r *dilution.Result, why dilution.Reason) {
	for _, e := range []*dilution.Estimate{&r.Flow, &r.Transit, &r.CentralML, &r.DispersionML, &r.Distribution} {
		e.Withheld = cmp.Or(e.Withheld, why)
	}
	for _, s := range []*dilution.Sign{&r.LeftToRight, &r.Early} {
		s.Withheld = cmp.Or(s.Withheld, why)
	}
}

// get gives a fact about the injection or, of a measure that cannot be about one, the
// session.
func (r recipe) get(key string) *record.Fact {
	about := r.injection
	if m := measure.Get(key); m == nil || !m.Has(about.Kind) {
		about = record.TheSession
	}
	return r.facts[slot{about, key}]
}

// number gives a value in a unit, NaN where it is not stated.
func (r recipe) number(key, unit string) float64 {
	x := number(r.get(key), unit)
	if x == nil {
		return math.NaN()
	}
	f, _ := x.Float64()
	return f
}

// postductal tells whether the artery is stated to lie behind the duct; where that is
// uncertain it is not.
func (r recipe) postductal() bool {
	f := r.facts[slot{record.Thing{Kind: measure.Catheter, Key: "arterial"}, "catheter-duct-site"}]
	return f != nil && f.Value.Code == "postductal"
}

// curve gives the recording of a sensor, as it was quantised on reading; the empty
// curve where the session has none. Time nought is the noted time of the injection.
func (r recipe) curve(sensor string) dilution.Curve {
	f, group := r.get(curveMeasures[sensor]), r.get("injection")
	if f == nil || f.Value.Curve == nil || group == nil {
		return dilution.Curve{}
	}
	curve, err := readCurve(sensor, f.Value.Curve, group.At)
	if err != nil {
		r.made.Unreadable = append(r.made.Unreadable, f.Measure)
	}
	return curve
}

// units are those that a curve can be computed in.
var units = []string{dilution.Fraction, dilution.Percent, dilution.SoundSpeed}

// errNoCurve tells that a curve is no series of samples in a unit that can be computed.
// That it is so is said by measure, never by this text.
var errNoCurve = errors.New("no curve that can be computed")

// readCurve turns the text of a curve into numbers. The error says that it is none.
func readCurve(sensor string, c *record.Curve, injected record.Time) (dilution.Curve, error) {
	var curve dilution.Curve
	start, err := c.Start.Parse()
	zero, err2 := injected.Parse()
	if err = cmp.Or(err, err2); err != nil {
		return curve, err
	}
	if !slices.Contains(units, c.Origin.Unit) {
		return curve, errNoCurve
	}
	startMs := new(big.Rat).SetFrac64(int64(start.Sub(zero)), int64(time.Millisecond)).FloatString(6)
	series, faults := trace.FromSampledData(sensor, startMs, trace.Text{
		Origin: c.Origin.Number, Unit: c.Origin.Unit, Period: c.Period, Factor: c.Factor,
		LowerLimit: c.LowerLimit, UpperLimit: c.UpperLimit, Dimensions: 1, Data: c.Data,
	}, finding.Place{})
	if len(faults) > 0 {
		return curve, errNoCurve
	}
	values, err := series.Values()
	if err != nil {
		return curve, err
	}
	from, step, err := series.Seconds()
	if err != nil {
		return curve, err
	}
	return dilution.Curve{
		StartS: from, StepS: step,
		Values: values, Unit: series.Unit, Quantum: math.Abs(decimal(series.Factor)),
		Lower: decimal(series.LowerLimit), Upper: decimal(series.UpperLimit),
		Below: series.Count(trace.Below), Beyond: series.Count(trace.Beyond),
	}, nil
}

// decimal reads a decimal number, NaN where there is none.
func decimal(text string) float64 {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return math.NaN()
	}
	return x
}
