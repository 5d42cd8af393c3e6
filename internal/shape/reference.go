package shape

import (
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// target holds a reference against the types that its element allows: by what it leads
// to inside the document, by its address, or by its stated type.
func (c *checker) target(e *element, n *source.Node) {
	kind := c.targetType(n)
	if kind == "" || slices.Contains(e.targets, kind) {
		return
	}
	c.show("reference-type", n, finding.Say("{1} points to a resource of type {}", finding.Data(e.name)), kind, finding.Say("it may point to {1}", finding.Data(strings.Join(e.targets, ", "))))
}

// targetType gives the type of what a reference leads to, "" where it is not known.
func (c *checker) targetType(n *source.Node) string {
	ref := textOf(n, "reference")
	if c.Resolve != nil && ref != "" {
		if kind := c.Resolve(ref); kind != "" {
			return kind
		}
	}
	switch {
	case strings.HasPrefix(ref, "#"):
		if kind := c.inside(ref[1:]); kind != "" {
			return kind
		}
		return c.stated(n)
	case ref == "" || strings.HasPrefix(ref, "urn:"):
		return c.stated(n)
	}
	kind := TypeIn(ref)
	if c.tables.resources[kind] == nil && strings.Contains(ref, ":") {
		return "" // an address of another kind
	}
	return kind
}

// stated gives the type that a reference says, where that is a type of R4.
func (c *checker) stated(n *source.Node) string {
	if kind := textOf(n, "type"); c.tables.resources[kind] != nil {
		return kind
	}
	return ""
}

// inside gives the type of a contained resource by its id; "" is the one that contains
// them.
func (c *checker) inside(name string) string {
	if name == "" {
		return textOf(c.container, "resourceType")
	}
	list := c.container.Get("contained")
	if list == nil {
		return ""
	}
	for _, n := range list.Items {
		if textOf(n, "id") == name {
			return textOf(n, "resourceType")
		}
	}
	return ""
}

// textOf gives the text of a member, "" where it has none.
func textOf(n *source.Node, name string) string {
	if m := n.Get(name); m != nil && m.Kind == source.String {
		return m.Text
	}
	return ""
}

// TypeIn gives the resource type in an address: the segment before the id, or the
// last one where no id follows.
func TypeIn(address string) string {
	path, _, search := strings.Cut(address, "?")
	path, _, _ = strings.Cut(path, "/_history")
	cut := strings.LastIndexByte(path, '/')
	last, before := path[cut+1:], path[:max(cut, 0)]
	before = before[strings.LastIndexByte(before, '/')+1:]
	switch {
	case !search && isTypeName(before):
		return before
	case isTypeName(last):
		return last
	}
	return ""
}

// isTypeName tells whether a text has the form of a resource type: letters, of which
// only the first of a word is a capital.
func isTypeName(s string) bool {
	if len(s) < 2 || len(s) > 40 || s[0] < 'A' || s[0] > 'Z' || s[1] < 'a' || s[1] > 'z' {
		return false
	}
	for i := range len(s) {
		if c := s[i] | 0x20; c < 'a' || c > 'z' {
			return false
		}
	}
	return true
}

// leave tells of a value set by which something would be judged.
func (c *checker) leave(s *set) {
	if c.Unknown != nil {
		c.Unknown(s.name)
	}
}

// concept holds a Coding or a CodeableConcept against a required value set: one of its
// codings at least is of the set. A text without a code passes where the set is the largest
// that a weaker binding allows, as for languages; these are judged by a grammar.
func (c *checker) concept(e *element, n *source.Node) {
	if !e.set.known() {
		c.leave(e.set)
		return
	}
	codings := []*source.Node{n}
	if list := n.Get("coding"); list != nil {
		codings = list.Items
	}
	wrong, coded := "", false
	for _, coding := range codings {
		code := textOf(coding, "code")
		coded = coded || code != "" || coding.Get("_code") != nil
		if code != "" && e.set.has(textOf(coding, "system"), code) {
			return
		}
		if wrong == "" {
			wrong = code
		}
	}
	switch {
	case wrong != "":
		c.show("binding-required", n, finding.Say("{1} is {}", finding.Data(e.path)), wrong, e.set.words())
	case !coded && len(n.Members) > 0 && len(e.set.listed()) > 0 && n.Get("extension") == nil:
		c.say("binding-required", n, finding.Say("{1} has no code", finding.Data(e.path)), "", e.set.words())
	}
}
