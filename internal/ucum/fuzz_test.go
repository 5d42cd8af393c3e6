package ucum_test

import (
	"encoding/xml"
	"errors"
	"os"
	"strings"
	"testing"
	"unicode"

	"saltmark/internal/ucum"
)

// seed gives the codes of the functional tests, good and bad, to a fuzz target.
func seed(f *testing.F, add func(code string)) {
	data, err := os.ReadFile("testdata/UcumFunctionalTests.xml")
	if err != nil {
		f.Fatal(err)
	}
	var table functionalTests
	if err := xml.Unmarshal(data, &table); err != nil {
		f.Fatal(err)
	}
	for _, c := range table.Validation {
		add(c.Unit)
	}
	for _, code := range []string{"10*99.10*99", "((((m))))", "m[Hg", "°C", "m/0", "B[10.nV]", "[m/s2/Hz^(1/2)]", "m\x00", "{", "/Cel", "ku81"} {
		add(code)
	}
}

// What is read prints as it was written and stands for the same when it is read as
// part of a longer code; what is not read tells a place inside the code, and a
// suggestion that is itself a code.
func FuzzParse(f *testing.F) {
	seed(f, func(code string) { f.Add(code) })
	f.Fuzz(func(t *testing.T, code string) {
		u, err := ucum.Parse(code)
		if err != nil {
			var e *ucum.UnitError
			if !errors.As(err, &e) || e.Offset < 0 || e.Offset > len(code) {
				t.Fatalf("%q: %#v", code, err)
			}
			checkMessage(t, err, e.Suggestion)
			return
		}
		if u.String() != code || u.Factor().Sign() <= 0 {
			t.Fatalf("%q prints as %q, factor %s", code, u, u.Factor())
		}
		longer := code + ".1"
		if len(longer) > 500 {
			return
		}
		v, err := ucum.Parse(longer)
		if err != nil {
			t.Fatal(err)
		}
		if u.Dimension() != v.Dimension() || u.Kind() != v.Kind() || u.Factor().Cmp(v.Factor()) != 0 {
			t.Fatalf("%q and %q differ", code, longer)
		}
		x, err := ucum.Convert(ucum.Quantity{Number: "0.50", Unit: code}, longer)
		if err == nil && x.RatString() != "1/2" || err != nil && u.Kind() == ucum.Ordinary {
			t.Fatalf("0.50 %s in %s: %v %v", code, longer, x, err)
		}
	})
}

func FuzzParseQuantity(f *testing.F) {
	seed(f, func(code string) { f.Add("0.610 " + code) })
	for _, text := range []string{"", "5", "5 ", "5mL", "-1.5e3 L", "1,5 L", "37°C", "007 m", " 1 m", "1  m", "1\u00a0m"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		q, err := ucum.ParseQuantity(text)
		if err != nil {
			var e *ucum.QuantityError
			if !errors.As(err, &e) || e.Fault == 0 || e.Offset < 0 || e.Offset > len(text) {
				t.Fatalf("%q: %#v", text, err)
			}
			checkMessage(t, err, "")
			if e.Suggestion != "" {
				if _, err := ucum.ParseQuantity(e.Suggestion); err != nil {
					t.Fatalf("%q: suggestion %q: %v", text, e.Suggestion, err)
				}
			}
			return
		}
		again, err := ucum.ParseQuantity(q.String())
		if err != nil || again != q || q.String() != text || q.Rat() == nil || q.Decimals() < 0 {
			t.Fatalf("%q: %+v, again %+v %v", text, q, again, err)
		}
		if same, ok, err := q.In(q.Unit); !ok || err != nil || same != q {
			t.Fatalf("%q in its own unit: %+v %v %v", text, same, ok, err)
		}
		if got := ucum.Round(q.Rat(), q.Decimals()); got != q.Number && got != strings.TrimPrefix(q.Number, "-") {
			t.Fatalf("%q rounded to its own digits: %s", text, got)
		}
	})
}

func checkMessage(t *testing.T, err error, suggestion string) {
	t.Helper()
	for _, r := range err.Error() {
		if !unicode.IsPrint(r) {
			t.Fatalf("the message %q holds %U", err, r)
		}
	}
	if suggestion != "" {
		if _, err := ucum.Parse(suggestion); err != nil {
			t.Fatalf("suggestion %q: %v", suggestion, err)
		}
	}
}
