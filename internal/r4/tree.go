package r4

import (
	"iter"
	"slices"
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

// Choices gives every member that a choice element has (value[x] is asked for as
// "value"), in source order: its whole name and its value, nil for a primitive that has
// only its twin with the underscore. A correct resource has one at most.
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

func items(n *source.Node) []*source.Node {
	if n == nil {
		return nil
	}
	return n.Items
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
