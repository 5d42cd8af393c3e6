package guide

import (
	"fmt"
	"slices"
	"strings"
)

// snapshot gives all elements of a constrained type: those of the type itself, each with
// what the differential says of it, and the slices of an element behind it. The
// differential names elements of the type alone, none inside a data type, and its slices
// stand behind the element that they are of.
func snapshot(kind string, differential []object) ([]object, error) {
	all, err := baseElements()
	if err != nil {
		return nil, err
	}
	byPath := map[string][]object{}
	for _, d := range differential {
		byPath[d.text("path")] = append(byPath[d.text("path")], d)
	}
	var list []object
	for _, element := range all[kind] {
		at := element.text("path")
		said := byPath[at]
		delete(byPath, at)
		plain := element
		if len(said) > 0 && said[0].text("sliceName") == "" {
			plain, said = merged(element, said[0]), said[1:]
		}
		list = append(list, plain)
		for _, slice := range said {
			if len(childrenOf(all[kind], at)) > 0 {
				return nil, fmt.Errorf("a slice of %s would need its children", at)
			}
			list = append(list, merged(element, slice))
		}
	}
	for at := range byPath {
		return nil, fmt.Errorf("%s has no element %s", kind, at)
	}
	return list, nil
}

func childrenOf(elements []object, path string) []object {
	var list []object
	for _, e := range elements {
		if strings.HasPrefix(e.text("path"), path+".") {
			list = append(list, e)
		}
	}
	return list
}

// merged gives an element with what a differential says of it in place. Constraints add
// up.
func merged(element, said object) object {
	for _, m := range said {
		if more, ok := m.value.([]object); ok && m.name == "constraint" {
			list, _ := element.get("constraint").([]any)
			list = slices.Clone(list)
			for _, c := range more {
				list = append(list, c)
			}
			element = element.with("constraint", list)
			continue
		}
		element = element.with(m.name, m.value)
	}
	return inOrder(element)
}

// inOrder puts the members of an element in the order of ElementDefinition in FHIR R4.
func inOrder(element object) object {
	rank := func(m member) int {
		for i, name := range memberOrder {
			if m.name == name || strings.HasSuffix(name, "[x]") && strings.HasPrefix(m.name, strings.TrimSuffix(name, "[x]")) {
				return i
			}
		}
		return len(memberOrder)
	}
	element = slices.Clone(element)
	slices.SortStableFunc(element, func(a, b member) int { return rank(a) - rank(b) })
	return element
}

var memberOrder = strings.Fields(`id extension path representation sliceName slicing short definition comment requirements
	alias min max base contentReference type meaningWhenMissing fixed[x] pattern[x] condition constraint mustSupport
	isModifier isModifierReason isSummary binding`)
