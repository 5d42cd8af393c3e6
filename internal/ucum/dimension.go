package ucum

import (
	"strconv"
	"strings"

	"saltmark/internal/finding"
)

// Dimension is what a unit measures, as exponents of the base dimensions. It is
// comparable: equal dimensions are ==. A unit that contains an arbitrary unit has a
// dimension of its own kind that no other unit shares, see Commensurable.
type Dimension struct {
	exponents [len(letters)]int16
	arbitrary bool
}

// letters name the base dimensions as UCUM does, in its order: length, time, mass,
// plane angle, temperature, electric charge, luminous intensity.
const letters = "LTMACQF"

// furthest is the greatest exponent, either way, that a dimension may have.
const furthest = 999

func baseDimension(letter string) (Dimension, bool) {
	var d Dimension
	i := strings.Index(letters, letter)
	if i < 0 || len(letter) != 1 {
		return d, false
	}
	d.exponents[i] = 1
	return d, true
}

// Times gives the dimension of a product.
func (d Dimension) Times(e Dimension) Dimension { return d.plus(e, 1) }

// Per gives the dimension of a quotient.
func (d Dimension) Per(e Dimension) Dimension { return d.plus(e, -1) }

func (d Dimension) plus(e Dimension, sign int16) Dimension {
	for i := range d.exponents {
		d.exponents[i] += sign * e.exponents[i]
	}
	d.arbitrary = d.arbitrary || e.arbitrary
	return d
}

// power raises to a power within ±99. It is for single units, whose own exponents
// have one digit (a test holds the table to that), so nothing can overflow.
func (d Dimension) power(n int) Dimension {
	for i := range d.exponents {
		d.exponents[i] *= int16(n)
	}
	return d
}

func (d Dimension) bounded() bool {
	for _, x := range d.exponents {
		if x > furthest || x < -furthest {
			return false
		}
	}
	return true
}

// String gives the letters of the base dimensions (L length, T time, M mass, A plane
// angle, C temperature, Q electric charge, F luminous intensity) with their
// exponents, "L3.T-1", or "1" for a plain number.
func (d Dimension) String() string {
	var parts []string
	if d.arbitrary {
		parts = append(parts, "arbitrary")
	}
	for i, x := range d.exponents {
		switch x {
		case 0:
		case 1:
			parts = append(parts, letters[i:i+1])
		default:
			parts = append(parts, letters[i:i+1]+strconv.Itoa(int(x)))
		}
	}
	if len(parts) == 0 {
		return "1"
	}
	return strings.Join(parts, ".")
}

// Words gives the dimension in words where it is a common one of the bedside, else
// what String gives.
func (d Dimension) Words() finding.Text {
	if d.arbitrary {
		return "a unit defined by its assay"
	}
	s := d.String()
	if w, ok := dimensionWords[s]; ok {
		return w
	}
	return finding.Data(s)
}

var dimensionWords = map[string]finding.Text{
	"1":            "a plain number",
	"L":            "length, or volume per area",
	"L2":           "area",
	"L3":           "volume",
	"L-2":          "number per area",
	"L-3":          "number per volume",
	"T":            "time",
	"T-1":          "number per time",
	"M":            "mass",
	"M-1":          "number per mass",
	"A":            "plane angle",
	"C":            "temperature",
	"T.C":          "temperature times time",
	"L.T-1":        "speed, or volume per time per area",
	"L.T-2":        "acceleration",
	"L.T-2.M":      "force",
	"L3.T-1":       "volume per time",
	"L3.M-1":       "volume per mass",
	"L3.T-1.M-1":   "volume per time per mass",
	"L-3.T-1":      "number per volume per time",
	"T-1.M":        "mass per time",
	"T-1.M-1":      "number per time per mass",
	"L-2.M":        "mass per area",
	"L-3.M":        "mass per volume",
	"L-3.T.M":      "mass per volume, times time",
	"L-1.T-2.M":    "pressure",
	"L-4.T-1.M":    "pressure per flow",
	"L-2.T-1.M":    "pressure per flow, times area",
	"L-6.T-1.M":    "pressure per flow, per area",
	"L-1.T-1.M":    "viscosity",
	"L2.T-2":       "energy per mass",
	"L2.T-2.M":     "energy",
	"L2.T-3.M":     "power",
	"T-1.Q":        "electric current",
	"Q":            "electric charge",
	"L2.T-2.M.Q-1": "electric potential",
	"L2.T-1.M.Q-2": "electric resistance",
}
