package dilution

import "slices"

// Version of the method. It changes whenever a number can change.
const Version = "2"

// Estimate is one computed value.
type Estimate struct {
	Value float64
	// SD is the stated standard deviation, structure included; in the unit of the value.
	SD float64
	// Withheld says why there is no value ("" = there is one).
	Withheld Reason
}

// Reason says why a value is withheld, a stable word.
type Reason string

// Reasons for withholding.
const (
	SensorFault     Reason = "sensor-fault"
	BaselineShort   Reason = "baseline-short"
	RecordShort     Reason = "record-short"
	SlowNoise       Reason = "slow-noise"
	InputMissing    Reason = "input-missing"
	EarlyAppearance Reason = "early-appearance"
	NotComputable   Reason = "not-computable"
)

// Fault is something wrong with a recording. Rule is one of Rules.
type Fault struct {
	Rule   string
	Sensor string // "arterial", "venous", "" = both or neither
	// AtS is where it was seen, s; NaN where it has no time.
	AtS float64
	// Found is the figure that was judged, and Allowed the limit; NaN where there is none.
	Found, Allowed float64
	// Spoils tells that no value may rest on the curve.
	Spoils bool
	// Cause is which of several things was found, where a rule judges more than one.
	Cause Cause
}

// Cause is why a flow is doubtful.
type Cause string

// Causes of doubt: a recording unlike all that the computation was tuned on, a flow that is
// known too roughly, a volume that the venous sensor did not see.
const (
	Unlike    Cause = "unlike"
	Imprecise Cause = "imprecise"
	Volume    Cause = "volume"
)

// Sign is an answer to yes or no, with what it rests on.
type Sign struct {
	Present bool
	// Score is the figure that was compared with the threshold.
	Score, Threshold float64
	// Withheld says why it does not count, Present or not.
	Withheld Reason
}

// Baseline is what a sensor shows before the indicator.
type Baseline struct {
	FromS, ToS float64
	// Level at time 0 and slope per s, both as volume fraction.
	Level, SlopePerS float64
	// Noise is the standard deviation of averages over 1 sample, 0.1, 1 and 3 s.
	Noise [4]float64
}

// Separation is one way of taking the first pass out of the arterial curve.
type Separation struct {
	Name    string // "closed-loop", "exponential", "gamma-variate"
	FlowMLs float64
	// AreaS is the area of the first pass, s.
	AreaS float64
	// FromS and ToS are the part of the curve that it was fitted to.
	FromS, ToS float64
	// FirstPass is the curve of it on the grid of the result.
	FirstPass []float64
	Withheld  Reason
}

// Quality says how good a recording is.
type Quality struct {
	// SignalToNoise is peak over the noise of averages over 0.1, 1 and 3 s.
	SignalToNoise [3]float64
	// DriftPerMin is the slope of the arterial baseline, per minute, as part of the peak.
	DriftPerMin float64
	// Residual is the root mean square of the closed-loop fit as part of the peak.
	Residual float64
	// Disagreement is the largest difference between two separations, part of their mean.
	Disagreement float64
	// InjectionS and InjectionUnsteadiness are seen on the venous curve: duration, and
	// relative SD of the rate.
	InjectionS, InjectionUnsteadiness float64
	// VolumeSeen is what went by the venous sensor, as part of the stated volume; NaN where
	// that is not known.
	VolumeSeen float64
	// VolumePerKg of indicator, mL/kg; NaN where the weight is not known.
	VolumePerKg float64
}

// Result is what one injection comes to.
type Result struct {
	Faults  []Fault
	Quality Quality
	// Entry is when the indicator enters the vein, mean and variance.
	EntryMeanS, EntryVarianceS2 float64
	ArterialBaseline            Baseline
	VenousBaseline              Baseline
	// Arterial and Venous are the curves as volume fraction less the baseline, on one grid.
	GridStartS, GridStepS float64
	Arterial, Venous      []float64
	// Fit is the closed-loop model on that grid.
	Fit []float64
	// ArrivalS and PeakS of the arterial curve.
	ArrivalS, PeakS float64

	Flow         Estimate // mL/s
	Separations  []Separation
	Transit      Estimate // mean transit from tip to tip, s
	CentralML    Estimate
	DispersionML Estimate // registry only
	Distribution Estimate // indicator distribution volume at 60 s, mL
	// RelativeDispersion is (variance - entry variance) / (corrected transit)^2.
	RelativeDispersion float64
	LeftToRight        Sign
	Early              Sign // early appearance of indicator: right to left

	// varianceS2 is the variance of the first pass less that of the entry; unlike is how far
	// the recording is from those of the tuning.
	varianceS2, unlike float64
}

// Spoiled tells whether a fault forbids every value.
func (r *Result) Spoiled() bool {
	return slices.ContainsFunc(r.Faults, func(f Fault) bool { return f.Spoils })
}
