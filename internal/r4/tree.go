package r4

import (
	"iter"
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/source"
)

// Text follows member names from a node and gives the text of the string there, ""
// where there is none.
func Text(n *source.Node, path ...string) string {
	for _, name := range path {
		n = n.Get(name)
	}
	if n == nil || n.Kind != source.String {
		return ""
	}
	return n.Text
}

// choiceTypes are the types that an open choice of R4 may end in (data types,
// section on open type elements, and the types of closed choices among them).
var choiceTypes = strings.Fields(`
	Base64Binary Boolean Canonical Code Date DateTime Decimal Id Instant Integer Markdown Oid PositiveInt
	String Time UnsignedInt Uri Url Uuid
	Address Age Annotation Attachment CodeableConcept Coding ContactPoint Count Distance Duration HumanName
	Identifier Money Period Quantity Range Ratio Reference SampledData Signature Timing
	ContactDetail Contributor DataRequirement Expression ParameterDefinition RelatedArtifact TriggerDefinition
	UsageContext Dosage Meta`)

// Choice gives the member of a choice element (value[x] is asked for as "value"):
// its whole name and its value. A primitive that has only its twin with the
// underscore has a name and no value. Where there is no such member the name is "".
func Choice(n *source.Node, stem string) (name string, value *source.Node) {
	for name, value := range Choices(n, stem) {
		return name, value
	}
	return "", nil
}

// Choices gives every member that a choice element has, in source order; a correct
// resource has one at most.
func Choices(n *source.Node, stem string) iter.Seq2[string, *source.Node] {
	return func(yield func(string, *source.Node) bool) {
		if n == nil {
			return
		}
		for _, m := range n.Members {
			bare, twin := strings.CutPrefix(m.Name, "_")
			kind, ok := strings.CutPrefix(bare, stem)
			if !ok || !slices.Contains(choiceTypes, kind) {
				continue
			}
			value := m.Value
			if twin {
				if n.Get(bare) != nil {
					continue // it comes with its value
				}
				value = nil
			}
			if !yield(bare, value) {
				return
			}
		}
	}
}

// Pair gives a primitive with its twin: the value, and the object of the same name
// with an underscore that holds its id and extensions. Each may be nil.
func Pair(n *source.Node, name string) (value, twin *source.Node) {
	return n.Get(name), n.Get("_" + name)
}

// Pairs gives the items of a list of primitives, each with its twin, by their index.
// An item that is null or missing in one of the lists is nil.
func Pairs(n *source.Node, name string) iter.Seq2[*source.Node, *source.Node] {
	return func(yield func(value, twin *source.Node) bool) {
		values, twins := items(n.Get(name)), items(n.Get("_"+name))
		for i := range max(len(values), len(twins)) {
			if !yield(item(values, i), item(twins, i)) {
				return
			}
		}
	}
}

func items(n *source.Node) []*source.Node {
	if n == nil {
		return nil
	}
	return n.Items
}

func item(list []*source.Node, i int) *source.Node {
	if i >= len(list) || list[i].Kind == source.Null {
		return nil
	}
	return list[i]
}

// Items gives the items of the list that a member holds, none where there is no list.
func Items(n *source.Node, name string) []*source.Node { return items(n.Get(name)) }

// Codings gives the codings of a concept that are of one system.
func Codings(concept *source.Node, system string) iter.Seq[*source.Node] {
	return func(yield func(*source.Node) bool) {
		for _, coding := range Items(concept, "coding") {
			if Text(coding, "system") == system && !yield(coding) {
				return
			}
		}
	}
}

// Code gives the first code of a system in a concept, "" where there is none.
func Code(concept *source.Node, system string) string {
	for coding := range Codings(concept, system) {
		return Text(coding, "code")
	}
	return ""
}

// ReferenceText gives what a Reference refers to literally, "" for a logical one.
func ReferenceText(reference *source.Node) string { return Text(reference, "reference") }

// Contained gives the resources inside a resource.
func Contained(resource *source.Node) []*source.Node { return Items(resource, "contained") }

// Resources gives a resource and every resource inside it (entries of a Bundle, what
// they contain) with its JSON pointer, outer first. pointer is that of the resource.
func Resources(resource *source.Node, pointer string) iter.Seq2[string, *source.Node] {
	return func(yield func(string, *source.Node) bool) { walk(resource, pointer, yield) }
}

func walk(resource *source.Node, pointer string, yield func(string, *source.Node) bool) bool {
	if resource == nil || resource.Kind != source.Object {
		return true
	}
	if !yield(pointer, resource) {
		return false
	}
	for i, inner := range Contained(resource) {
		if !walk(inner, pointer+"/contained/"+strconv.Itoa(i), yield) {
			return false
		}
	}
	if Text(resource, "resourceType") != "Bundle" {
		return true
	}
	for i, entry := range Items(resource, "entry") {
		if !walk(entry.Get("resource"), pointer+"/entry/"+strconv.Itoa(i)+"/resource", yield) {
			return false
		}
	}
	return true
}
