package audit

import (
	"slices"
	"strconv"
	"strings"
	"sync"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/internal/terms"
)

// manyMembers is more than any object of FHIR has. What is larger is a fault that
// the shape tells; rules that look for pairs of members leave it alone.
const manyMembers = 500

// structure is what FHIR R4 asks of one element of a resource.
type structure struct {
	terms.Element
	parents []string // members on the way to what holds it
	last    string   // its own member; the stem of a choice of types
}

// structures are those elements of each type that is judged which must be there or
// are bound to a value set with strength 'required'.
var structures = sync.OnceValue(func() map[string][]structure {
	all := map[string][]structure{}
	for kind := range judgedTypes {
		for _, e := range terms.Elements(kind) {
			parts := strings.Split(strings.TrimSuffix(e.Path, "[x]"), ".")[1:]
			last := len(parts) - 1
			all[kind] = append(all[kind], structure{e, parts[:last], parts[last]})
		}
	}
	return all
})

// coded tells whether the element is of type code with a required binding.
func (s *structure) coded() bool {
	return s.Required && len(s.Types) == 1 && s.Types[0] == "code"
}

// elementMissing: elements that FHIR R4 requires are there, those of the schema
// that has no say about them included.
func elementMissing(c *check, r *resource) {
	all := structures()[r.kind]
	for i := range all {
		s := &all[i]
		if s.Min == 0 {
			continue
		}
		for _, p := range parentsOf(r, s.parents) {
			if !s.isIn(p.node) {
				c.say("element-missing", p.node, p.pointer(), finding.Say("{1} is missing", finding.Data(s.Path)), "", "FHIR R4 requires it")
			}
		}
	}
}

// isIn tells whether an object holds the element: its value, or the extension that
// says why there is none.
func (s *structure) isIn(n *source.Node) bool {
	for i := range n.Members {
		m := &n.Members[i]
		name := strings.TrimPrefix(m.Name, "_")
		if s.Choice() {
			stem, _ := choiceOf(name)
			name = stem
		}
		if name == s.last && (m.Value.Kind != source.Array || len(m.Value.Items) > 0) {
			return true
		}
	}
	return false
}

// placed is a node below another whose pointer is known. Its own pointer is made only
// where somebody asks for it.
type placed struct {
	node  *source.Node
	above string // pointer of the object that holds it
	name  string // of its member; "" for that object itself
	index int    // in the list that the member is, -1 where it is none
}

func (p placed) pointer() string {
	switch {
	case p.name == "":
		return p.above
	case p.index < 0:
		return p.above + source.Pointer(p.name)
	}
	return p.above + source.Pointer(p.name, p.index)
}

// parentsOf gives the nodes at the end of a path of members, such as entry and
// request.
func parentsOf(r *resource, path []string) []placed {
	parents := []placed{{node: r.node, above: r.pointer}}
	for _, name := range path {
		var next []placed
		for _, p := range parents {
			if m := p.node.Get(name); m != nil {
				next = appendValues(next, m, p.pointer(), name)
			}
		}
		parents = next
	}
	return parents
}

// valuesOf gives the value of a member, or the items of a list.
func valuesOf(p placed, name string) []placed {
	m := p.node.Get(name)
	if m == nil {
		return nil
	}
	return appendValues(nil, m, p.pointer(), name)
}

func appendValues(all []placed, m *source.Node, above, name string) []placed {
	if m.Kind != source.Array {
		return append(all, placed{m, above, name, -1})
	}
	all = slices.Grow(all, len(m.Items))
	for i, item := range m.Items {
		all = append(all, placed{item, above, name, i})
	}
	return all
}

// bindingRequired: a code bound to a value set with strength 'required' is of
// that set.
func bindingRequired(c *check, r *resource) {
	all := structures()[r.kind]
	for i := range all {
		s := &all[i]
		if !s.coded() {
			continue
		}
		for _, p := range parentsOf(r, s.parents) {
			for _, v := range valuesOf(p, s.last) {
				if v.node.Kind == source.String && !terms.InValueSet(s.ValueSet, "", v.node.Text) {
					c.say("binding-required", v.node, v.pointer(), finding.Say("{1} is {}", finding.Data(s.Path)), v.node.Text, finding.Say("the value set {1} has {2}", finding.Data(s.ValueSet), finding.Data(codesOf(s.ValueSet))))
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

// otherChoices are choices of types in resources and data types that this program
// reads and does not write. Source: FHIR R4 4.0.1, the definitions of Patient,
// Timing and Dosage (CC0).
var otherChoices = map[string]string{
	"deceasedBoolean": "deceased", "deceasedDateTime": "deceased",
	"multipleBirthBoolean": "multipleBirth", "multipleBirthInteger": "multipleBirth",
	"boundsDuration": "bounds", "boundsRange": "bounds", "boundsPeriod": "bounds",
	"asNeededBoolean": "asNeeded", "asNeededCodeableConcept": "asNeeded",
	"doseRange": "dose", "doseQuantity": "dose",
	"rateRatio": "rate", "rateRange": "rate", "rateQuantity": "rate",
}

// choiceOf gives the stem of a member that is one type of a choice.
func choiceOf(name string) (stem string, ok bool) {
	if !hasCapital(name) {
		return "", false
	}
	if stem, _, ok = terms.ChoiceOf(name); ok {
		return stem, true
	}
	stem, ok = otherChoices[name]
	return stem, ok
}

func hasCapital(name string) bool {
	for i := range len(name) {
		if 'A' <= name[i] && name[i] <= 'Z' {
			return true
		}
	}
	return false
}

// choiceTwice: of a choice of types such as value[x], one at the most.
func choiceTwice(w *walk, _ string, _, n *source.Node) {
	if len(n.Members) < 2 || len(n.Members) > manyMembers {
		return
	}
	var stems, names [4]string
	count := 0
	for i := range n.Members {
		name := strings.TrimPrefix(n.Members[i].Name, "_")
		stem, ok := choiceOf(name)
		if !ok {
			continue
		}
		known := false
		for k, s := range stems[:count] {
			known = known || names[k] == name
			if s == stem && names[k] != name {
				w.below("choice-twice", n, n.Members[i].Name, finding.Say("a second {1}[x]", finding.Data(stem)), "", "one at the most")
			}
		}
		if !known && count < len(stems) {
			stems[count], names[count] = stem, name
			count++
		}
	}
}

// fieldListLength: a list and the list of its extensions ("_field") have one
// length.
func fieldListLength(w *walk, _ string, _, n *source.Node) {
	if len(n.Members) > manyMembers {
		return
	}
	for i := range n.Members {
		name := n.Members[i].Name
		if len(name) < 2 || name[0] != '_' || n.Members[i].Value.Kind != source.Array {
			continue
		}
		field := n.Get(name[1:])
		if field != nil && len(field.Items) != len(n.Members[i].Value.Items) {
			w.below("field-list-length", n, name, finding.Say("this list has {1} items, {2} has {3}", finding.Number(len(n.Members[i].Value.Items)), finding.Data(name[1:]), finding.Number(len(field.Items))), "", "one for each")
		}
	}
}

// extensionForm (ext-1): an extension has a value or further extensions.
func extensionForm(w *walk, _ string, _, n *source.Node) {
	if n.Kind != source.Object {
		return
	}
	value := slices.ContainsFunc(n.Members, func(m source.Member) bool {
		return strings.HasPrefix(strings.TrimPrefix(m.Name, "_"), "value")
	})
	if more := n.Get("extension") != nil; value == more {
		var found finding.Text = "the extension has neither a value nor extensions"
		if value {
			found = "the extension has a value and extensions"
		}
		w.report("extension-form", n, found, "", "one of the two")
	}
}

// sectionEmpty (cmp-1): a section has text, entries or sections.
func sectionEmpty(w *walk, _ string, _, n *source.Node) {
	if n.Kind == source.Object && n.Get("text") == nil && n.Get("entry") == nil && n.Get("section") == nil {
		w.report("section-empty", n, "the section holds nothing", "", "text, entries or sections")
	}
}

// absentWithValue (obs-6): a reason for absence only where no value is, in the
// Observation and in each component.
func absentWithValue(c *check, r *resource) {
	for i, n := range r.parts() {
		reason := n.Get("dataAbsentReason")
		if reason == nil {
			continue
		}
		if name, _ := valueOf(n); name != "" {
			c.say("absent-with-value", reason, r.part(i, "/dataAbsentReason"), finding.Say("a reason for absence stands beside {1}", finding.Data(name)), "", "only one of the two")
		}
	}
}

// valueOf gives the name and node of value[x], "" where there is none.
func valueOf(n *source.Node) (string, *source.Node) {
	for i := range n.Members {
		m := &n.Members[i]
		if len(m.Name) > len("value") && strings.HasPrefix(m.Name, "value") {
			return m.Name, m.Value
		}
	}
	return "", nil
}

// componentRepeatsCode (obs-7): where a component has the code of the Observation
// itself, the Observation has no value.
func componentRepeatsCode(c *check, r *resource) {
	if name, _ := valueOf(r.node); name == "" {
		return
	}
	for i, n := range r.parts() {
		for _, code := range r4.Items(n.Get("code"), "coding") {
			if i >= 0 && slices.Contains(r.codes, coding{r4.Text(code, "system"), r4.Text(code, "code")}) {
				c.say("component-repeats-code", n, r.part(i, ""), "a component has the code of the Observation, which has a value", "", "such a component only without a value beside it")
			}
		}
	}
}

// referenceRangeEmpty (obs-3): a reference range has an end or a text.
func referenceRangeEmpty(c *check, r *resource) {
	for i, n := range r.parts() {
		for k, of := range r4.Items(n, "referenceRange") {
			if of.Get("low") == nil && of.Get("high") == nil && of.Get("text") == nil {
				c.say("reference-range-empty", of, r.part(i, "/referenceRange/"+strconv.Itoa(k)), "the reference range says nothing", "", "low, high or text")
			}
		}
	}
}
