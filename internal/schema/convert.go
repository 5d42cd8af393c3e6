package schema

import (
	"encoding/json"
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// The bounds of a number: the library computes with exact fractions, for which
// 1e1000000 is a million digits. They are the widest that package source has.
const (
	longestNumber               = 40
	largestPower                = 330
	numberSentence finding.Text = "at most 40 characters and an exponent between -330 and 330 are wanted"
)

// converter makes the library's tree of a source tree, and remembers the nodes
// that are wrong in a way that the library cannot see or must not.
type converter struct {
	fhir bool
	odd  []oddity
}

// oddity is a fault of a node that was seen on the way.
type oddity struct {
	node *source.Node
	make func(place finding.Place, path finding.Text, text string) finding.Finding
}

func (c *converter) note(n *source.Node, make func(finding.Place, finding.Text, string) finding.Finding) {
	c.odd = append(c.odd, oddity{n, make})
}

func (c *converter) value(n *source.Node) any {
	switch n.Kind {
	case source.Bool:
		return n.Text == "true"
	case source.Number:
		return c.number(n)
	case source.String:
		if c.fhir && hasControl(n.Text) {
			c.note(n, controlCharacter)
		}
		return n.Text
	case source.Array:
		items := make([]any, len(n.Items))
		for i, item := range n.Items {
			items[i] = c.value(item)
		}
		return items
	case source.Object:
		members := make(map[string]any, len(n.Members))
		for i := range n.Members {
			members[n.Members[i].Name] = c.member(n, &n.Members[i])
		}
		return members
	}
	return nil
}

// member gives the value of one member of an object.
func (c *converter) member(object *source.Node, m *source.Member) any {
	if c.fhir && m.Value.Kind == source.Array {
		c.nulls(object, m)
	}
	return c.value(m.Value)
}

// nulls looks at a list of a FHIR object: null may stand in it only where its twin
// (x and _x) has a value at the same index.
func (c *converter) nulls(object *source.Node, m *source.Member) {
	for i, item := range m.Value.Items {
		if item.Kind != source.Null {
			continue
		}
		twin := object.Get(twinOf(m.Name))
		if twin == nil || i >= len(twin.Items) || twin.Items[i].Kind == source.Null {
			c.note(item, strayNull)
		}
	}
}

func twinOf(name string) string {
	if bare, ok := strings.CutPrefix(name, "_"); ok {
		return bare
	}
	return "_" + name
}

// number gives a number to the library. In FHIR a whole number is digits alone,
// while JSON Schema takes 1.0 for an integer; so whatever is written with a
// fraction or an exponent goes to the library as one half, which no integer type
// takes and every decimal type does (the cut has no bounds on decimals).
func (c *converter) number(n *source.Node) any {
	switch {
	case isWild(n.Text):
		c.note(n, wildNumber)
		return json.Number("1")
	case c.fhir && isFraction(n.Text):
		return json.Number(oneHalf)
	}
	return json.Number(n.Text)
}

const oneHalf = "0.5"

// isWild tells whether a number is past the bounds.
func isWild(number string) bool {
	power, _ := exponent(number)
	return len(number) > longestNumber || power < -largestPower || power > largestPower
}

// isFraction tells whether a number is written with a fraction or an exponent.
func isFraction(number string) bool {
	_, written := exponent(number)
	return written || strings.Contains(number, ".")
}

// exponent gives the exponent of a number in JSON's notation, and whether it has
// one; one that does not fit is past every bound.
func exponent(number string) (power int, written bool) {
	i := strings.IndexAny(number, "eE")
	if i < 0 {
		return 0, false
	}
	power, err := strconv.Atoi(number[i+1:])
	if err != nil {
		power = largestPower + 1
	}
	return power, true
}

// hasControl finds a control character other than tab, line feed and carriage
// return, which FHIR R4 leaves out of text (data type string).
func hasControl(s string) bool {
	for i := range len(s) {
		if b := s[i]; b < ' ' && b != '\t' && b != '\n' && b != '\r' {
			return true
		}
	}
	return false
}

// findings gives what was noted, at its place.
func (c *converter) findings(doc *source.Document, root *source.Node, pointer string) finding.List {
	if len(c.odd) == 0 {
		return nil
	}
	where := map[*source.Node]string{}
	for _, o := range c.odd {
		where[o.node] = ""
	}
	locate(root, pointer, where)
	var list finding.List
	for _, o := range c.odd {
		at := where[o.node]
		list = append(list, o.make(doc.Place(o.node, at), source.PathWords(at), o.node.Text))
	}
	return list
}

// locate fills in the pointers of the nodes that where names.
func locate(n *source.Node, pointer string, where map[*source.Node]string) {
	if _, ok := where[n]; ok {
		where[n] = pointer
	}
	for _, m := range n.Members {
		locate(m.Value, pointer+source.Pointer(m.Name), where)
	}
	for i, item := range n.Items {
		locate(item, pointer+"/"+strconv.Itoa(i), where)
	}
}

func wildNumber(place finding.Place, path finding.Text, text string) finding.Finding {
	return finding.New("schema-number", place, finding.Say("{1} is {}", path), text, numberSentence).Hide()
}

func controlCharacter(place finding.Place, path finding.Text, text string) finding.Finding {
	return finding.New("schema-control-character", place, finding.Say("{1} is {}, with a control character in it", path), text,
		"of the control characters only tab, line feed and carriage return may stand in text").Hide()
}

func strayNull(place finding.Place, path finding.Text, _ string) finding.Finding {
	return finding.New("schema-null", place, finding.Say("{1} is empty (null)", path), "",
		"null may stand in a list only where its twin with the underscore has a value at the same index")
}
