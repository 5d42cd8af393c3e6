package leastsquares

import "math"

// chunk is the number of rows that are reflected at once.
const chunk = 64

// triangle is the upper triangle that many rows (a_1 ... a_n | b) were brought to by
// reflections: it has the same sums of squares and products as all of them.
type triangle struct {
	n   int
	row [Max][Max]float64 // row[j][k], k >= j
	end Vector            // the right side
	// beyond is the sum of squares of the right side that no parameter reaches.
	beyond float64
	// rows wait in block[column][row]; column n is the right side.
	block [Max + 1][chunk]float64
}

func (t *triangle) reset(n int) {
	t.n, t.beyond = n, 0
	for j := range n {
		clear(t.row[j][:n])
		t.end[j] = 0
	}
}

// reflect takes the first m rows of block into the triangle.
func (t *triangle) reflect(m int) {
	for j := range t.n {
		column := t.block[j][:m]
		below := 0.0
		for _, x := range column {
			below += x * x
		}
		if below == 0 {
			continue
		}
		head := t.row[j][j]
		norm := math.Sqrt(head*head + below)
		if head > 0 {
			norm = -norm
		}
		t.row[j][j] = norm
		head -= norm
		scale := 1 / (norm * head) // -2/|v|^2 for v = (head, column)
		for k := j + 1; k < t.n; k++ {
			t.row[j][k] += turn(column, t.block[k][:m], head, t.row[j][k], scale)
		}
		t.end[j] += turn(column, t.block[t.n][:m], head, t.end[j], scale)
	}
	for _, x := range t.block[t.n][:m] {
		t.beyond += x * x
	}
}

// turn reflects (first, column) at the plane across (head, axis), and gives what first
// changes by.
func turn(axis, column []float64, head, first, scale float64) float64 {
	column = column[:len(axis)]
	product := head * first
	for i, x := range axis {
		product += x * column[i]
	}
	product *= scale
	for i, x := range axis {
		column[i] += product * x
	}
	return product * head
}

// solve writes the x of smallest |(row) x - end|^2; false when a pivot is 0.
func (t *triangle) solve(x *Vector) bool {
	for j := t.n - 1; j >= 0; j-- {
		if t.row[j][j] == 0 {
			return false
		}
		sum := t.end[j]
		for k := j + 1; k < t.n; k++ {
			sum -= t.row[j][k] * x[k]
		}
		x[j] = sum / t.row[j][j]
	}
	return true
}

// invert writes (R^T R)^-1 of the triangle R; false when it is singular to rounding.
func (t *triangle) invert(out *[Max][Max]float64) bool {
	var inverse [Max][Max]float64
	for j := range t.n {
		largest := 0.0
		for k := range j + 1 {
			largest = math.Max(largest, math.Abs(t.row[k][j]))
		}
		if !(math.Abs(t.row[j][j]) > 1e-14*largest) {
			return false
		}
	}
	for j := range t.n {
		inverse[j][j] = 1 / t.row[j][j]
		for i := j - 1; i >= 0; i-- {
			sum := 0.0
			for k := i + 1; k <= j; k++ {
				sum += t.row[i][k] * inverse[k][j]
			}
			inverse[i][j] = -sum / t.row[i][i]
		}
	}
	for i := range t.n {
		for j := range i + 1 {
			sum := 0.0
			for k := i; k < t.n; k++ {
				sum += inverse[i][k] * inverse[j][k]
			}
			out[i][j], out[j][i] = sum, sum
		}
	}
	return true
}
