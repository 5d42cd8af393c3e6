package dilution

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// The inverse of a Laplace transform F on a line that runs at a distance c to the right
// of the imaginary axis, at N times t_j = j d of a grid with the period P = N d:
//
//	f(t_j) = exp(c t_j)/P * sum over k from -N/2 to N/2 of F(c + i w_k) exp(i w_k t_j),
//	w_k = 2 pi k/P
//
// by a fast Fourier transform of real numbers. What it gives is f(t) + exp(-c P) f(t + P)
// + ...: c P = 8 makes that 3e-4 of what is still there a period later. F must be small
// at the end of the band, pi/d, for what is cut off there comes back as ripples, which
// exp(c t) makes larger towards the end: use the first four fifths. Source: Dubner H,
// Abate J. J ACM 1968;15:115-123 (from memory).

// dampedPeriods is c P.
const dampedPeriods = 8

// inverse has what the inversion on one grid needs. It keeps scratch space: one for
// each goroutine.
type inverse struct {
	stepS float64
	// line holds the N/2 + 1 places s at which a transform is wanted.
	line []complex128
	gain []float64 // exp(c t)/P
	fft  *fourier.FFT
}

func newInverse(samples int, stepS float64) *inverse {
	period := float64(samples) * stepS
	v := &inverse{stepS: stepS, fft: fourier.NewFFT(samples)}
	for k := range samples/2 + 1 {
		v.line = append(v.line, complex(dampedPeriods/period, 2*math.Pi*float64(k)/period))
	}
	for j := range samples {
		v.gain = append(v.gain, math.Exp(dampedPeriods*float64(j)/float64(samples))/period)
	}
	return v
}

// invert writes f at the times j stepS into f, for a transform that is given on line.
func (v *inverse) invert(f []float64, transform []complex128) {
	v.fft.Sequence(f, transform)
	for j, g := range v.gain {
		f[j] *= g
	}
}
