package leastsquares

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// formula is a model y(x; p) with its derivatives, and data for it.
type formula struct {
	y, x []float64
	f    func(x float64, p *Vector, derivative *Vector) float64
	d    Vector // here, since a local one would be allocated
}

func (m *formula) Evaluate(p *Vector, residuals []float64, derivatives *Columns) {
	for i, x := range m.x {
		residuals[i] = m.f(x, p, &m.d) - m.y[i]
		if derivatives == nil {
			continue
		}
		for j := range derivatives {
			if derivatives[j] != nil {
				derivatives[j][i] = m.d[j]
			}
		}
	}
}

// rational is (p_0 + p_1 x + ... ) / (1 + p_above x + ...), above coefficients on top.
func rational(above, below int) func(x float64, p, d *Vector) float64 {
	return func(x float64, p, d *Vector) float64 {
		top, bottom := 0.0, 0.0
		for k := above - 1; k >= 0; k-- {
			top = top*x + p[k]
		}
		for k := below - 1; k >= 0; k-- {
			bottom = (bottom + p[above+k]) * x
		}
		bottom++
		power := 1.0
		for k := range above {
			d[k] = power / bottom
			power *= x
		}
		power = x
		for k := range below {
			d[above+k] = -top / (bottom * bottom) * power
			power *= x
		}
		return top / bottom
	}
}

// decays is a sum of p_a exp(-p_b x) over the pairs (a, b), and a constant p_0 if wanted.
func decays(constant bool, pairs ...[2]int) func(x float64, p, d *Vector) float64 {
	return func(x float64, p, d *Vector) float64 {
		y := 0.0
		if constant {
			y, d[0] = p[0], 1
		}
		for _, pair := range pairs {
			e := math.Exp(-p[pair[1]] * x)
			y += p[pair[0]] * e
			d[pair[0]], d[pair[1]] = e, -p[pair[0]]*x*e
		}
		return y
	}
}

func line(x float64, p, d *Vector) float64 {
	d[0], d[1] = 1, x
	return p[0] + p[1]*x
}

// certified is what a file of NIST says: starts, values, standard deviations.
type certified struct {
	starts     [2]Vector
	value, sd  Vector
	parameters int
	sum        float64
	y, x       []float64
}

// readCertified reads the layout of the files of nonlinear regression: rows
// "b1 = start start value SD", and data "y x" after the heading "Data:  y  x".
func readCertified(t testing.TB, name string) certified {
	t.Helper()
	file, err := os.Open("testdata/" + name + ".dat")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	var c certified
	data := false
	for lines := bufio.NewScanner(file); lines.Scan(); {
		words := strings.Fields(lines.Text())
		switch {
		case len(words) == 6 && words[1] == "=":
			j := c.parameters
			c.starts[0][j], c.starts[1][j] = number(t, words[2]), number(t, words[3])
			c.value[j], c.sd[j] = number(t, words[4]), number(t, words[5])
			c.parameters++
		case len(words) == 5 && strings.HasPrefix(lines.Text(), "Residual Sum of Squares:"):
			c.sum = number(t, words[4])
		case len(words) == 3 && words[0] == "Data:" && words[1] == "y":
			data = true
		case data && len(words) == 2:
			c.y, c.x = append(c.y, number(t, words[0])), append(c.x, number(t, words[1]))
		}
	}
	return c
}

func number(t testing.TB, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// digits is the number of digits that agree.
func digits(got, want float64) float64 {
	if got == want {
		return 16
	}
	return -math.Log10(math.Abs(got-want) / math.Abs(want))
}

func TestNISTNonlinearSetsToSixDigitsFromBothStarts(t *testing.T) {
	for _, set := range []struct {
		name         string
		observations int
		f            func(x float64, p, d *Vector) float64
	}{
		{"Kirby2", 151, rational(3, 2)},
		{"Hahn1", 236, rational(4, 3)},
		{"MGH17", 33, decays(true, [2]int{1, 3}, [2]int{2, 4})},
		{"Lanczos1", 24, decays(false, [2]int{0, 1}, [2]int{2, 3}, [2]int{4, 5})},
	} {
		c := readCertified(t, set.name)
		if len(c.y) != set.observations {
			t.Fatalf("%s: %d observations read, %d expected", set.name, len(c.y), set.observations)
		}
		solver := NewSolver(len(c.y), c.parameters)
		for start, from := range c.starts {
			r := solver.Fit(&formula{y: c.y, x: c.x, f: set.f}, len(c.y), make([]Limits, c.parameters), from, Options{})
			if !r.End.Found() {
				t.Errorf("%s from start %d ended with %s", set.name, start+1, r.End)
			}
			spread := math.Sqrt(r.Residuals / float64(len(c.y)-c.parameters))
			worst, worstSD := 16.0, 16.0
			for j := range c.parameters {
				worst = min(worst, digits(r.P[j], c.value[j]))
				worstSD = min(worstSD, digits(spread*r.SD(j), c.sd[j]))
			}
			t.Logf("%s start %d: %.1f digits of parameters, %.1f of their SD, sum %.10g (certified %.10g), %d steps, %s",
				set.name, start+1, worst, worstSD, r.Residuals, c.sum, r.Iterations, r.End)
			if worst < 6 {
				t.Errorf("%s from start %d: %v, certified %v", set.name, start+1, r.P[:c.parameters], c.value[:c.parameters])
			}
			// The residuals of Lanczos1 are rounding of its own data, near 1e-13.
			if set.name != "Lanczos1" && (worstSD < 6 || digits(r.Residuals, c.sum) < 6) {
				t.Errorf("%s from start %d: SD agree to %.1f digits, sum of squares %g, certified %g", set.name, start+1, worstSD, r.Residuals, c.sum)
			}
		}
	}
}

// The data of Norris are in the layout of NIST's files of linear regression, in
// testdata; NoInt1 is x = 60 ... 70, y = 130 ... 140, of the same collection.
func TestNISTLinearSetsToNineDigits(t *testing.T) {
	norris := readCertified(t, "Norris")
	var noInt1 certified
	for i := range 11 {
		noInt1.x, noInt1.y = append(noInt1.x, 60+float64(i)), append(noInt1.y, 130+float64(i))
	}
	for _, set := range []struct {
		name       string
		data       certified
		f          func(x float64, p, d *Vector) float64
		value, sd  []float64
		residualSD float64
	}{
		{"Norris", norris, line,
			[]float64{-0.262323073774029, 1.00211681802045},
			[]float64{0.232818234301152, 0.429796848199937e-03}, 0.884796396144373},
		{"NoInt1", noInt1, func(x float64, p, d *Vector) float64 { d[0] = x; return p[0] * x },
			[]float64{2.07438016528926}, []float64{0.0165289256198347}, 3.56753034006338},
	} {
		n, k := len(set.data.y), len(set.value)
		r := NewSolver(n, k).Fit(&formula{y: set.data.y, x: set.data.x, f: set.f}, n, make([]Limits, k), Vector{}, Options{})
		spread := math.Sqrt(r.Residuals / float64(n-k))
		if digits(spread, set.residualSD) < 9 {
			t.Errorf("%s: residual SD %.15g, certified %.15g", set.name, spread, set.residualSD)
		}
		for j := range k {
			if digits(r.P[j], set.value[j]) < 9 || digits(spread*r.SD(j), set.sd[j]) < 9 {
				t.Errorf("%s: b%d = %.15g (SD %.15g), certified %.15g (%.15g)", set.name, j, r.P[j], spread*r.SD(j), set.value[j], set.sd[j])
			}
		}
	}
}
