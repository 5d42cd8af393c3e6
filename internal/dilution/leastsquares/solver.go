package leastsquares

import "math"

// Solver has the scratch space for models up to a size.
type Solver struct {
	residualSpace, trialSpace []float64
	derivativeSpace           Columns

	// The state of one Fit.
	model       Model
	limits      []Limits
	options     Options
	residuals   []float64
	trial       []float64 // residuals of the step that is tried
	derivatives Columns
	result      Result
	to          Vector  // where the step that is tried leads
	damping     float64 // k of the package comment
	faster      float64 // what damping grows by at the next refusal
	whole       triangle
	damped      triangle
	free        [Max]int // parameters that may move, in order
	frees       int
	scale       Vector // D of the package comment
}

// NewSolver makes one for up to that many residuals and parameters (at most Max).
func NewSolver(residuals, parameters int) *Solver {
	s := &Solver{residualSpace: make([]float64, residuals), trialSpace: make([]float64, residuals)}
	for j := range parameters {
		s.derivativeSpace[j] = make([]float64, residuals)
	}
	return s
}

// Fit searches from start. There is a parameter for each of limits; the model writes so
// many residuals. It panics when either is more than the Solver was made for.
func (s *Solver) Fit(model Model, residuals int, limits []Limits, start Vector, options Options) Result {
	if options == (Options{}) {
		options = Default
	}
	s.model, s.limits, s.options = model, limits, options
	s.residuals, s.trial = s.residualSpace[:residuals], s.trialSpace[:residuals]
	s.result = Result{P: start}
	s.damping, s.faster, s.scale = 1e-3, 2, Vector{}
	s.derivatives = Columns{}
	for j, l := range limits {
		s.derivatives[j] = s.derivativeSpace[j][:residuals]
		if !l.Fixed {
			s.result.P[j] = l.clamp(start[j])
		}
	}
	s.run()
	s.model, s.limits = nil, nil
	return s.result
}

func (s *Solver) run() {
	r := &s.result
	if len(s.residuals) == 0 {
		r.End = NothingToFit
		return
	}
	s.linearise()
	if !finite(r.Sum) {
		r.End = NotFinite
		return
	}
	for r.End == Unset {
		r.Iterations++
		switch {
		case s.frees == 0:
			r.End = NothingToFit
		case r.Sum <= s.options.Enough && s.options.Enough > 0:
			r.End = Enough
		case s.steepness() <= s.options.Gradient:
			r.End = SmallGradient
		case r.Iterations > s.options.Iterations:
			r.End = TooManySteps
		default:
			s.step()
		}
	}
	s.covariance()
}

// linearise takes residuals and derivatives at the current point into the triangle.
func (s *Solver) linearise() {
	s.model.Evaluate(&s.result.P, s.residuals, &s.derivatives)
	s.result.Evaluations++
	s.result.Residuals = sumOfSquares(s.residuals)
	s.result.Sum = s.result.Residuals + s.priors(&s.result.P)
	s.choose()
	s.reduce()
}

// choose lists the parameters that may move: not fixed, and not at a bound that the sum
// of squares pushes against.
func (s *Solver) choose() {
	s.frees = 0
	for j, l := range s.limits {
		if l.Fixed {
			continue
		}
		if p := s.result.P[j]; (l.Lower != 0 || l.Upper != 0) && (p <= l.Lower || p >= l.Upper) {
			slope := product(s.derivatives[j], s.residuals)
			if l.SD > 0 {
				slope += (p - l.Mean) / (l.SD * l.SD)
			}
			if (p <= l.Lower && slope >= 0) || (p >= l.Upper && slope <= 0) {
				continue
			}
		}
		s.free[s.frees] = j
		s.frees++
	}
}

// reduce brings the rows of the free parameters to triangular form.
func (s *Solver) reduce() {
	t := &s.whole
	t.reset(s.frees)
	for from := 0; from < len(s.residuals); from += chunk {
		to := min(from+chunk, len(s.residuals))
		for k, j := range s.free[:s.frees] {
			copy(t.block[k][:], s.derivatives[j][from:to])
		}
		for i, x := range s.residuals[from:to] {
			t.block[s.frees][i] = -x
		}
		t.reflect(to - from)
	}
	rows := 0
	for k, j := range s.free[:s.frees] {
		l := s.limits[j]
		if l.SD <= 0 {
			continue
		}
		for column := range s.frees {
			t.block[column][rows] = 0
		}
		t.block[k][rows] = 1 / l.SD
		t.block[s.frees][rows] = (l.Mean - s.result.P[j]) / l.SD
		rows++
	}
	t.reflect(rows)
	for k, j := range s.free[:s.frees] {
		s.scale[j] = math.Max(s.scale[j], t.norm(k))
	}
}

// norm is that of column k.
func (t *triangle) norm(k int) float64 {
	sum := 0.0
	for j := range k + 1 {
		sum += t.row[j][k] * t.row[j][k]
	}
	return math.Sqrt(sum)
}

// steepness is the largest cosine between a free column and the residuals.
func (s *Solver) steepness() float64 {
	t, largest := &s.whole, 0.0
	length := math.Sqrt(s.result.Sum)
	if length == 0 {
		return 0
	}
	for k := range t.n {
		slope := 0.0
		for j := range k + 1 {
			slope += t.row[j][k] * t.end[j]
		}
		if norm := t.norm(k); norm > 0 {
			largest = math.Max(largest, math.Abs(slope)/(norm*length))
		}
	}
	return largest
}

// step tries one step, and takes it when the sum of squares falls.
func (s *Solver) step() {
	r := &s.result
	var d Vector
	s.solve(&d)
	s.to = r.P
	size, length := 0.0, 0.0
	for k, j := range s.free[:s.frees] {
		s.to[j] = s.limits[j].clamp(r.P[j] + d[k])
		d[k] = s.to[j] - r.P[j]
		size = math.Hypot(size, s.scale[j]*d[k])
		length = math.Hypot(length, s.scale[j]*r.P[j])
	}
	promised := s.promised(&d)
	s.model.Evaluate(&s.to, s.trial, nil)
	r.Evaluations++
	data := sumOfSquares(s.trial)
	sum := data + s.priors(&s.to)
	fall := r.Sum - sum
	gain := fall / promised
	small := size <= s.options.Step*(length+s.options.Step)
	if !finite(sum) || !(fall > 0) {
		s.refuse(small, fall)
		return
	}
	negligible := fall <= s.options.Fall*r.Sum && promised <= s.options.Fall*r.Sum
	r.P = s.to
	s.linearise()
	s.damping *= math.Max(1.0/3, 1-math.Pow(2*gain-1, 3))
	s.damping = math.Max(s.damping, 1e-18)
	s.faster = 2
	switch {
	case small:
		r.End = SmallStep
	case negligible:
		r.End = SmallFall
	}
}

// refuse stays where it is and damps more.
func (s *Solver) refuse(small bool, fall float64) {
	switch {
	case small:
		s.result.End = SmallStep
	case math.Abs(fall) <= s.options.Fall*s.result.Sum:
		s.result.End = SmallFall
	case s.damping > 1e18:
		s.result.End = Stalled
	}
	s.damping *= s.faster
	s.faster *= 2
}

// solve writes the damped step of the free parameters.
func (s *Solver) solve(d *Vector) {
	t := &s.damped
	t.reset(s.frees)
	for j := range s.frees {
		t.row[j] = s.whole.row[j]
		t.end[j] = s.whole.end[j]
	}
	root := math.Sqrt(s.damping)
	for k, j := range s.free[:s.frees] {
		for column := range s.frees + 1 {
			t.block[column][k] = 0
		}
		t.block[k][k] = root * s.scale[j]
		if s.scale[j] == 0 {
			t.block[k][k] = 1
		}
	}
	t.reflect(s.frees)
	if !t.solve(d) {
		*d = Vector{}
	}
}

// promised is the fall of the sum of squares that the linear model sees in d.
func (s *Solver) promised(d *Vector) float64 {
	t, sum := &s.whole, 0.0
	for j := range t.n {
		moved := 0.0
		for k := j; k < t.n; k++ {
			moved += t.row[j][k] * d[k]
		}
		sum += moved * (2*t.end[j] - moved)
	}
	return sum
}

func (s *Solver) priors(p *Vector) float64 {
	sum := 0.0
	for j, l := range s.limits {
		if l.SD > 0 && !l.Fixed {
			x := (p[j] - l.Mean) / l.SD
			sum += x * x
		}
	}
	return sum
}

func (s *Solver) covariance() {
	var inverse [Max][Max]float64
	if s.frees == 0 || !s.whole.invert(&inverse) {
		s.result.Singular = s.frees > 0
		return
	}
	for a, i := range s.free[:s.frees] {
		for b, j := range s.free[:s.frees] {
			s.result.Covariance[i][j] = inverse[a][b]
		}
	}
}

func sumOfSquares(x []float64) float64 { return product(x, x) }

func product(x, y []float64) float64 {
	y = y[:len(x)]
	sum := 0.0
	for i, v := range x {
		sum += v * y[i]
	}
	return sum
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
