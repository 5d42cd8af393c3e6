package ucum_test

import (
	"encoding/xml"
	"math/big"
	"os"
	"strconv"
	"strings"
	"testing"

	"saltmark/internal/ucum"
)

// functionalTests is the table of the UCUM community, testdata/UcumFunctionalTests.xml,
// last history entry 3-Feb 2021 (source and licences in testdata/NOTICE). Displays of
// units are left out: the form of a display is each implementation's choice.
type functionalTests struct {
	Validation []struct {
		ID    string `xml:"id,attr"`
		Unit  string `xml:"unit,attr"`
		Valid bool   `xml:"valid,attr"`
	} `xml:"validation>case"`
	Conversion []struct {
		ID      string `xml:"id,attr"`
		Value   string `xml:"value,attr"`
		From    string `xml:"srcUnit,attr"`
		To      string `xml:"dstUnit,attr"`
		Outcome string `xml:"outcome,attr"`
	} `xml:"conversion>case"`
	Multiplication []operation `xml:"multiplication>case"`
	Division       []operation `xml:"division>case"`
}

type operation struct {
	ID     string `xml:"id,attr"`
	Value1 string `xml:"v1,attr"`
	Unit1  string `xml:"u1,attr"`
	Value2 string `xml:"v2,attr"`
	Unit2  string `xml:"u2,attr"`
	Result string `xml:"vRes,attr"`
	Unit   string `xml:"uRes,attr"`
}

func readFunctionalTests(t *testing.T) functionalTests {
	t.Helper()
	data, err := os.ReadFile("testdata/UcumFunctionalTests.xml")
	if err != nil {
		t.Fatal(err)
	}
	var table functionalTests
	if err := xml.Unmarshal(data, &table); err != nil {
		t.Fatal(err)
	}
	return table
}

func TestValidationCasesOfTheCommunityPass(t *testing.T) {
	cases := readFunctionalTests(t).Validation
	valid := 0
	for _, c := range cases {
		_, err := ucum.Parse(c.Unit)
		if (err == nil) != c.Valid {
			t.Errorf("%s %q: valid is %v, got error %v", c.ID, c.Unit, c.Valid, err)
		}
		if c.Valid {
			valid++
		}
	}
	if len(cases) != 529 || valid != 490 {
		t.Errorf("%d cases of which %d valid, want 529 and 490", len(cases), valid)
	}
}

func TestConversionCasesOfTheCommunityPass(t *testing.T) {
	cases := readFunctionalTests(t).Conversion
	for _, c := range cases {
		got, err := ucum.Convert(ucum.Quantity{Number: c.Value, Unit: c.From}, c.To)
		if err != nil {
			t.Errorf("%s: %v", c.ID, err)
			continue
		}
		sameDigits(t, c.ID, got, c.Outcome)
	}
	if len(cases) != 30 {
		t.Errorf("%d cases, want 30", len(cases))
	}
}

func TestMultiplicationAndDivisionCasesOfTheCommunityPass(t *testing.T) {
	table := readFunctionalTests(t)
	run := func(cases []operation, want int, do func(a, b ucum.Quantity, unit string) (*big.Rat, error)) {
		for _, c := range cases {
			unit := c.Unit
			if unit == "" { // unity, in the way the table writes it
				unit = "1"
			}
			got, err := do(ucum.Quantity{Number: c.Value1, Unit: c.Unit1}, ucum.Quantity{Number: c.Value2, Unit: c.Unit2}, unit)
			if err != nil {
				t.Errorf("%s: %v", c.ID, err)
				continue
			}
			sameDigits(t, c.ID, got, c.Result)
		}
		if len(cases) != want {
			t.Errorf("%d cases, want %d", len(cases), want)
		}
	}
	run(table.Multiplication, 2, ucum.Mul)
	run(table.Division, 3, ucum.Quo)
}

// sameDigits compares an exact number to an outcome, to the last digit that the
// outcome shows: some of the table are rounded to the digits of their input.
func sameDigits(t *testing.T, id string, got *big.Rat, outcome string) {
	t.Helper()
	mantissa, exponent, _ := strings.Cut(outcome, "e")
	places := 0
	if _, fraction, ok := strings.Cut(mantissa, "."); ok {
		places = len(fraction)
	}
	if exponent != "" {
		e, err := strconv.Atoi(exponent)
		if err != nil {
			t.Fatal(err)
		}
		places -= e
	}
	want, ok := new(big.Rat).SetString(outcome)
	if !ok {
		t.Fatalf("%s: outcome %q", id, outcome)
	}
	if g, w := ucum.Round(got, places), ucum.Round(want, places); g != w {
		t.Errorf("%s: %s, want %s", id, g, w)
	}
}
