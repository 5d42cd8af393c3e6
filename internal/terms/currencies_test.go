package terms

import (
	"slices"
	"strings"
	"testing"
)

func TestCurrenciesAreThoseOfBothLists(t *testing.T) {
	table, err := currencies()
	if err != nil {
		t.Fatal(err)
	}
	for _, code := range table.sorted {
		if len(code) != 3 || strings.Trim(code, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "" {
			t.Errorf("%q is not three letters", code)
		}
	}
	if n := len(slices.Compact(slices.Clone(table.sorted))); n != len(table.sorted) {
		t.Errorf("%d codes are there twice", len(table.sorted)-n)
	}
	// Counted in the lists of CurrenciesOf: 178 codes in use, and 137 withdrawn, of which 8
	// are in use as well.
	if table.lists["one"] != 178 || table.lists["three"] != 129 || len(table.lists) != 2 {
		t.Errorf("codes by list: %v", table.lists)
	}
}

func TestACurrencyIsOneByItsCode(t *testing.T) {
	for _, c := range []struct {
		code string
		is   bool
	}{
		{"EUR", true}, {"USD", true}, {"X" + "XX", true}, {"XCG", true},
		{"DEM", true}, {"ZWL", true}, // withdrawn
		{"eur", false}, {"EURO", false}, {"", false}, {"978", false}, {"XBT", false},
	} {
		if IsCurrency(c.code) != c.is {
			t.Errorf("%q: %v", c.code, !c.is)
		}
	}
}
