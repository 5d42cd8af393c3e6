package ucum

import (
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"strings"
	"testing"
)

func mustEssence(t *testing.T) *table {
	t.Helper()
	table, err := readEssence(strings.NewReader(essenceText))
	if err != nil {
		t.Fatal(err)
	}
	return table
}

func TestTheEssenceIsTheUnmodifiedFile(t *testing.T) {
	sum := sha256.Sum256([]byte(essenceText))
	if got := hex.EncodeToString(sum[:]); got != "dfccea1b5dc284245ebae97edd1dc03c45864da4e87df55bc9851797b4fd0b61" {
		t.Errorf("SHA-256 %s is not that of the release named in NOTICE", got)
	}
}

// Counts of UCUM 2.2: 24 prefixes, 7 base units, 305 units of which 89 metric and 21
// special (counted by another reader of the same file).
func TestEveryUnitOfTheEssenceIsDefined(t *testing.T) {
	table := mustEssence(t)
	metric, special, base := 0, 0, 0
	for code, a := range table.atoms {
		if a.dimension != "" {
			base++
			continue
		}
		if a.metric {
			metric++
		}
		if a.special {
			special++
		}
		m, err := table.resolve(a)
		if err != nil {
			t.Errorf("%s: %v", code, err)
			continue
		}
		if m.factor.Sign() <= 0 || m.fault() != "" {
			t.Errorf("%s: factor %s, %s", code, m.factor, m.fault())
		}
		for _, x := range m.dimension.exponents {
			if x < -9 || x > 9 {
				t.Errorf("%s has the dimension %s; power counts on exponents of one digit", code, m.dimension)
			}
		}
		if (m.kind == Special) != a.special || (m.kind == Arbitrary) != a.arbitrary {
			t.Errorf("%s is %s", code, m.kind)
		}
		if _, fault := table.evaluate(code); fault != nil {
			t.Errorf("%s is no code: %v", code, fault)
		}
	}
	if len(table.prefixes) != 24 || base != 7 || len(table.atoms) != 312 || metric != 89 || special != 21 {
		t.Errorf("%d prefixes, %d base units, %d in all, %d metric, %d special", len(table.prefixes), base, len(table.atoms), metric, special)
	}
}

// The specification (2.1.2) looks for the longest prefix first, lookup for a whole
// unit first. Both are the same while no symbol can be read in two ways.
func TestNoSymbolCanBeReadInTwoWays(t *testing.T) {
	table := mustEssence(t)
	ways := map[string]int{}
	for code, a := range table.atoms {
		ways[code]++
		if a.metric {
			for _, p := range table.prefixes {
				ways[p.code+code]++
			}
		}
	}
	for symbol, n := range ways {
		if n > 1 {
			t.Errorf("%s can be read in %d ways", symbol, n)
		}
	}
}

func TestABrokenTableIsAnErrorNotAPanic(t *testing.T) {
	for name, text := range map[string]string{
		"not closed":      `<root><unit Code="x">`,
		"value of prefix": `<root><prefix Code="k"><value value="many"/></prefix></root>`,
	} {
		if _, err := readEssence(strings.NewReader(text)); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	for name, text := range map[string]string{
		"value of unit": `<root><unit Code="x"><value value="many" Unit="1"/></unit></root>`,
		"unknown unit":  `<root><unit Code="x"><value value="1" Unit="y"/></unit></root>`,
		"dimension":     `<root><base-unit Code="x" dim="Z"/></root>`,
	} {
		table, err := readEssence(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := table.parse("x"); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestTheCacheIsBounded(t *testing.T) {
	table := mustEssence(t)
	for i := range 3 * kept {
		if _, err := table.parse("m." + strconv.Itoa(i+1)); err != nil {
			t.Fatal(err)
		}
		if n := len(table.parsed.units); n > kept {
			t.Fatalf("%d units kept, at most %d are allowed", n, kept)
		}
	}
}

// A key that is itself a code is never looked up.
func TestEverySuggestionIsACodeAndEveryMistypedOneIsNot(t *testing.T) {
	table := mustEssence(t)
	for key, code := range wholeCodes {
		if _, fault := table.evaluate(code); fault != nil {
			t.Errorf("%s: %v", key, fault)
		}
		_, lower := table.evaluate(key)
		_, upper := table.evaluate(strings.ToUpper(key))
		if lower == nil && upper == nil {
			t.Errorf("%s is a code", key)
		}
	}
	for key, code := range symbols {
		if _, _, ok := table.lookup(code); !ok {
			t.Errorf("%s: %s is no symbol", key, code)
		}
		if _, _, ok := table.lookup(key); ok || key != strings.ToLower(key) {
			t.Errorf("%s is a symbol, or not in lower case", key)
		}
	}
}

func BenchmarkReadEssence(b *testing.B) {
	for b.Loop() {
		if _, err := readEssence(strings.NewReader(essenceText)); err != nil {
			b.Fatal(err)
		}
	}
}
