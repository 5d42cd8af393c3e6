package leastsquares

import "math"

// Max is the largest number of parameters.
const Max = 16

// Vector holds one number for each parameter.
type Vector [Max]float64

// Columns holds the derivatives: element [j][i] is that of residual i by parameter j.
type Columns [Max][]float64

// Model is what is fitted.
type Model interface {
	// Evaluate writes the residuals at p, each divided by its standard deviation, into
	// residuals, and unless derivatives is nil their derivatives by each parameter.
	// Every element must be written. What is not finite counts as a step too far.
	Evaluate(p *Vector, residuals []float64, derivatives *Columns)
}

// Limits tells what is known of one parameter beforehand.
type Limits struct {
	// Lower and Upper bound it; both 0 means without bounds.
	Lower, Upper float64
	// Mean and SD are of a Gaussian prior; SD 0 means without one.
	Mean, SD float64
	// Fixed holds the parameter where it starts.
	Fixed bool
}

func (l Limits) clamp(x float64) float64 {
	if l.Lower == 0 && l.Upper == 0 {
		return x
	}
	return math.Min(math.Max(x, l.Lower), l.Upper)
}

// Options say when to stop. The zero value is replaced by Default.
type Options struct {
	// Gradient is the cosine of the angle between residuals and derivatives below which
	// a point is a minimum; Step the relative size of a step, Fall the relative fall of
	// the sum of squares.
	Gradient, Step, Fall float64
	// Iterations bounds the number of accepted and refused steps together.
	Iterations int
	// Enough ends the search as soon as the sum of squares is at or below it; 0 never.
	Enough float64
}

// Default is for results to about nine digits.
var Default = Options{Gradient: 1e-10, Step: 1e-11, Fall: 1e-17, Iterations: 1000}

// End says why a search ended.
type End int

// Ends of a search. Those up to and including Enough found what was looked for.
const (
	Unset         End = iota
	SmallGradient     // no direction leads down
	SmallStep         // a further step changes no parameter
	SmallFall         // a further step makes the sum no smaller
	Enough            // the sum is as small as Options.Enough asks
	TooManySteps      // Options.Iterations is used up
	Stalled           // no step, however small, leads down: derivatives that do not fit, or noise of rounding
	NotFinite         // the model gave no finite number at the start
	NothingToFit      // every parameter is fixed, or there is no residual
)

// Found tells whether the search ended at a minimum, or at a sum that is good enough.
func (e End) Found() bool { return e >= SmallGradient && e <= Enough }

func (e End) String() string {
	names := [...]string{"unset", "small gradient", "small step", "small fall", "enough",
		"too many steps", "stalled", "not finite", "nothing to fit"}
	if e < 0 || int(e) >= len(names) {
		return "unknown"
	}
	return names[e]
}

// Result is what a search came to.
type Result struct {
	// P are the best parameters met.
	P Vector
	// Sum is S at P, and Residuals the part of it that is not of priors.
	Sum, Residuals float64
	// Covariance of the parameters, priors included, in units where every residual has
	// standard deviation 1; 0 for parameters that were fixed or ended at a bound.
	Covariance [Max][Max]float64
	// Iterations and Evaluations count steps and calls of the model.
	Iterations, Evaluations int
	End                     End
	// Singular tells that the data and priors do not determine every parameter.
	// Covariance is 0 then.
	Singular bool
}

// SD is the standard deviation of parameter j.
func (r *Result) SD(j int) float64 { return math.Sqrt(r.Covariance[j][j]) }
