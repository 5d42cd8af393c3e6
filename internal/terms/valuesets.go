package terms

import (
	"slices"
	"sync"
)

type setTables struct {
	names []string
	codes map[string][]Code
	by    map[key]Entry
}

var valueSets = sync.OnceValues(readValueSets)

func readValueSets() (setTables, error) {
	lines, err := rows("valuesets.tsv", "valueset", "system", "code", "display", "source")
	if err != nil {
		return setTables{}, err
	}
	t := setTables{codes: map[string][]Code{}, by: map[key]Entry{}}
	for _, c := range lines {
		name := c[0]
		if _, known := t.codes[name]; !known {
			t.names = append(t.names, name)
		}
		t.codes[name] = append(t.codes[name], Code{System: c[1], Code: c[2], Display: c[3]})
		t.by[key{c[1], c[2]}] = Entry{System: c[1], Code: c[2], Name: c[3], SendDisplay: c[3] != "", Use: name, Source: c[4]}
	}
	return t, nil
}

// ValueSet gives the codes of a value set in its own order, nil where there is no
// set of that name. Names are the last part of the canonical that FHIR R4 binds,
// "observation-status" for one.
func ValueSet(name string) []Code {
	t, _ := valueSets()
	return slices.Clone(t.codes[name])
}

// ValueSets gives the names of all value sets in the order of the table.
func ValueSets() []string {
	t, _ := valueSets()
	return slices.Clone(t.names)
}

// InValueSet tells whether a value set holds a code. Elements of type code carry
// no system: leave it "" for them.
func InValueSet(name, system, code string) bool {
	t, _ := valueSets()
	return slices.ContainsFunc(t.codes[name], func(c Code) bool {
		return c.Code == code && (system == "" || system == c.System)
	})
}
