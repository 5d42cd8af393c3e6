package dilution

import "math"

// Grade says how good a figure of a recording is. It says nothing about the patient.
type Grade string

// Grades.
const (
	Good      Grade = "good"
	Fair      Grade = "fair"
	Poor      Grade = "poor"
	NotGraded Grade = "" // the figure is not known
)

// QualityFigure is one figure of the quality of a recording with its grade.
type QualityFigure struct {
	// Name is a stable word.
	Name string
	// Value in Unit (UCUM); NaN where it is not known.
	Value float64
	Unit  string
	// Good and Fair are the limits of these grades.
	Good, Fair float64
	Grade      Grade
}

// qualityLimits says what is good and what is still fair. Noise and drift: at these, on
// simulated circulations, the flow does not depend on them, or still little (computed).
// The others: common practice, no source.
var qualityLimits = []struct {
	name, unit string
	good, fair float64
	// more tells that more is better.
	more bool
	of   func(*Quality) float64
}{
	{"signal-to-noise-0.1-s", "1", 100, 30, true, func(q *Quality) float64 { return q.SignalToNoise[0] }},
	{"signal-to-noise-1-s", "1", 200, 60, true, func(q *Quality) float64 { return q.SignalToNoise[1] }},
	{"signal-to-noise-3-s", "1", 300, 100, true, func(q *Quality) float64 { return q.SignalToNoise[2] }},
	{"drift-per-minute", "1/min", 0.03, 0.15, false, func(q *Quality) float64 { return math.Abs(q.DriftPerMin) }},
	{"residual-of-fit", "1", 0.01, 0.03, false, func(q *Quality) float64 { return q.Residual }},
	{"disagreement-of-separations", "1", 0.10, 0.25, false, func(q *Quality) float64 { return q.Disagreement }},
	{"injection-duration", "s", 6, 10, false, func(q *Quality) float64 { return q.InjectionS }},
	{"injection-unsteadiness", "1", 0.20, 0.45, false, func(q *Quality) float64 { return q.InjectionUnsteadiness }},
}

// Figures gives each figure of the quality with its grade, in a fixed order.
func (q Quality) Figures() []QualityFigure {
	figures := make([]QualityFigure, len(qualityLimits))
	for i, l := range qualityLimits {
		f := QualityFigure{Name: l.name, Unit: l.unit, Good: l.good, Fair: l.fair, Value: l.of(&q)}
		within := func(limit float64) bool { return l.more && f.Value >= limit || !l.more && f.Value <= limit }
		switch {
		case math.IsNaN(f.Value):
		case within(l.good):
			f.Grade = Good
		case within(l.fair):
			f.Grade = Fair
		default:
			f.Grade = Poor
		}
		figures[i] = f
	}
	return figures
}

// quality takes the figures that need no fit; Residual and Disagreement are NaN. What is
// not known is NaN, a signal without any noise has a ratio of 1e6.
func (p prepared) quality(in Input) Quality {
	nan := math.NaN()
	q := Quality{
		SignalToNoise: [3]float64{nan, nan, nan}, DriftPerMin: nan, Residual: nan, Disagreement: nan,
		InjectionS: nan, InjectionUnsteadiness: nan, VolumeSeen: nan, VolumePerKg: in.VolumeML / in.WeightKg,
	}
	if b := p.Arterial.Base; p.Arterial.BaseN > 1 && p.PeakH > 0 {
		for i := range q.SignalToNoise {
			q.SignalToNoise[i] = min(p.PeakH/b.Noise[i+1], 1e6)
		}
		q.DriftPerMin = b.SlopePerS * 60 / p.PeakH
	}
	if p.Injection.Seen {
		q.InjectionS, q.InjectionUnsteadiness = p.Injection.DurationS, p.Injection.Unsteadiness
	}
	return q
}

// disagreement is the largest difference between two flows, as part of their mean; NaN
// where there are no two.
func disagreement(ways []Separation) float64 {
	worst := math.NaN()
	for i, a := range ways {
		for _, b := range ways[:i] {
			if a.Withheld == "" && b.Withheld == "" {
				worst = math.Max(orNought(worst), math.Abs(a.FlowMLs-b.FlowMLs)/((a.FlowMLs+b.FlowMLs)/2))
			}
		}
	}
	return worst
}

// orNought takes nought for what is not known.
func orNought(x float64) float64 {
	if math.IsNaN(x) {
		return 0
	}
	return x
}
