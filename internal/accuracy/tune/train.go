// The training of small nets by stochastic gradients.
package main

import (
	"math"
	"math/rand/v2"
	"sync"

	"saltmark/internal/dilution"
)

// training says how a net is a training.
type training struct {
	Hidden  []int
	Outputs int
	Epochs  int
	Batch   int
	Rate    float64
	Decay   float64
	Seed    uint64
	// Loss gives the loss of a row and puts its slope by each output into slope.
	Loss func(row int, out, slope []float64) float64
	// Told is called after each epoch.
	Told func(epoch int, loss float64)
}

// train fits a net to rows of standardised inputs.
func train(x [][]float64, o training) dilution.Network {
	rng := rand.New(rand.NewPCG(o.Seed, 77))
	net := newNetwork(rng, len(x[0]), o.Hidden, o.Outputs)
	const workers = 2
	var grads [workers]*gradient
	for i := range grads {
		grads[i] = newGradient(&net)
	}
	moment, square := newGradient(&net), newGradient(&net)
	order := rng.Perm(len(x))
	steps := o.Epochs * ((len(x) + o.Batch - 1) / o.Batch)
	step := 0
	for epoch := range o.Epochs {
		rng.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
		total := 0.0
		for from := 0; from < len(order); from += o.Batch {
			batch := order[from:min(from+o.Batch, len(order))]
			var wg sync.WaitGroup
			var losses [workers]float64
			for w := range workers {
				wg.Add(1)
				go func() {
					defer wg.Done()
					part := batch[len(batch)*w/workers : len(batch)*(w+1)/workers]
					grads[w].clear()
					for _, row := range part {
						losses[w] += grads[w].add(&net, x[row], row, o.Loss)
					}
				}()
			}
			wg.Wait()
			total += losses[0] + losses[1]
			step++
			rate := o.Rate * 0.5 * (1 + math.Cos(math.Pi*float64(step)/float64(steps)))
			if warm := float64(step) / 200; warm < 1 {
				rate *= warm
			}
			adam(&net, grads[:], moment, square, rate, o.Decay, step, len(batch))
		}
		if o.Told != nil {
			o.Told(epoch, total/float64(len(order)))
		}
	}
	return net
}

func newNetwork(rng *rand.Rand, in int, hidden []int, out int) dilution.Network {
	var n dilution.Network
	for _, size := range append(append([]int(nil), hidden...), out) {
		l := dilution.Layer{In: in, Out: size, Weights: make([]float64, in*size), Offset: make([]float64, size)}
		for i := range l.Weights {
			l.Weights[i] = rng.NormFloat64() / math.Sqrt(float64(in))
		}
		n.Layers = append(n.Layers, l)
		in = size
	}
	return n
}

// gradient has the slopes of a loss by every number of a net.
type gradient struct {
	weights, offset [][]float64
	acts            [][]float64 // of each layer, of the row in hand
	back            [][]float64
	slope           []float64
}

func newGradient(n *dilution.Network) *gradient {
	g := &gradient{}
	g.acts = append(g.acts, make([]float64, n.Layers[0].In))
	for _, l := range n.Layers {
		g.weights = append(g.weights, make([]float64, len(l.Weights)))
		g.offset = append(g.offset, make([]float64, l.Out))
		g.acts = append(g.acts, make([]float64, l.Out))
		g.back = append(g.back, make([]float64, l.Out))
	}
	g.slope = make([]float64, n.Layers[len(n.Layers)-1].Out)
	return g
}

func (g *gradient) clear() {
	for i := range g.weights {
		clear(g.weights[i])
		clear(g.offset[i])
	}
}

func (g *gradient) add(n *dilution.Network, x []float64, row int, loss func(int, []float64, []float64) float64) float64 {
	copy(g.acts[0], x)
	last := len(n.Layers) - 1
	for k := range n.Layers {
		l := &n.Layers[k]
		from, to := g.acts[k], g.acts[k+1]
		for o := range to {
			sum := l.Offset[o]
			for i, w := range l.Weights[o*l.In : (o+1)*l.In] {
				sum += w * from[i]
			}
			if k < last {
				sum = math.Tanh(sum)
			}
			to[o] = sum
		}
	}
	clear(g.slope)
	value := loss(row, g.acts[last+1], g.slope)
	copy(g.back[last], g.slope)
	for k := last; k >= 0; k-- {
		l := &n.Layers[k]
		from := g.acts[k]
		var down []float64
		if k > 0 {
			down = g.back[k-1]
			clear(down)
		}
		for o, d := range g.back[k] {
			if d == 0 {
				continue
			}
			g.offset[k][o] += d
			w, gw := l.Weights[o*l.In:(o+1)*l.In], g.weights[k][o*l.In:(o+1)*l.In]
			for i, a := range from {
				gw[i] += d * a
			}
			if k > 0 {
				for i := range down {
					down[i] += d * w[i]
				}
			}
		}
		if k > 0 {
			for i, a := range from {
				down[i] *= 1 - a*a
			}
		}
	}
	return value
}

// adam takes one step (Kingma and Ba 2015), with weights that decay.
func adam(n *dilution.Network, grads []*gradient, m, v *gradient, rate, decay float64, step, rows int) {
	const b1, b2, eps = 0.9, 0.999, 1e-8
	c1, c2 := 1-math.Pow(b1, float64(step)), 1-math.Pow(b2, float64(step))
	move := func(p, m, v []float64, pick func(*gradient) []float64, decay float64) {
		for i := range p {
			g := 0.0
			for _, part := range grads {
				g += pick(part)[i]
			}
			g /= float64(rows)
			m[i] = b1*m[i] + (1-b1)*g
			v[i] = b2*v[i] + (1-b2)*g*g
			p[i] -= rate * (m[i]/c1/(math.Sqrt(v[i]/c2)+eps) + decay*p[i])
		}
	}
	for k := range n.Layers {
		move(n.Layers[k].Weights, m.weights[k], v.weights[k], func(g *gradient) []float64 { return g.weights[k] }, decay)
		move(n.Layers[k].Offset, m.offset[k], v.offset[k], func(g *gradient) []float64 { return g.offset[k] }, 0)
	}
}
