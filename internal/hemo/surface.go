package hemo

import (
	"math"

	"saltmark/internal/finding"
)

// Surface is one formula of body surface area.
type Surface struct {
	// Name is the author's name, by which a sheet asks for the formula.
	Name string
	// DICOM is the code of the formula in DICOM PS3.16 context group 3663.
	DICOM string
	// Source is where the formula was published.
	Source string
	// Area gives m2 from kg and cm. It refuses what is not finite and above zero.
	Area func(weightKg, lengthCm float64) (float64, error)
}

// Surfaces gives the formulas of body surface area, the ones in daily use first.
// W is the weight in kg, L the length in cm, w the weight in g:
//
//	Haycock        0.024265 L^0.3964 W^0.5378
//	Mosteller      sqrt(L W / 3600)
//	Du Bois        0.007184 L^0.725 W^0.425
//	Boyd           0.0003207 L^0.3 w^(0.7285 - 0.0188 log10 w)
//	Gehan-George   0.0235 L^0.42246 W^0.51456
//
// The pairing of a name with its DICOM code is by formula: the meaning of the code
// is the formula itself. For Boyd's formula another form with other exponents is
// in print; this is the one whose weight is in grams.
func Surfaces() []Surface {
	return []Surface{
		{"Haycock", "122243", "Haycock GB, Schwartz GJ, Wisotsky DH. J Pediatr 1978;93:62-66", formula(haycock)},
		{"Mosteller", "122244", "Mosteller RD. N Engl J Med 1987;317:1098", formula(mosteller)},
		{"Du Bois", "122241", "Du Bois D, Du Bois EF. Arch Intern Med 1916;17:863-871", formula(duBois)},
		{"Boyd", "122240", "Boyd E. The growth of the surface area of the human body. 1935 (title from memory)", formula(boyd)},
		{"Gehan-George", "122242", "Gehan EA, George SL. Cancer Chemother Rep 1970;54:225-235", formula(gehanGeorge)},
	}
}

// SurfaceNamed gives the formula of that name, as Surfaces spells it.
func SurfaceNamed(name string) (Surface, bool) {
	for _, s := range Surfaces() {
		if s.Name == name {
			return s, true
		}
	}
	return Surface{}, false
}

func haycock(weightKg, lengthCm float64) float64 {
	return 0.024265 * math.Pow(lengthCm, 0.3964) * math.Pow(weightKg, 0.5378)
}

func mosteller(weightKg, lengthCm float64) float64 {
	return math.Sqrt(lengthCm / 3600 * weightKg)
}

func duBois(weightKg, lengthCm float64) float64 {
	return 0.007184 * math.Pow(lengthCm, 0.725) * math.Pow(weightKg, 0.425)
}

func boyd(weightKg, lengthCm float64) float64 {
	grams := weightKg * 1000
	return 0.0003207 * math.Pow(lengthCm, 0.3) * math.Pow(grams, 0.7285-0.0188*math.Log10(grams))
}

func gehanGeorge(weightKg, lengthCm float64) float64 {
	return 0.0235 * math.Pow(lengthCm, 0.42246) * math.Pow(weightKg, 0.51456)
}

// formula puts the checks around a bare formula.
func formula(area func(weightKg, lengthCm float64) float64) func(weightKg, lengthCm float64) (float64, error) {
	return func(weightKg, lengthCm float64) (float64, error) {
		if err := above0("body weight", "kg", weightKg); err != nil {
			return 0, err
		}
		if err := above0("body length", "cm", lengthCm); err != nil {
			return 0, err
		}
		a := area(weightKg, lengthCm)
		if !(a > 0) || math.IsInf(a, 1) {
			return 0, finding.Refuse("body weight is {1} kg and length {2} cm; no body surface can be computed from numbers so far out", number(weightKg), number(lengthCm))
		}
		return a, nil
	}
}
