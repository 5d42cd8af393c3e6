package hemo_test

import (
	"math"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"

	"saltmark/internal/hemo"
)

// numbers reads rows of numbers, a group each.
func numbers(t testing.TB, rows ...string) (groups [][]float64) {
	t.Helper()
	for _, row := range rows {
		var group []float64
		for word := range strings.FieldsSeq(row) {
			f, _ := rat(t, word).Float64()
			group = append(group, f)
		}
		groups = append(groups, group)
	}
	return groups
}

// columns makes groups out of rows that hold one reading of every group.
func columns(rows [][]float64) [][]float64 {
	groups := make([][]float64, len(rows[0]))
	for _, row := range rows {
		for i, x := range row {
			groups[i] = append(groups[i], x)
		}
	}
	return groups
}

// Systolic pressure of 85 people, three readings by the observer J and by the machine S,
// mmHg: Bland JM, Altman DG. Stat Methods Med Res 1999;8:135-160, table 1.
var (
	pressureJ = []string{
		"100 108 76 108 124 122 116 114 100 108 100 108 112 104 106 122 100 118 140 150 166 148 174 174 140 128 146 146 220 208 94 114 126 124 110 90 106 218 130 136 100 100 124 164 100 136 114 148 160 84 156 110 100 100 86 106 108 168 166 146 204 96 134 138 134 156 124 114 112 112 202 132 158 88 170 182 112 120 110 112 154 116 108 106 122",
		"106 110 84 104 112 140 108 110 108 92 106 112 112 108 108 122 102 118 134 148 154 156 172 166 144 134 138 152 218 200 84 124 120 124 120 90 106 202 128 136 96 98 116 168 102 126 108 120 150 92 162 98 106 102 74 100 110 188 150 142 198 94 126 144 136 160 138 110 116 116 220 136 162 76 174 176 114 118 108 112 134 112 110 98 112",
		"107 108 82 104 112 124 102 112 112 100 104 122 110 104 102 114 102 120 138 144 154 134 166 150 144 130 140 148 220 192 86 116 122 132 128 94 110 208 130 130 88 88 122 154 100 122 122 132 148 98 152 98 106 94 76 110 106 178 154 132 188 86 124 140 142 154 138 114 122 134 228 134 152 88 176 180 124 120 106 106 130 94 114 100 112",
	}
	pressureS = []string{
		"122 121 95 127 140 139 122 130 119 126 107 123 131 123 127 142 104 117 139 143 181 149 173 160 158 139 153 138 228 190 103 131 131 126 121 97 116 215 141 153 113 109 145 192 112 152 141 206 151 112 162 117 119 136 112 120 117 194 167 173 228 77 154 154 145 200 188 149 136 128 204 184 163 93 178 202 162 227 133 202 158 124 114 137 121",
		"128 127 94 127 131 142 112 129 122 113 113 125 129 126 119 133 116 113 127 155 170 156 170 155 152 144 150 144 228 183 99 131 123 129 114 94 121 201 133 143 107 105 102 178 116 144 141 188 147 125 165 118 131 116 115 118 118 191 160 161 218 89 156 155 154 180 147 217 132 125 222 187 160 88 181 199 166 227 127 190 121 149 118 135 123",
		"124 128 98 135 124 136 112 135 122 111 111 125 122 114 126 137 115 112 113 133 166 140 154 170 154 141 154 131 226 184 106 124 124 125 125 96 127 207 146 138 102 97 137 171 116 147 137 166 136 124 189 109 124 113 104 132 115 196 161 154 189 101 141 148 166 179 139 192 133 142 224 192 152 88 181 195 148 219 126 213 134 137 126 134 128",
	}
)

// Cardiac output of 12 people by radionuclide ventriculography (RV) and impedance
// cardiography (IC), L/min: the same paper, table 4.
var (
	outputRV = []string{
		"7.83 7.42 7.89 7.12 7.88", "6.16 7.26 6.71 6.54", "4.75 5.24 4.86 4.78 6.05 5.42", "4.21 3.61 3.72 3.87 3.92",
		"3.13 2.98 2.85 3.17 3.09 3.12", "5.92 6.42 5.92 6.27", "7.13 6.62 6.58 6.93", "4.54 4.81 5.11 5.29 5.39 5.57",
		"4.48 4.92 3.97", "4.22 4.65 4.74 4.44 4.5", "6.78 6.07 6.52 6.42 6.41 5.76", "5.06 4.72 4.9 4.8 4.9 5.1",
	}
	outputIC = []string{
		"6.57 5.62 6.9 6.57 6.35", "4.06 4.29 4.26 4.09", "4.71 5.5 5.08 5.02 6.01 5.67", "4.14 4.2 4.61 4.68 5.04",
		"3.03 2.86 2.77 2.46 2.32 2.43", "5.9 5.81 5.7 5.76", "5.09 4.63 4.61 5.09", "4.72 4.61 4.36 4.2 4.36 4.2",
		"3.17 3.12 2.96", "4.35 4.62 3.16 3.53 3.53", "7.2 6.09 7 7.1 7.4 6.8", "4.5 4.2 3.8 3.8 4.2 4.5",
	}
)

func TestPooledVarianceIsThatOfPublishedReplicates(t *testing.T) {
	for _, c := range []struct {
		name      string
		groups    [][]float64
		variance  float64
		tolerance float64
		freedom   int
		source    string
	}{
		{"pressure by J", columns(numbers(t, pressureJ...)), 37.408, 0.0005, 170, "printed, p. 151"},
		{"pressure by S", columns(numbers(t, pressureS...)), 83.141, 0.0005, 170, "printed, p. 151"},
		{"output by RV", numbers(t, outputRV...), 0.1072, 0.00005, 48, "printed, section 5.2"},
		{"output by RV", numbers(t, outputRV...), 0.1072278, 5e-8, 48, "computed by other code from the same data"},
		{"output by IC", numbers(t, outputIC...), 0.1379, 0.00005, 48, "printed, section 5.2"},
		{"output by IC", numbers(t, outputIC...), 0.1378741, 5e-8, 48, "computed by other code from the same data"},
	} {
		variance, freedom, shares, err := hemo.PooledVariance(c.groups)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name+", "+c.source, variance, c.variance, c.tolerance)
		if freedom != c.freedom {
			t.Errorf("%s: %d degrees of freedom, want %d", c.name, freedom, c.freedom)
		}
		sum := 0.0
		for _, s := range shares {
			sum += s
		}
		near(t, c.name+", sum of the shares", sum, 1, 1e-12)
	}
}

// sessionsOf reads rows of flows, a session each, as exact numbers.
func sessionsOf(t testing.TB, rows ...string) (sessions [][]*big.Rat) {
	t.Helper()
	for _, row := range rows {
		var flows []*big.Rat
		for word := range strings.FieldsSeq(row) {
			flows = append(flows, rat(t, word))
		}
		sessions = append(sessions, flows)
	}
	return sessions
}

// The figures of the interval were computed by other code (numpy, scipy) from the same
// formula: no published one is at hand.
func TestPooledVariationHasItsInterval(t *testing.T) {
	for _, c := range []struct {
		name               string
		rows               []string
		percent, low, high float64
		freedom            int
	}{
		{"output by RV", outputRV, 6.112077499, 5.095543186, 7.639805345, 48},
		{"output by IC", outputIC, 8.272594050, 6.895106261, 10.344840394, 48},
	} {
		v, err := hemo.PooledVariation(sessionsOf(t, c.rows...))
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name, v.Percent, c.percent, 1e-6)
		near(t, c.name+", lower end", v.Low, c.low, 1e-6)
		near(t, c.name+", upper end", v.High, c.high, 1e-6)
		if v.Freedom != c.freedom {
			t.Errorf("%s: %d degrees of freedom, want %d", c.name, v.Freedom, c.freedom)
		}
	}
}

func TestPooledVariationIsThatOfTheUnitsOfFlow(t *testing.T) {
	litres, err := hemo.PooledVariation(sessionsOf(t, "0.612 0.598 0.640", "1.21 1.30"))
	if err != nil {
		t.Fatal(err)
	}
	millilitres, err := hemo.PooledVariation(sessionsOf(t, "612 598 640", "1210 1300"))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "in mL/min", millilitres.Percent, litres.Percent, 1e-9)
}

func TestASessionOfOneInjectionSaysNothingOfTheVariation(t *testing.T) {
	with, err := hemo.PooledVariation(sessionsOf(t, "0.6 0.63", "9", ""))
	if err != nil {
		t.Fatal(err)
	}
	if with.Freedom != 1 || with.Shares[0] != 1 || with.Shares[1] != 0 || len(with.Shares) != 3 {
		t.Errorf("got %+v", with)
	}
}

// The rule of the bedside asks for a third injection when two differ by a tenth. That
// does not bias the variation, provided that all three count.
func TestAThirdInjectionDoesNotBiasTheVariationWhereAllCount(t *testing.T) {
	const truth = 5.0 // %, at which every sixth pair asks for a third
	random := rand.New(rand.NewPCG(1, 2))
	s := math.Sqrt(math.Log1p(truth * truth / 1e4))
	flow := func() *big.Rat { return new(big.Rat).SetFloat64(math.Exp(s * random.NormFloat64())) }
	tolerance := big.NewRat(1, 10)
	var all, agreeing [][]*big.Rat
	for range 20000 {
		session := []*big.Rat{flow(), flow()}
		if hemo.Agree(session, tolerance).NeedsThird {
			session = append(session, flow())
		}
		all = append(all, session)
		var kept []*big.Rat
		for _, i := range hemo.Agree(session, tolerance).Entered {
			kept = append(kept, session[i])
		}
		agreeing = append(agreeing, kept)
	}
	v, err := hemo.PooledVariation(all)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "all injections", v.Percent, truth, 0.09) // three standard errors, 5/sqrt(2 x 23000) each
	v, err = hemo.PooledVariation(agreeing)
	if err != nil {
		t.Fatal(err)
	}
	if v.Percent > 0.9*truth {
		t.Errorf("of those that agree alone %v %%; the test means to show that it is far below %v", v.Percent, truth)
	}
}

func TestTheIntervalOfTheVariationCoversTheTruthIn95Of100(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	const truth, runs = 4.0, 2000
	s := math.Sqrt(math.Log1p(truth * truth / 1e4))
	covered := 0
	for range runs {
		var sessions [][]*big.Rat
		for range 12 {
			sessions = append(sessions, []*big.Rat{new(big.Rat).SetFloat64(math.Exp(s * random.NormFloat64())), new(big.Rat).SetFloat64(math.Exp(s * random.NormFloat64()))})
		}
		v, err := hemo.PooledVariation(sessions)
		if err != nil {
			t.Fatal(err)
		}
		if v.Low <= truth && truth <= v.High {
			covered++
		}
	}
	near(t, "coverage", float64(covered)/runs, 0.95, 0.015) // three standard errors
}

func TestPooledVariationRefusesWhatItCannotUse(t *testing.T) {
	for _, c := range []struct {
		name     string
		sessions [][]*big.Rat
	}{
		{"no session", nil},
		{"single injections", sessionsOf(t, "1", "2")},
		{"a flow of nought", sessionsOf(t, "0 1")},
		{"a flow below nought", sessionsOf(t, "-1 1")},
		{"a flow that is missing", [][]*big.Rat{{nil, big.NewRat(1, 1)}}},
		{"flows beyond what has a logarithm", sessionsOf(t, "1e-400 1e400")},
		{"flows too far apart for an interval", sessionsOf(t, "1e-30 1e30")},
	} {
		if v, err := hemo.PooledVariation(c.sessions); err == nil {
			t.Errorf("%s: %+v, want an error", c.name, v)
		}
	}
}

// Two-sided 95 % points as printed in tables of Student's t (NIST/SEMATECH e-Handbook of
// Statistical Methods, 1.3.6.7.2).
func TestStudentFactorIsThatOfPrintedTables(t *testing.T) {
	for freedom, want := range map[int]float64{1: 12.706, 2: 4.303, 5: 2.571, 10: 2.228, 30: 2.042, 60: 2.000, 100: 1.984, 1000: 1.962} {
		got, err := hemo.StudentFactor(freedom)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "t", got, want, 0.0006)
	}
	if got, err := hemo.StudentFactor(0); err == nil {
		t.Errorf("without degrees of freedom: %v, want an error", got)
	}
}
