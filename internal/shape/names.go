package shape

import (
	"strings"
	"sync"
)

// Walk follows the members of a resource from its type down, to name elements as FHIR
// does. The zero value knows no type, and goes by the names alone.
type Walk struct{ in *definition }

// WalkFrom begins at a resource of a type.
func WalkFrom(kind string) Walk {
	t, err := tables()
	if err != nil {
		return Walk{}
	}
	return Walk{t.resources[kind]}
}

// Into gives the element that a member is: value for valueQuantity, where value[x] is a
// choice, and for _status status. What is not known keeps its name; inside a resource
// whose type is not known a name is that of a choice where any type has it so.
func (w Walk) Into(member string) (element string, inside Walk) {
	name := strings.TrimPrefix(member, "_")
	if w.in == nil {
		if stem := choices()[name]; stem != "" {
			return stem, Walk{}
		}
		return name, Walk{}
	}
	e := w.in.find(name)
	switch {
	case e == nil:
		return name, Walk{}
	case e.form == object:
		inside.in = e.of
	}
	if e.stem != "" {
		name = e.stem
	}
	return name, inside
}

// choices gives the stem of every name that a type of a choice has somewhere.
var choices = sync.OnceValue(func() map[string]string {
	stems := map[string]string{}
	t, err := tables()
	if err != nil {
		return stems
	}
	for _, d := range t.all {
		for _, e := range d.elements {
			if e.stem != "" {
				stems[e.name] = e.stem
			}
		}
	}
	return stems
})

// ValueSet gives the codes of a value set that R4 binds by 'required', in the order of
// the standard; nil where it lists none. Names are the last part of the
// canonical: observation-status.
func ValueSet(name string) []string {
	t, err := tables()
	if err != nil || t.sets[name] == nil {
		return nil
	}
	return t.sets[name].listed()
}
