package dilution

import "math"

// Network is a small net of layers: tanh between, nothing behind the last.
type Network struct{ Layers []Layer }

// Layer has Out rows of In weights, and a constant for each.
type Layer struct {
	In, Out         int
	Weights, Offset []float64
}

// widest bounds the layers, so that no run needs memory of its own.
const widest = 192

// Run puts the outputs of the net for in into out.
func (n *Network) Run(in, out []float64) {
	var a, b [widest]float64
	from, to := a[:copy(a[:], in)], b[:]
	for l := range n.Layers {
		layer := &n.Layers[l]
		to = to[:layer.Out]
		for o := range to {
			sum := layer.Offset[o]
			row := layer.Weights[o*layer.In : (o+1)*layer.In]
			for i, w := range row {
				sum += w * from[i]
			}
			if l < len(n.Layers)-1 {
				sum = math.Tanh(sum)
			}
			to[o] = sum
		}
		from, to = to, from[:cap(from)]
	}
	copy(out, from)
}
