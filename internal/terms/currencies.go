package terms

import (
	"slices"
	"strings"
	"sync"
)

// CurrenciesOf is the day that the lists of ISO 4217 in currencies.tsv are of.
const CurrenciesOf = "2026-01-01"

type currencyTable struct {
	lists  map[string]int // codes of each list
	sorted []string
}

var currencies = sync.OnceValues(readCurrencies)

func readCurrencies() (currencyTable, error) {
	t := currencyTable{lists: map[string]int{}}
	lines, err := rows("currencies.tsv", "letter", "list", "codes")
	for _, c := range lines {
		for rest := range strings.FieldsSeq(c[2]) {
			t.sorted = append(t.sorted, c[0]+rest)
			t.lists[c[1]]++
		}
	}
	slices.Sort(t.sorted)
	return t, err
}

// IsCurrency tells whether ISO 4217 has a code, in use or withdrawn. The list is whole as
// of CurrenciesOf.
func IsCurrency(code string) bool {
	t, _ := currencies() // a test reads it
	_, found := slices.BinarySearch(t.sorted, code)
	return found
}
