// Package shape judges whether a tree has the shape of a FHIR R4 resource, of any of
// its types: which elements stand where, how often, and in which form.
//
// What it knows is definitions.tsv, which internal/shape/gen makes of the official
// definitions of FHIR R4 4.0.1 (CC0): names and cardinality of elements, the types of
// a choice, targets of references, and the codes of every required binding: those that
// the standard lists itself, and of others currencies (ISO 4217) by their list, media
// types (BCP 13), languages (BCP 47) and units (UCUM) by their grammars. Of the forms of primitives it knows the regular expressions
// of the standard, and what they cannot say: the calendar, the bounds of 32 bits,
// base64 in whole groups.
//
// Whoever wants to judge more of the values of some data types is shown them (Watch).
//
// It refuses to know invariants, profiles, extensions by their definitions, how
// references resolve outside of what it is told, whether a media type or a language is
// registered, and the one value set that R4 takes from elsewhere and does not hold
// (LL379-9, of LOINC). A concept with a required binding may have
// codings of other sets beside one of that set.
//
// On a tree in which all is right it allocates nothing for an element.
package shape

import (
	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// Options are what the document around a resource adds. The zero value adds nothing.
type Options struct {
	// Resolve gives the type of the resource that a literal reference leads to inside
	// the document, "" where it leads to none that is known.
	Resolve func(reference string) string
	// Each is told of every resource with a type of R4, those inside others too. The
	// pointer is made when it is asked for.
	Each func(kind string, n *source.Node, pointer func() string)
	// Unknown is told of the value set of every value that has one of which nothing is
	// known here.
	Unknown func(set string)
	// Value is told of every value of the types in Watch; nil where that is nil.
	Watch *Watch
	Value func(v Value)
}

// mostFaults is how many faults of shape of one document are told: more tell nothing
// more, and a hostile document has as many as it likes.
const mostFaults = 200

// Check judges a document that holds one resource.
func Check(doc *source.Document, o Options) finding.List {
	if doc.Root == nil {
		return nil
	}
	t, err := tables()
	if err != nil {
		return finding.List{finding.New("schema-unreadable", doc.Place(doc.Root, ""), "the definitions of FHIR R4 in this program cannot be read", "", "")}
	}
	c := &checker{Options: o, tables: t, doc: doc, trail: make(source.Trail, 0, 64)}
	c.resource(doc.Root)
	if c.left > 0 {
		c.list = append(c.list, finding.New("more-findings", doc.Place(doc.Root, ""), finding.Say("{1} more faults of shape were found", finding.Number(c.left)), "", "they are not told one by one"))
	}
	c.list.Sort()
	return c.list
}

// IsResource tells whether FHIR R4 has a resource type of that name.
func IsResource(kind string) bool {
	t, err := tables()
	return err == nil && t.resources[kind] != nil
}
