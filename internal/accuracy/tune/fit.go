package main

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"saltmark/internal/circuit"
	"saltmark/internal/dilution"
)

// plan is how the nets are trained.
type plan struct {
	nets, hidden, epochs int
	rate, decay          float64
	seed                 uint64
	unused               map[int]bool // features
	levels               levels
	told                 func(string)
}

// fit trains the nets on rows; what is set by quantiles comes from held rows that no net
// has seen.
func fit(rows, held []row, p plan) *dilution.Calibration {
	c := &dilution.Calibration{Seed: p.seed, Rows: len(rows), FlowSD: 1, TransitSD: 1, CentralSD: 1}
	standardise(c, rows, p.unused)
	x := make([][]float64, len(rows))
	for i := range rows {
		x[i] = make([]float64, len(c.Mean))
		c.Standardised(rows[i].Features, x[i])
	}
	for k := range p.nets {
		c.Nets = append(c.Nets, train(x, training{
			Hidden: []int{p.hidden, p.hidden}, Outputs: dilution.Outputs, Epochs: p.epochs, Batch: 128,
			Rate: p.rate, Decay: p.decay, Seed: p.seed + uint64(k),
			Loss: func(i int, out, slope []float64) float64 {
				weight := rows[i].weight()
				loss := lossOf(&rows[i], out, slope)
				floats.Scale(weight, slope)
				return weight * loss
			},
			Told: func(epoch int, loss float64) {
				if (epoch+1)%10 == 0 {
					p.told(fmt.Sprintf("net %d epoch %d loss %.4f", k+1, epoch+1, loss))
				}
			},
		}))
	}
	whitening(c, x)
	set(c, held, p.levels)
	return c
}

func standardise(c *dilution.Calibration, rows []row, unused map[int]bool) {
	n := len(rows[0].Features)
	c.Mean, c.SD = make([]float64, n), make([]float64, n)
	column := make([]float64, len(rows))
	for j := range n {
		for i := range rows {
			column[i] = rows[i].Features[j]
		}
		mean, sd := stat.MeanStdDev(column, nil)
		c.Mean[j] = mean
		if sd > 1e-9 && !unused[j] {
			c.SD[j] = sd
		}
	}
}

// lossOf adds up what each output costs: a Student law for values, so that a few wild
// recordings do not rule, and log odds for signs.
func lossOf(r *row, out, slope []float64) float64 {
	flow := math.Log(r.FlowMLs / r.Scale.FlowMLs)
	loss := studentLoss(flow-out[dilution.OutFlow], out, slope, dilution.OutFlowSpread, of{dilution.OutFlow, 1})
	if !math.IsNaN(r.CentralML) {
		transit, said := r.CentralML/r.FlowMLs, r.LogTransit(out[dilution.OutTransit])
		gain := r.RiseS / math.Exp(said)
		e := math.Log(transit) - said
		loss += studentLoss(e, out, slope, dilution.OutTransitSpread, of{dilution.OutTransit, gain})
		loss += studentLoss(flow-out[dilution.OutFlow]+e, out, slope, dilution.OutCentralSpread,
			of{dilution.OutFlow, 1}, of{dilution.OutTransit, gain})
	}
	// Small shunts from left to right are neither.
	if r.RatioOfFlows == 1 || r.RatioOfFlows > 1.2 {
		loss += oddsLoss(r.RatioOfFlows > 1, out, slope, dilution.OutLeft)
	}
	if r.Shunt != circuit.BothWays {
		loss += oddsLoss(r.early(), out, slope, dilution.OutEarly)
	}
	return loss
}

// of is an output that went into an error, and by how much.
type of struct {
	output int
	gain   float64
}

// studentLoss is that of an error by a Student law with 6 degrees of freedom, whose
// logarithmic scale is out[spread].
func studentLoss(e float64, out, slope []float64, spread int, made ...of) float64 {
	const freedom, least = 6, -5.5
	size := math.Max(out[spread], least)
	scale := math.Exp(2 * size)
	q := e * e / (freedom * scale)
	for _, o := range made {
		slope[o.output] -= o.gain * (freedom + 1) * e / (freedom * scale) / (1 + q)
	}
	slope[spread] = 1 - (freedom+1)*q/(1+q)
	return size + (freedom+1)/2.*math.Log1p(q)
}

func oddsLoss(yes bool, out, slope []float64, at int) float64 {
	p := 1 / (1 + math.Exp(-out[at]))
	if yes {
		slope[at] = p - 1
		return -math.Log(max(p, 1e-12))
	}
	slope[at] = p
	return -math.Log(max(1-p, 1e-12))
}

// whitening finds the uncorrelated parts of the standardised features, those with a
// thousandth of the variance or more.
func whitening(c *dilution.Calibration, x [][]float64) {
	n := len(x[0])
	all := mat.NewDense(len(x), n, slices.Concat(x...))
	var cov mat.SymDense
	stat.CovarianceMatrix(&cov, all, nil)
	var e mat.EigenSym
	if !e.Factorize(&cov, true) {
		return
	}
	values := e.Values(nil)
	var vectors mat.Dense
	e.VectorsTo(&vectors)
	for k, v := range values {
		if v < 1e-3 {
			continue
		}
		for j := range n {
			c.Whiten = append(c.Whiten, vectors.At(j, k)/math.Sqrt(v))
		}
	}
}

// levels are the parts of rows that no net has seen, of people drawn wider than those
// of the figures, within two stated standard deviations and below the thresholds of the
// signs. A narrower population lies within them more often.
type levels struct{ within, volume, left, early float64 }

// set finds the factors and thresholds on rows that no net has seen.
func set(c *dilution.Calibration, held []row, l levels) {
	var flow, transit, central, unlike, left, early []float64
	x := make([]float64, len(c.Mean))
	for i := range held {
		r := &held[i]
		c.Standardised(r.Features, x)
		a := c.Answer(x, r.Scale)
		flow = append(flow, math.Abs(math.Log(r.FlowMLs/a.FlowMLs))/a.FlowSD)
		if !math.IsNaN(r.CentralML) {
			transit = append(transit, math.Abs(math.Log(r.CentralML/r.FlowMLs/a.TransitS))/a.TransitSD)
			central = append(central, math.Abs(math.Log(r.CentralML/a.CentralML))/a.CentralSD)
		}
		unlike = append(unlike, c.Unlikeness(x))
		if r.RatioOfFlows == 1 && !r.Shunt.RightToLeft() {
			left = append(left, a.Left)
		}
		if !r.early() && r.Shunt != circuit.BothWays {
			early = append(early, a.Early)
		}
	}
	c.FlowSD, c.TransitSD, c.CentralSD = c.FlowSD*quantile(flow, l.within)/2, c.TransitSD*quantile(transit, l.volume)/2, c.CentralSD*quantile(central, l.volume)/2
	c.Unlike = quantile(unlike, 0.999)
	c.Left, c.Early = quantile(left, l.left), quantile(early, l.early)
}

func quantile(v []float64, p float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	v = slices.Clone(v)
	slices.Sort(v)
	return v[min(int(p*float64(len(v))), len(v)-1)]
}
