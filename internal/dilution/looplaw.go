package dilution

import (
	"math"

	"saltmark/internal/dilution/leastsquares"
)

// The closed loop. In the Laplace domain the arterial sensor sees
//
//	H = V_ind U A T/(Q (1 - T R))
//
// with U the entry of the indicator at the tip of the venous catheter (unit area), A the
// way from the tip of the arterial catheter to the sensor, T heart and lungs from tip to
// tip, R the way back: through the body and, to the part lambda = Q_loop/Q, through the
// loop. Here T and R and their derivatives at one s.
//
//	K = exp(-s d mu) (1 + s c mu)^-1 ((1 - w) (1 + s m1/n)^-n + w (1 + s m2/n)^-n)
//
// is one passage of mean mu: a delay (share d), one chamber (share c), and two paths
// through the lungs of which the second carries the part w and is r times as slow. With
// a left-to-right share sigma = 1 - Qs/Qp, K^phi leads back from left to right, and with
// a right-to-left share rho, P passes the lungs by in the part psi of the time:
//
//	P = exp(-s e psi mu) (1 + s (1 - e) psi mu/l)^-l
//	T = (1 - sigma) ((1 - rho) K + rho P)/(1 - sigma K^phi)
//
// (conservation of indicator at each junction; derived here.) Whether it is a chamber or
// a lung that takes time cannot be told from one curve, so phi and psi are guesses with
// wide priors.

// Parameters of the loop, all real numbers without bounds of their own.
const (
	atFlow    = iota // ln(Q/Q of the start)
	atTransit        // ln(mu/mu of the start)
	atDelay          // ln of d over the share of the lungs, 1 - d - c
	atChamber        // ln of c over that
	atOrder          // ln n
	atSlower         // ln(r - 1)
	atShare          // ln of sigma/(1 - sigma)
	atReturn         // ln of phi/(1 - phi)
	atEarly          // ln of rho/(1 - rho)
	atBypass         // ln of psi/(1 - psi)
	atStages         // ln l
	atBody           // ln(mean transit of the body/that of the start)
	atSpread         // ln of the spread of the body
	atQuick          // ln of f/(1 - f), f the part of the body's flow that comes back first
	atLevel          // level of the baseline, in units of the peak
	atSlope          // its slope, in units of the peak per minute
	loopParameters
)

// slowPart is w, bypassDelay e.
const slowPart, bypassDelay = 0.35, 0.35

// passage is T with its derivatives by the first eleven parameters, at one s.
type passage struct {
	value      complex128
	derivative [atBody]complex128
}

// heartAndLungs are the parameters of T in their own units.
type heartAndLungs struct {
	muS, delay, chamber, lungs, order, slower float64
	firstS, secondS                           float64 // m1 and m2
	share, back, early, bypass, stages        float64
	shunted, mixed                            bool // sigma, rho are not nought
}

// logistic is 1/(1 + exp(-x)).
func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

func newHeartAndLungs(p *leastsquares.Vector, startMuS float64, form structure) heartAndLungs {
	delay, chamber := math.Exp(p[atDelay]), math.Exp(p[atChamber])
	lungs := 1 / (1 + delay + chamber)
	h := heartAndLungs{
		muS: startMuS * math.Exp(p[atTransit]), delay: delay * lungs, chamber: chamber * lungs, lungs: lungs,
		order: math.Exp(p[atOrder]), slower: 1,
		shunted: form.LeftToRight, mixed: form.RightToLeft,
	}
	if form.TwoPaths {
		h.slower += math.Exp(p[atSlower])
	}
	h.firstS = h.muS * lungs / (1 - slowPart + slowPart*h.slower)
	h.secondS = h.firstS * h.slower
	if h.shunted {
		h.share, h.back = logistic(p[atShare]), logistic(p[atReturn])
	}
	if h.mixed {
		h.early, h.bypass, h.stages = logistic(p[atEarly]), logistic(p[atBypass]), math.Exp(p[atStages])
	}
	return h
}

// meanS is the mean transit of T.
func (h heartAndLungs) meanS() float64 {
	return h.muS * (1 - h.early + h.early*h.bypass + h.share/(1-h.share)*h.back)
}

// at gives T at s, and its derivatives if wanted.
func (h *heartAndLungs) at(s complex128, wanted bool, out *passage) {
	var log [atShare]complex128 // derivatives of ln K
	lnK := h.lnK(s, wanted, &log)
	k := expOf(lnK)
	top, bottom := k, complex128(1)
	bottomByLn := complex128(0) // derivative by ln K
	var back, past, byTransit, byStages complex128
	if h.mixed {
		var lnP complex128
		lnP, byTransit, byStages = h.lnP(s)
		past = times(h.early, expOf(lnP))
		k = times(1-h.early, k)
		top = k + past
	}
	if h.shunted {
		back = expOf(times(h.back, lnK))
		bottom = 1 - times(h.share, back)
		bottomByLn = times(-h.share*h.back, back)
	}
	inverse := times(1-h.share, over1(bottom))
	t := top * inverse
	out.value = t
	if !wanted {
		return
	}
	over := over1(bottom)
	byLn := k*inverse - t*bottomByLn*over
	for j, x := range log {
		out.derivative[j] = byLn * x
	}
	if h.mixed {
		// past is rho P, k is (1 - rho) K.
		past *= inverse
		out.derivative[atTransit] += past * byTransit
		out.derivative[atBypass] = times(1-h.bypass, past*byTransit)
		out.derivative[atStages] = past * byStages
		out.derivative[atEarly] = times(1-h.early, past) - times(h.early, k*inverse)
	}
	if h.shunted {
		scale := h.share * (1 - h.share)
		// by sigma: -top/bottom + (1 - sigma) top K^phi/bottom^2
		out.derivative[atShare] = times(scale, top*over*(inverse*back-1))
		out.derivative[atReturn] = times(h.back*(1-h.back)*h.share, t*over*back*lnK)
	}
}

// lnP gives ln P at s, and its derivatives by ln mu and ln l.
func (h *heartAndLungs) lnP(s complex128) (ln, byTransit, byStages complex128) {
	delay := times(bypassDelay*h.bypass*h.muS, s)
	each := times((1-bypassDelay)*h.bypass*h.muS/h.stages, s)
	lnStage, inside := logOf(1+each), times(h.stages, each*over1(1+each))
	return -delay - times(h.stages, lnStage), -delay - inside, inside - times(h.stages, lnStage)
}

// lnK gives ln K at s, and its derivatives by the parameters up to atSlower.
func (h *heartAndLungs) lnK(s complex128, wanted bool, by *[atShare]complex128) complex128 {
	chamber := 1 + times(h.chamber*h.muS, s)
	first := 1 + times(h.firstS/h.order, s)
	lnFirst := logOf(first)
	ln := times(-h.delay*h.muS, s) - logOf(chamber) - times(h.order, lnFirst)
	var second, lnSecond, slow, mixture complex128
	mixture = 1
	if h.slower > 1 {
		second = 1 + times(h.secondS/h.order, s)
		lnSecond = logOf(second)
		slow = times(slowPart, expOf(times(h.order, lnFirst-lnSecond)))
		mixture = complex(1-slowPart, 0) + slow
		ln += logOf(mixture)
	}
	if !wanted {
		return ln
	}
	// By delay, chamber and lungs as shares, then by their logarithmic odds.
	overFirst := over1(first)
	byFirst := -s * overFirst // by m1, of the first path
	byOrder := -lnFirst + times(h.firstS/h.order, s*overFirst)
	byLungs := times(h.firstS, byFirst)
	if h.slower > 1 {
		overSecond := over1(second)
		bySecond := -s * overSecond
		weight := slow * over1(mixture) // of the second path in the mixture
		byOrder += weight * (lnFirst - lnSecond + times(h.secondS/h.order, s*overSecond) - times(h.firstS/h.order, s*overFirst))
		byLungs += weight * (times(h.secondS, bySecond) - times(h.firstS, byFirst))
		// m1 = m/(1 - w + w r), m2 = r m1.
		shrink := -slowPart / (1 - slowPart + slowPart*h.slower)
		byRatio := (1-weight)*times(h.firstS*shrink, byFirst) + weight*times(h.secondS*shrink+h.firstS, bySecond)
		by[atSlower] = times(h.slower-1, byRatio)
	}
	byDelay := times(-h.muS*h.delay, s)
	byChamber := times(-h.muS*h.chamber, s*over1(chamber))
	all := byDelay + byChamber + byLungs
	by[atTransit] = all
	by[atDelay] = byDelay - times(h.delay, all)
	by[atChamber] = byChamber - times(h.chamber, all)
	by[atOrder] = times(h.order, byOrder)
	return ln
}

// varianceS2 is the variance of the transit of T.
func (h heartAndLungs) varianceS2() float64 {
	between := (1 - slowPart) * slowPart * (h.secondS - h.firstS) * (h.secondS - h.firstS)
	within := ((1-slowPart)*h.firstS*h.firstS + slowPart*h.secondS*h.secondS) / h.order
	one := between + within + h.chamber*h.chamber*h.muS*h.muS
	// Laws are mixed by rho; a power x of K has x times its mean and variance, and a
	// geometric number of rounds with the odds g of one more follows.
	mu, mixed := h.muS, one
	if h.mixed {
		spread := (1 - bypassDelay) * h.bypass * mu
		mixed = (1-h.early)*one + h.early*spread*spread/h.stages + h.early*(1-h.early)*mu*mu*(1-h.bypass)*(1-h.bypass)
	}
	odds := h.share / (1 - h.share)
	return mixed + odds*h.back*one + odds*(1+odds)*h.back*h.back*mu*mu
}
