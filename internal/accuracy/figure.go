package main

import (
	"math"

	"saltmark/internal/circuit"
	"saltmark/internal/dilution"
)

// figure is one line of what must be true: what it is computed from and how.
type figure struct {
	name string
	unit string // "%" as a rule
	// of chooses the cases; the condition is that of the main figures unless it says.
	of func(o outcome) bool
	// by computes it, with an interval of the given confidence.
	by   func(list []outcome, confidence float64) interval
	goal goal
	// stretch is a better goal that is told of where it is met; none has no limit.
	stretch goal
}

// goal is the range that both ends of the interval must lie in.
type goal struct{ low, high float64 }

func atMostPercent(x float64) goal  { return goal{math.Inf(-1), x} }
func atLeastPercent(x float64) goal { return goal{x, math.Inf(1)} }
func within(low, high float64) goal { return goal{low, high} }

// none is the goal of a figure that is told without one.
var none = goal{math.Inf(-1), math.Inf(1)}

func (g goal) none() bool { return math.IsInf(g.low, -1) && math.IsInf(g.high, 1) }

// met: the worse end of the interval meets it.
func (g goal) met(i interval) bool { return i.n > 0 && i.low >= g.low && i.high <= g.high }

// missed: even the better end does not.
func (g goal) missed(i interval) bool { return i.n > 0 && (i.high < g.low || i.low > g.high) }

// Which cases.

func clean(o outcome) bool { return o.condition == "" }

func both(conditions ...func(outcome) bool) func(outcome) bool {
	return func(o outcome) bool {
		for _, c := range conditions {
			if !c(o) {
				return false
			}
		}
		return true
	}
}

func not(c func(outcome) bool) func(outcome) bool { return func(o outcome) bool { return !c(o) } }

func noShunt(o outcome) bool        { return o.shunt == circuit.NoShunt }
func leftToRight(o outcome) bool    { return o.shunt.LeftToRight() }
func rightToLeft(o outcome) bool    { return o.shunt.RightToLeft() }
func oneWayAtMost(o outcome) bool   { return noShunt(o) || leftToRight(o) || rightToLeft(o) }
func oneAndAHalf(o outcome) bool    { return o.ratio >= 1.5 }
func longBaseline(o outcome) bool   { return o.baselineS >= 30 }
func slowBending(o outcome) bool    { return o.condition == slowAndBending }
func longEnough(o outcome) bool     { return o.truth.DistributionML > 0 }
func hasCentral(o outcome) bool     { return o.truth.CentralML > 0 }
func warned(o outcome) bool         { return o.spoiled || o.hasRule(grossRule) }
func chartedFlow(o outcome) bool    { return o.flow.Withheld == "" }
func chartedVolume(o outcome) bool  { return o.distribution.Withheld == "" }
func chartedCentral(o outcome) bool { return o.central.Withheld == "" }

func (o outcome) hasRule(rule string) bool {
	for _, r := range o.rules {
		if r == rule {
			return true
		}
	}
	return false
}

// anyFault tells whether a rule of a recording was named; the doubt about a flow is none.
func (o outcome) anyFault() bool {
	for _, r := range o.rules {
		if r != grossRule {
			return true
		}
	}
	return false
}

// grossRule is the finding that says: this flow may be grossly off.
const grossRule = "flow-doubtful"

// Errors of a value, in per cent of the truth.

type quantity struct {
	estimate func(o outcome) dilution.Estimate
	truth    func(o outcome) float64
}

var (
	flow         = quantity{func(o outcome) dilution.Estimate { return o.flow }, func(o outcome) float64 { return o.truth.FlowMLs }}
	central      = quantity{func(o outcome) dilution.Estimate { return o.central }, func(o outcome) float64 { return o.truth.CentralML }}
	distribution = quantity{func(o outcome) dilution.Estimate { return o.distribution }, func(o outcome) float64 { return o.truth.DistributionML }}
)

// errors gives the signed errors of what is charted; one that is no number counts as
// infinitely wrong.
func (q quantity) errors(list []outcome) (percent []float64) {
	for _, o := range list {
		if e := q.estimate(o); e.Withheld == "" && q.truth(o) > 0 {
			x := 100 * (e.Value/q.truth(o) - 1)
			if math.IsNaN(x) {
				x = math.Inf(1)
			}
			percent = append(percent, x)
		}
	}
	return percent
}

func (q quantity) median(list []outcome, confidence float64) interval {
	return quantile(q.errors(list), 0.5, confidence)
}

// percentile95 is of the absolute error.
func (q quantity) percentile95(list []outcome, confidence float64) interval {
	x := q.errors(list)
	for i := range x {
		x[i] = math.Abs(x[i])
	}
	return quantile(x, 0.95, confidence)
}

// covered is how often the truth lies within so many stated standard deviations.
func (q quantity) covered(list []outcome, confidence float64) interval {
	return countOf(list, confidence,
		func(o outcome) bool { return q.estimate(o).Withheld == "" && q.truth(o) > 0 },
		func(o outcome) bool { return q.within(o, 2) })
}

func (q quantity) within(o outcome, deviations float64) bool {
	e := q.estimate(o)
	return math.Abs(e.Value-q.truth(o)) <= deviations*e.SD
}

// width is the median of two stated standard deviations, in per cent of the value.
func (q quantity) width(list []outcome, confidence float64) interval {
	var x []float64
	for _, o := range list {
		if e := q.estimate(o); e.Withheld == "" {
			x = append(x, 200*e.SD/math.Abs(e.Value))
		}
	}
	return quantile(x, 0.5, confidence)
}

// countOf is the share, in per cent, of those chosen that are so.
func countOf(list []outcome, confidence float64, chosen, so func(outcome) bool) interval {
	k, n := 0, 0
	for _, o := range list {
		if chosen(o) {
			n++
			if so(o) {
				k++
			}
		}
	}
	i := share(k, n, confidence)
	i.value, i.low, i.high = 100*i.value, 100*i.low, 100*i.high
	return i
}

// part gives countOf over all of a list.
func part(so func(outcome) bool) func([]outcome, float64) interval {
	return func(list []outcome, confidence float64) interval {
		return countOf(list, confidence, func(outcome) bool { return true }, so)
	}
}

// signed gives countOf over those whose sign is not withheld.
func signed(sign func(outcome) dilution.Sign, present bool) func([]outcome, float64) interval {
	return func(list []outcome, confidence float64) interval {
		return countOf(list, confidence,
			func(o outcome) bool { return sign(o).Withheld == "" },
			func(o outcome) bool { return sign(o).Present == present })
	}
}

func leftSign(o outcome) dilution.Sign  { return o.leftToRight }
func earlySign(o outcome) dilution.Sign { return o.early }
