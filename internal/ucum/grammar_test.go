package ucum_test

import (
	"errors"
	"math/big"
	"strings"
	"sync"
	"testing"

	"saltmark/internal/ucum"
)

func mustParse(t interface {
	Helper()
	Fatalf(string, ...any)
}, code string) *ucum.Unit {
	t.Helper()
	u, err := ucum.Parse(code)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return u
}

// Expected values follow from the definitions in the essence; where a row has a
// source of its own, it stands behind it.
func TestUnitsHaveTheirSizeAndDimension(t *testing.T) {
	for _, c := range []struct {
		code, factor, dimension, words, kind string
	}{
		{"1", "1", "1", "a plain number", "ordinary"},
		{"%", "1/100", "1", "a plain number", "ordinary"},
		{"L", "1/1000", "L3", "volume", "ordinary"},
		{"l", "1/1000", "L3", "volume", "ordinary"},
		{"L/min", "1/60000", "L3.T-1", "volume per time", "ordinary"},
		{"L/min/m2", "1/60000", "L.T-1", "speed, or volume per time per area", "ordinary"},
		{"L/(min.m2)", "1/60000", "L.T-1", "speed, or volume per time per area", "ordinary"},
		{"mL/kg/min", "1/60000000000", "L3.T-1.M-1", "volume per time per mass", "ordinary"},
		{"/min", "1/60", "T-1", "number per time", "ordinary"},
		{"10*3/uL", "1000000000000", "L-3", "number per volume", "ordinary"},
		{"mm[Hg]", "133322", "L-1.T-2.M", "pressure", "ordinary"}, // 133.322 Pa
		{"dyn.s/cm5", "100000000", "L-4.T-1.M", "pressure per flow", "ordinary"},
		{"dyn.s.m2/cm5", "100000000", "L-2.T-1.M", "pressure per flow, times area", "ordinary"},
		{"cm3", "1/1000000", "L3", "volume", "ordinary"}, // specification 2.2.3: prefix and unit are raised
		{"m+2", "1", "L2", "area", "ordinary"},
		{"m-2", "1", "L-2", "number per area", "ordinary"},
		{"m0", "1", "1", "a plain number", "ordinary"},
		{"10^3", "1000", "1", "a plain number", "ordinary"},
		{"2.5", "10", "1", "a plain number", "ordinary"}, // specification 2.2.2: the point multiplies
		{"Cel", "1", "C", "temperature", "special"},
		{"[iU]/L", "1000", "arbitrary.L-3", "a unit defined by its assay", "arbitrary"},
		{"W/m2/K4", "1000", "T-3.M.C-4", "T-3.M.C-4", "ordinary"},
		{"{beats}/min", "1/60", "T-1", "number per time", "ordinary"},
		{"/m.s", "1", "L-1.T", "L-1.T", "ordinary"}, // a leading solidus inverts what follows directly (2.2.1)
		{"KiBy", "8192", "1", "a plain number", "ordinary"},
		{"m{}", "1", "L", "length, or volume per area", "ordinary"}, // not decided by the specification
	} {
		u := mustParse(t, c.code)
		want, _ := new(big.Rat).SetString(c.factor)
		if u.Factor().Cmp(want) != 0 || u.Dimension().String() != c.dimension || u.Dimension().Words().String() != c.words || u.Kind().String() != c.kind || u.String() != c.code {
			t.Errorf("%s: %s %s (%s) %s, want %s %s (%s) %s", c.code,
				u.Factor().RatString(), u.Dimension(), u.Dimension().Words(), u.Kind(), c.factor, c.dimension, c.words, c.kind)
		}
	}
}

func TestABadCodeIsToldWhereAndWhy(t *testing.T) {
	for _, c := range []struct {
		code           string
		offset         int
		found, suggest string
	}{
		{"", 0, "no code", ""},
		{"m/", 2, "the end of the code", ""},
		{"m//s", 2, `"/"`, ""},
		{"L /min", 1, `" " after a complete unit`, "L/min"},
		{"mmHg", 0, `the symbol "mmHg"`, "mm[Hg]"},
		{"L/mim", 2, `the symbol "mim"`, ""},
		{"g/12h", 4, `"h" straight after the number "12"`, ""},
		{"10+3/uL", 2, `"+" after a complete unit`, ""},
		{"m(s)", 1, `"(" after a complete unit`, ""},
		{"(m)2", 3, `"2" after a complete unit`, ""},
		{"(m.x)", 3, `the symbol "x"`, ""},
		{"(m", 0, `"(" without its ")"`, ""},
		{"m)", 1, `")" without its "("`, ""},
		{"()", 1, `")"`, ""},
		{"m[Hg", 1, `"[" without its "]"`, ""},
		{"m[[Hg]]", 2, `"[" inside brackets`, ""},
		{"m]", 1, `"]" after a complete unit`, ""},
		{"m{a", 1, `"{" without its "}"`, ""},
		{"m{a{b}}", 3, `"{" inside braces`, ""},
		{"m{a b}", 3, `" " inside braces`, "m{ab}"},
		{"m{a}{b}", 4, `"{" after a complete unit`, ""},
		{"kmin", 0, `the prefix "k" on "min"`, ""},
		{"k[degF]", 0, `the prefix "k" on "[degF]"`, ""},
		{"L/0", 2, `the number "0"`, ""},
		{"m-", 2, `the end of the code after a sign`, ""},
		{"m100", 1, `the exponent "100"`, ""},
		{"10*999999999", 3, `the exponent "999999999"`, ""},
		{"10*-99999999999999999999", 3, `the exponent "-99999999999999999999"`, ""},
		{"[pi]99", 4, `the exponent "99", which makes a unit too large or too small to compute with`, ""},
		{"10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99.10*99", 149 - 6, "a unit too large or too small to compute with", ""},
		{"m99.m99.m99.m99.m99.m99.m99.m99.m99.m99.m99", 39, "a dimension of more than 999", ""},
		{"m\x00", 1, `"\x00" after a complete unit`, ""},
		{"m\u202e", 1, `"\u202e" after a complete unit`, ""},
		{"m\xff", 1, `"\xff" after a complete unit`, ""},
		{strings.Repeat("(", 51) + "m" + strings.Repeat(")", 51), 50, "parentheses more than 50 deep", ""},
		{"m" + strings.Repeat(".m", 250), 500, "a code of 501 bytes", ""},
	} {
		_, err := ucum.Parse(c.code)
		var e *ucum.UnitError
		if !errors.As(err, &e) || !errors.Is(err, ucum.ErrSyntax) {
			t.Errorf("%q: got %v", c.code, err)
			continue
		}
		if e.Code != c.code || e.Offset != c.offset || e.Found.String() != c.found || e.Allowed == "" || e.Suggestion != c.suggest {
			t.Errorf("%q: offset %d, found %s, suggestion %q; want %d, %s, %q", c.code, e.Offset, e.Found, e.Suggestion, c.offset, c.found, c.suggest)
		}
	}
}

func TestCodesAtTheBoundsAreRead(t *testing.T) {
	for _, code := range []string{
		strings.Repeat("(", 50) + "m" + strings.Repeat(")", 50),
		"1." + strings.Repeat("1.", 248) + "mm",
		"10*99", "10*-99", "m99/m-99", strings.Repeat("9", 500),
		"((m)).((s))", // depth counts what is open, not what has been closed
	} {
		mustParse(t, code)
	}
}

func TestCodesAreCaseSensitive(t *testing.T) {
	for _, c := range []struct{ a, b string }{
		{"ml", "Ml"}, {"mm", "Mm"}, {"g", "G"}, {"s", "S"}, {"h", "H"}, {"pA", "Pa"},
	} {
		if u, v := mustParse(t, c.a), mustParse(t, c.b); u.Dimension() == v.Dimension() && u.Factor().Cmp(v.Factor()) == 0 {
			t.Errorf("%s and %s are the same unit", c.a, c.b)
		}
	}
	for _, code := range []string{"MIN", "KG", "mM[Hg]", "CEL", "Sec"} {
		if _, err := ucum.Parse(code); err == nil {
			t.Errorf("%s is read as a code", code)
		}
	}
}

func TestSuggestionsForCommonMistypings(t *testing.T) {
	for _, c := range []struct{ code, want string }{
		{"mmHg", "mm[Hg]"}, {"MMHG", "mm[Hg]"}, {"mmHg.min/L", "mm[Hg].min/L"}, {"cmH2O", "cm[H2O]"},
		{"°C", "Cel"}, {"℃", "Cel"}, {"° C", "Cel"}, {"celsius", "Cel"}, {"°F", "[degF]"},
		{"lpm", "L/min"}, {"LPM", "L/min"}, {"bpm", "/min"}, {"beats/min", "/min"}, {"cc", "mL"}, {"cc/min", "mL/min"},
		{"ML/MIN", "ml/min"}, {"L/Min", "l/min"}, {"KG", "kg"}, {"Kg", "kg"}, {"mEq/L", "meq/l"}, {"KPa", "kPa"},
		{"L/min/m²", "L/min/m2"}, {"L/min/m^2", "L/min/m2"}, {"L·min⁻¹", "L.min-1"}, {"µg/kg", "ug/kg"}, {"L*s", "L.s"},
		{"dyn·s·cm⁻⁵", "dyn.s.cm-5"}, {"L per min", "L/min"}, {"ml / kg / min", "ml/kg/min"}, {"10^3 /µL", "10^3/uL"},
		{"IU/mL", "[iU]/mL"}, {"iU", "[iU]"}, {"lbs", "[lb_av]"}, {"wood'U", "[wood'U]"}, {"sec", "s"}, {"mL/hr", "mL/h"},
		{"kilogramme", ""}, {"units", ""}, {"xyz", ""}, {"{", ""}, {"g{x}hr", ""}, {strings.Repeat("mmHg.", 20), ""},
	} {
		_, err := ucum.Parse(c.code)
		var e *ucum.UnitError
		if !errors.As(err, &e) {
			t.Errorf("%q: got %v", c.code, err)
			continue
		}
		if e.Suggestion != c.want {
			t.Errorf("%q: suggestion %q, want %q", c.code, e.Suggestion, c.want)
		}
	}
}

func TestParsingIsSafeFromManyGoroutines(t *testing.T) {
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			for _, code := range []string{"L/min", "mm[Hg]", "[wood'U]", "Cel", "xyz", "kat/L"} {
				if _, err := ucum.Parse(code); (err != nil) != (code == "xyz") {
					t.Errorf("%s: %v", code, err)
				}
			}
		})
	}
	wait.Wait()
}
