package terms

import (
	"fmt"
	"slices"
	"sync"
)

// inUse lists the tables of published codes with the system of each.
var inUse = []struct{ file, system string }{
	{"loinc.tsv", SystemLOINC},
	{"mdc.tsv", SystemMDC},
	{"dicom.tsv", SystemDICOM},
	{"snomed.tsv", SystemSNOMED},
}

type key struct{ system, code string }

type codeTables struct {
	list []Entry
	by   map[key]Entry
}

// codes reads the tables once. They are part of the program, so an error can only
// be a slip in a table, which the tests report; a lookup then finds nothing.
var codes = sync.OnceValues(readCodes)

func readCodes() (codeTables, error) {
	t := codeTables{by: map[key]Entry{}}
	for _, table := range inUse {
		lines, err := rows(table.file, "code", "name", "display", "use", "source")
		if err != nil {
			return codeTables{}, err
		}
		for _, c := range lines {
			send, err := yes(c[2])
			if err != nil {
				return codeTables{}, fmt.Errorf("%s: %s: %w", table.file, c[0], err)
			}
			e := Entry{System: table.system, Code: c[0], Name: c[1], SendDisplay: send, Use: c[3], Source: c[4]}
			t.list = append(t.list, e)
			t.by[key{e.System, e.Code}] = e
		}
	}
	return t, nil
}

func yes(cell string) (bool, error) {
	switch cell {
	case "yes":
		return true, nil
	case "no":
		return false, nil
	}
	return false, fmt.Errorf("%q stands where yes or no is wanted", cell)
}

func lookup(system, code string) (Entry, bool) {
	t, _ := codes()
	if e, ok := t.by[key{system, code}]; ok {
		return e, true
	}
	sets, _ := valueSets()
	e, ok := sets.by[key{system, code}]
	return e, ok
}

func entries() []Entry {
	t, _ := codes()
	return slices.Clone(t.list)
}
