package dilution

import (
	"cmp"
	"math"
	"slices"
)

// Analyse computes one injection. It always gives a result: what cannot be computed is
// withheld with its reason, and nothing that is given is other than a finite number.
func Analyse(in Input) Result {
	p := prepare(in)
	r := Result{
		GridStepS: gridStepS, GridStartS: p.Arterial.On.at(0),
		Arterial: p.Arterial.On.H, Venous: p.Venous.On.H,
		ArterialBaseline: p.Arterial.Base, VenousBaseline: p.Venous.Base,
		ArrivalS: p.ArrivalS, PeakS: p.PeakS,
		Faults: p.faults(in),
	}
	r.withhold(NotComputable)
	r.RelativeDispersion = math.NaN()
	r.Quality = p.quality(in)
	r.Quality.VolumeSeen = p.volumeSeen(in, r.Faults)
	if r.Spoiled() {
		r.withhold(r.spoiledBy())
		return r
	}
	duration := durationOf(in, &p)
	if !(in.VolumeML > 0 && in.Loop.FlowMLs > 0 && duration > 0) {
		r.withhold(InputMissing)
		return r
	}
	e := enters(in.Loop.FlowMLs, in.Loop.PortToSensorML+in.Loop.SensorToVeinML, in.VolumeML, duration)
	r.EntryMeanS, r.EntryVarianceS2 = p.StartS+e.mean(), e.variance()
	r.separate(in, &p, e)
	f, ok := describe(in, &p, nil)
	c, err := calibration()
	if !ok || err != nil {
		return r
	}
	r.closeLoop(in, &p, f.loops)
	r.answer(in, &p, c, &f)
	if r.unlike > c.Unlike {
		r.fallBack()
	}
	r.Distribution = p.distribution(in)
	r.disperse(in, e)
	r.Quality.Disagreement = disagreement(r.Separations)
	r.doubt(c)
	r.discountSigns()
	return r
}

// withhold leaves no value and no sign.
func (r *Result) withhold(reason Reason) {
	none := Estimate{Value: math.NaN(), SD: math.NaN(), Withheld: reason}
	r.Flow, r.Transit, r.CentralML, r.DispersionML, r.Distribution = none, none, none, none, none
	sign := Sign{Score: math.NaN(), Threshold: math.NaN(), Withheld: reason}
	r.LeftToRight, r.Early = sign, sign
}

// reasons are what the faults that spoil curves come to; those that are not here are of
// a sensor.
var reasons = map[string]Reason{
	"baseline-missing":   BaselineShort,
	"record-short":       RecordShort,
	"recording-repeated": InputMissing,
	"injection-time-off": InputMissing,
}

// spoiledBy gives the reason that the first fault which spoils the curves comes to.
func (r *Result) spoiledBy() Reason {
	for _, f := range r.Faults {
		if f.Spoils {
			return cmp.Or(reasons[f.Rule], SensorFault)
		}
	}
	return ""
}

// spoil tells a fault that was found when all was computed, and takes it back.
func (r *Result) spoil(f Fault) {
	r.tell(f)
	r.Separations, r.Fit = nil, nil
	r.withhold(r.spoiledBy())
}

// tell adds a fault in its place. No flow is left to be doubted where it spoils.
func (r *Result) tell(f Fault) {
	r.Faults = inOrder(append(r.Faults, f))
	if f.Spoils {
		r.Faults = slices.DeleteFunc(r.Faults, func(f Fault) bool { return f.Rule == doubtful })
	}
	r.discountSigns()
}

// signSD is the relative standard deviation of a flow beyond which the curve is not
// understood well enough for its signs to count (chosen).
const signSD = 0.10

// discountSigns withholds the signs of a recording with a fault that can make them, or
// whose flow is hardly known: what they are stays there to be told.
func (r *Result) discountSigns() {
	var why Reason
	switch {
	case slices.ContainsFunc(r.Faults, func(f Fault) bool { return ruleOf(f.Rule).Bends }):
		why = SensorFault
	case r.Flow.SD > signSD*r.Flow.Value:
		why = NotComputable
	}
	for _, s := range []*Sign{&r.LeftToRight, &r.Early} {
		s.Withheld = cmp.Or(s.Withheld, why)
	}
}

func ruleOf(id string) Rule {
	for _, r := range Rules() {
		if r.ID == id {
			return r
		}
	}
	return Rule{}
}

// durationOf is how long the injection took, s: as the venous sensor saw it, as stated
// where it did not, and NaN where neither tells.
func durationOf(in Input, p *prepared) float64 {
	if p.Injection.Seen && p.Injection.DurationS > 0 {
		return p.Injection.DurationS
	}
	return in.DurationS
}

// separate takes the first pass out of the arterial curve in three ways.
func (r *Result) separate(in Input, p *prepared, e entry) {
	on := p.Arterial.On
	ways := []struct {
		name string
		by   func(startS, stepS float64, h []float64, arrivalS float64) separated
	}{{"exponential", exponential}, {"gamma-variate", fitGammaVariate}}
	for _, way := range ways {
		s := notSeparated()
		if !math.IsNaN(p.ArrivalS) {
			s = way.by(on.at(0)-p.StartS, gridStepS, on.H, p.ArrivalS-p.StartS)
		}
		part := s.separation(way.name, in.VolumeML)
		part.FromS, part.ToS = part.FromS+p.StartS, part.ToS+p.StartS
		r.Separations = append(r.Separations, part)
		if s.withheld == "" {
			arteryS := in.Loop.ArteryToSensorML / in.Loop.FlowMLs
			r.RelativeDispersion = relativeDispersion(s.moments, e, arteryS)
			r.varianceS2 = s.varianceS2 - e.variance()
		}
	}
}

// closeLoop adds what closed loops make of the curve, and their curve.
func (r *Result) closeLoop(in Input, p *prepared, l *loops) {
	s := Separation{
		Name: "closed-loop", Withheld: NotComputable, FlowMLs: math.NaN(), AreaS: math.NaN(),
		FromS: p.StartS, ToS: p.Arterial.On.at(len(p.Arterial.On.H) - 1),
	}
	if q := l.flowMLs(); q > 0 {
		s.Withheld, s.FlowMLs, s.AreaS = "", q, in.VolumeML/q
		fit := l.nearest(q)
		r.Fit, s.FirstPass = fit.curves(l.problem)
		r.Quality.Residual = fit.residual
		r.varianceS2 = fit.varianceS2
		r.RelativeDispersion = fit.varianceS2 / (fit.transitS * fit.transitS)
	}
	r.Separations = append([]Separation{s}, r.Separations...)
}

// nearest gives the structure whose flow lies nearest to the combined one.
func (l *loops) nearest(flowMLs float64) *loopResult {
	if l.appearsEarly() {
		return &l.early
	}
	best := &l.fits[0]
	for i := range l.fits {
		f := &l.fits[i]
		if f.withheld == "" && (best.withheld != "" || math.Abs(math.Log(f.flowMLs/flowMLs)) < math.Abs(math.Log(best.flowMLs/flowMLs))) {
			best = f
		}
	}
	return best
}

// answer takes values and signs from the calibration, with the uncertainties that the
// site states.
func (r *Result) answer(in Input, p *prepared, c *Calibration, f *features) {
	a := c.answer(f)
	s := statedOf(in, p, c, &a, f.loops)
	r.Flow = estimate(a.FlowMLs, math.Hypot(a.FlowSD, s.flow))
	r.Transit = estimate(a.TransitS, math.Hypot(a.TransitSD, s.transit))
	r.CentralML = estimate(a.CentralML, math.Hypot(a.CentralSD, s.central))
	r.LeftToRight = Sign{Present: a.Left > c.Left, Score: a.Left, Threshold: c.Left}
	r.Early = Sign{Present: a.Early > c.Early, Score: a.Early, Threshold: c.Early}
	if r.Early.Present {
		none := Estimate{Value: math.NaN(), SD: math.NaN(), Withheld: EarlyAppearance}
		r.Transit, r.CentralML = none, none
	}
	r.unlike = a.Unlike
}

// estimate is a value with a relative standard deviation; what is no number is withheld.
func estimate(value, relative float64) Estimate {
	e := Estimate{Value: value, SD: value * relative}
	if !(value > 0) || !(e.SD >= 0) || math.IsInf(e.SD, 0) || math.IsInf(value, 0) {
		return Estimate{Value: math.NaN(), SD: math.NaN(), Withheld: NotComputable}
	}
	return e
}

// strangeSD is the relative standard deviation of a flow that nothing learned can answer
// (chosen; it is told as doubtful in any case).
const strangeSD = 0.15

// fallBack is for a recording that is unlike all that the calibration was tuned on: the
// flow is the middle one of the separations, which need nothing learned, and all else is
// withheld.
func (r *Result) fallBack() {
	r.withhold(NotComputable)
	var flows []float64
	for _, s := range r.Separations {
		if s.Withheld == "" && s.FlowMLs > 0 {
			flows = append(flows, s.FlowMLs)
		}
	}
	if len(flows) == 0 {
		return
	}
	slices.Sort(flows)
	middle := flows[len(flows)/2]
	if len(flows)%2 == 0 {
		middle = (flows[len(flows)/2-1] + middle) / 2
	}
	spread := (flows[len(flows)-1] - flows[0]) / 2 / middle
	r.Flow = estimate(middle, max(spread, strangeSD))
}

// disperse gives the dispersion volume of heart and lungs: Q sqrt(n dVar) for n = 4 equal
// mixed chambers, where dVar is the variance of the first pass less that of the entry.
func (r *Result) disperse(in Input, e entry) {
	const chambers = 4
	if r.Flow.Withheld != "" || r.Transit.Withheld != "" || !(r.varianceS2 > 0) {
		r.DispersionML = Estimate{Value: math.NaN(), SD: math.NaN(), Withheld: r.Transit.Withheld}
		if r.DispersionML.Withheld == "" {
			r.DispersionML.Withheld = NotComputable
		}
		return
	}
	r.DispersionML = estimate(r.Flow.Value*math.Sqrt(chambers*r.varianceS2), math.Hypot(r.Flow.SD/r.Flow.Value, dispersionSD))
}

// dispersionSD is the relative standard deviation that a variance of a separated first
// pass is taken to leave in the dispersion volume (chosen, not calibrated: no truth is
// defined for it).
const dispersionSD = 0.15

// Bounds of what is told as doubtful.
const (
	doubtfulSD = 0.05 // relative standard deviation of the flow
)

// doubtful is the rule of a flow that may be grossly off.
const doubtful = "flow-doubtful"

// doubt says that a flow may be grossly off: the recording is unlike all that the
// calibration was tuned on, the flow is known too roughly, or the stated volume is not
// that which was seen.
func (r *Result) doubt(c *Calibration) {
	switch relative := r.Flow.SD / r.Flow.Value; {
	case r.unlike > c.Unlike:
		r.tellDoubt(Unlike, r.unlike, c.Unlike)
	case relative > doubtfulSD:
		r.tellDoubt(Imprecise, relative, doubtfulSD)
	case r.has("venous-area-mismatch"):
		r.tellDoubt(Volume, math.NaN(), math.NaN())
	}
}

// tellDoubt doubts a flow that there is, once.
func (r *Result) tellDoubt(why Cause, found, allowed float64) {
	if r.Flow.Withheld == "" && !r.has(doubtful) {
		r.tell(Fault{Rule: doubtful, AtS: math.NaN(), Found: found, Allowed: allowed, Cause: why})
	}
}

// has tells whether a rule was named.
func (r *Result) has(rule string) bool {
	return slices.ContainsFunc(r.Faults, func(f Fault) bool { return f.Rule == rule })
}
