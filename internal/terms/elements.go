package terms

import (
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Element is an element of a FHIR R4 type that must be there, that is a choice of
// types, or that is bound to a value set of this package.
type Element struct {
	// Path as FHIR writes it: Observation.status, Observation.value[x],
	// Bundle.entry.request.method.
	Path  string
	Min   int    // how many must be there when the parent is there
	Max   string // "1" or "*"
	Types []string
	// ValueSet is the name of the set that binds the element, "" where none does.
	// Required tells a required binding from an extensible one.
	ValueSet string
	Required bool
}

// Choice tells whether the element is a choice of types, such as value[x].
func (e Element) Choice() bool { return strings.HasSuffix(e.Path, "[x]") }

var elements = sync.OnceValues(readElements)

func readElements() (map[string][]Element, error) {
	lines, err := rows("elements.tsv", "path", "min", "max", "types", "strength", "valueset")
	if err != nil {
		return nil, err
	}
	m := map[string][]Element{}
	for _, c := range lines {
		least, err := strconv.Atoi(c[1])
		if err != nil {
			return nil, err
		}
		e := Element{Path: c[0], Min: least, Max: c[2], Types: strings.Fields(c[3]), ValueSet: c[5], Required: c[4] == "required"}
		owner, _, _ := strings.Cut(e.Path, ".")
		m[owner] = append(m[owner], e)
	}
	return m, nil
}

// Elements gives the listed elements of a resource or data type, in the order of
// its definition; nil for a type that the table lacks.
func Elements(typeName string) []Element {
	m, _ := elements()
	return slices.Clone(m[typeName])
}

// choices maps each name that a choice of types takes in JSON to its stem and type.
var choices = sync.OnceValue(func() map[string][2]string {
	m := map[string][2]string{}
	all, _ := elements()
	for _, list := range all {
		for _, e := range list {
			if !e.Choice() {
				continue
			}
			stem := strings.TrimSuffix(e.Path[strings.LastIndexByte(e.Path, '.')+1:], "[x]")
			for _, t := range e.Types {
				m[stem+strings.ToUpper(t[:1])+t[1:]] = [2]string{stem, t}
			}
		}
	}
	return m
})

// ChoiceOf takes the JSON name of a choice of types apart: valueQuantity gives
// value and Quantity, effectiveDateTime effective and dateTime. It knows the
// choices of the listed types only.
func ChoiceOf(name string) (stem, typeName string, ok bool) {
	c, ok := choices()[name]
	return c[0], c[1], ok
}
