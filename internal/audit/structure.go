package audit

import (
	"strconv"
	"strings"

	"saltmark/internal/source"
	"saltmark/internal/terms"
)

// elementMissing: elements that FHIR R4 requires are there, those of the schema
// that has no say about them included.
func elementMissing(c *check, r *resource) {
	for _, e := range terms.Elements(r.kind) {
		if e.Min == 0 {
			continue
		}
		parents, last := parentsOf(r, e.Path)
		for _, p := range parents {
			if !has(p.node, last, e) {
				c.say("element-missing", p.node, p.pointer, e.Path+" is missing", "", "FHIR R4 requires it")
			}
		}
	}
}

func has(n *source.Node, name string, e terms.Element) bool {
	if !e.Choice() {
		m := n.Get(name)
		return m != nil && (m.Kind != source.Array || len(m.Items) > 0)
	}
	stem := strings.TrimSuffix(name, "[x]")
	for i := range n.Members {
		if s, _, ok := terms.ChoiceOf(n.Members[i].Name); ok && s == stem {
			return true
		}
	}
	return false
}

type placed struct {
	node    *source.Node
	pointer string
}

// parentsOf gives the nodes that may hold the last element of a path such as
// "Bundle.entry.request.method", and that element's name.
func parentsOf(r *resource, path string) (parents []placed, last string) {
	parts := strings.Split(path, ".")[1:]
	parents = []placed{{r.node, r.pointer}}
	for _, name := range parts[:len(parts)-1] {
		var next []placed
		for _, p := range parents {
			next = append(next, valuesOf(p, name)...)
		}
		parents = next
	}
	return parents, parts[len(parts)-1]
}

// valuesOf gives the value of a member, or the items of a list.
func valuesOf(p placed, name string) []placed {
	m := p.node.Get(name)
	if m == nil {
		return nil
	}
	at := p.pointer + source.Pointer(name)
	if m.Kind != source.Array {
		return []placed{{m, at}}
	}
	var all []placed
	for i, item := range m.Items {
		all = append(all, placed{item, at + "/" + strconv.Itoa(i)})
	}
	return all
}

// bindingRequired: a code bound to a value set with strength 'required' is of
// that set.
func bindingRequired(c *check, r *resource) {
	for _, e := range terms.Elements(r.kind) {
		if !e.Required || len(e.Types) != 1 || e.Types[0] != "code" {
			continue
		}
		parents, last := parentsOf(r, e.Path)
		for _, p := range parents {
			for _, v := range valuesOf(p, last) {
				if v.node.Kind == source.String && !terms.InValueSet(e.ValueSet, "", v.node.Text) {
					c.say("binding-required", v.node, v.pointer, e.Path+" is {}", v.node.Text, "the value set "+e.ValueSet+" has "+codesOf(e.ValueSet))
				}
			}
		}
	}
}

func codesOf(set string) string {
	var codes []string
	for _, code := range terms.ValueSet(set) {
		codes = append(codes, code.Code)
	}
	return strings.Join(codes, ", ")
}

// choiceTwice: of a choice of types such as value[x], one at the most.
func choiceTwice(w *walk, _ string, n *source.Node) {
	if len(n.Members) < 2 {
		return
	}
	var stems [4]string
	count := 0
	for i := range n.Members {
		stem, _, ok := terms.ChoiceOf(n.Members[i].Name)
		if !ok {
			continue
		}
		for _, s := range stems[:count] {
			if s == stem {
				w.below("choice-twice", n, n.Members[i].Name, "a second "+stem+"[x]", "", "one at the most")
			}
		}
		if count < len(stems) {
			stems[count] = stem
			count++
		}
	}
}

// fieldListLength: a list and the list of its extensions ("_field") have one
// length.
func fieldListLength(w *walk, _ string, n *source.Node) {
	for i := range n.Members {
		name := n.Members[i].Name
		if len(name) < 2 || name[0] != '_' || n.Members[i].Value.Kind != source.Array {
			continue
		}
		field := n.Get(name[1:])
		if field != nil && len(field.Items) != len(n.Members[i].Value.Items) {
			w.below("field-list-length", n, name, "this list has "+strconv.Itoa(len(n.Members[i].Value.Items))+" items, "+name[1:]+" has "+strconv.Itoa(len(field.Items)), "", "one for each")
		}
	}
}

// absentWithValue (obs-6): a reason for absence only where no value is, in the
// Observation and in each component.
func absentWithValue(c *check, r *resource) {
	for _, p := range append([]placed{{r.node, r.pointer}}, valuesOf(placed{r.node, r.pointer}, "component")...) {
		if p.node.Get("dataAbsentReason") == nil {
			continue
		}
		if name, _ := valueOf(p.node); name != "" {
			c.say("absent-with-value", p.node.Get("dataAbsentReason"), p.pointer+"/dataAbsentReason", "a reason for absence stands beside "+name, "", "only one of the two")
		}
	}
}

// valueOf gives the name and node of value[x], "" where there is none.
func valueOf(n *source.Node) (string, *source.Node) {
	for i := range n.Members {
		if stem, _, ok := terms.ChoiceOf(n.Members[i].Name); ok && stem == "value" {
			return n.Members[i].Name, n.Members[i].Value
		}
	}
	return "", nil
}

// componentRepeatsCode (obs-7): where a component has the code of the Observation
// itself, the Observation has no value.
func componentRepeatsCode(c *check, r *resource) {
	name, _ := valueOf(r.node)
	if name == "" {
		return
	}
	own := map[coding]bool{}
	for _, code := range codingsOf(r.node.Get("code")) {
		own[code] = true
	}
	for _, p := range valuesOf(placed{r.node, r.pointer}, "component") {
		for _, code := range codingsOf(p.node.Get("code")) {
			if own[code] {
				c.say("component-repeats-code", p.node, p.pointer, "a component has the code of the Observation, which has a value", "", "such a component only without a value beside it")
			}
		}
	}
}

type coding struct{ system, code string }

func codingsOf(concept *source.Node) []coding {
	var all []coding
	for _, c := range items(concept, "coding") {
		all = append(all, coding{textAt(c, "system"), textAt(c, "code")})
	}
	return all
}
