package main

import (
	"math"
	"slices"
)

// interval is a figure with the n it rests on and an exact interval of its confidence.
// Its ends are infinite where n is too small to tell.
type interval struct {
	n                int
	value, low, high float64
}

// quantile gives the q-quantile of x (between neighbours on a straight line) with the
// distribution-free interval whose ends are order statistics. Source: Conover WJ,
// Practical Nonparametric Statistics, confidence interval for a quantile (from memory);
// it follows from the binomial count of values below the quantile.
func quantile(x []float64, q, confidence float64) interval {
	n := len(x)
	out := interval{n: n, value: math.NaN(), low: math.Inf(-1), high: math.Inf(1)}
	if n == 0 {
		return out
	}
	sorted := slices.Sorted(slices.Values(x))
	at := q * float64(n-1)
	i := min(int(at), n-1)
	out.value = sorted[i]
	if i+1 < n && at > float64(i) {
		out.value += (sorted[i+1] - sorted[i]) * (at - float64(i))
	}
	tail := (1 - confidence) / 2
	below := 0.0 // chance of at most k-1 values below the quantile
	for k := 1; k <= n; k++ {
		below += binomial(n, k-1, q)
		if below <= tail {
			out.low = sorted[k-1]
		}
		if 1-below <= tail {
			out.high = sorted[k-1]
			break
		}
	}
	return out
}

// share gives k of n as a part of one with the exact interval of Clopper and Pearson.
// Source: Clopper CJ, Pearson ES, Biometrika 1934;26:404-413 (from memory).
func share(k, n int, confidence float64) interval {
	out := interval{n: n, value: math.NaN(), low: math.Inf(-1), high: math.Inf(1)}
	if n == 0 {
		return out
	}
	out.value = float64(k) / float64(n)
	tail := (1 - confidence) / 2
	out.low, out.high = 0, 1
	if k > 0 { // the part at which k or more come with the chance of a tail
		out.low = rootOf(func(p float64) bool { return 1-atMost(n, k-1, p) < tail })
	}
	if k < n {
		out.high = rootOf(func(p float64) bool { return atMost(n, k, p) > tail })
	}
	return out
}

// rootOf is where a condition that holds from 0 on ends.
func rootOf(holds func(p float64) bool) float64 {
	low, high := 0.0, 1.0
	for range 60 {
		if middle := (low + high) / 2; holds(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// atMost is the chance of at most k of n.
func atMost(n, k int, p float64) (sum float64) {
	for i := 0; i <= k; i++ {
		sum += binomial(n, i, p)
	}
	return min(sum, 1)
}

// binomial is the chance of k of n.
func binomial(n, k int, p float64) float64 {
	if p <= 0 || p >= 1 {
		if p <= 0 == (k == 0) && (k == 0 || k == n) {
			return 1
		}
		return 0
	}
	a, _ := math.Lgamma(float64(n + 1))
	b, _ := math.Lgamma(float64(k + 1))
	c, _ := math.Lgamma(float64(n - k + 1))
	return math.Exp(a - b - c + float64(k)*math.Log(p) + float64(n-k)*math.Log1p(-p))
}
