package shape

import (
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/source"
)

// The builders make the smallest right instance of any definition, from the table
// alone, so that every element of every type can be tried.

func str(s string) *source.Node { return &source.Node{Kind: source.String, Text: s} }
func num(s string) *source.Node { return &source.Node{Kind: source.Number, Text: s} }
func yes() *source.Node         { return &source.Node{Kind: source.Bool, Text: "true"} }
func null() *source.Node        { return &source.Node{Kind: source.Null} }

func listOf(items ...*source.Node) *source.Node {
	return &source.Node{Kind: source.Array, Items: items}
}

func objectOf(members ...source.Member) *source.Node {
	return &source.Node{Kind: source.Object, Members: members}
}

func member(name string, v *source.Node) source.Member { return source.Member{Name: name, Value: v} }

// rightValues are values of the primitive forms.
var rightValues = map[form]string{
	base64Binary: "YWI=", canonical: "urn:x|1", code: "x", date: "2031-05-03", dateTime: "2031-05-03T14:30:00+02:00", decimal: "1.50",
	id: "a-1.B", instant: "2031-05-03T14:30:00.5Z", integer: "-3", markdown: "*x*", oid: "urn:oid:2.25.1", positiveInt: "1",
	aString: "x y", timeOfDay: "14:30:00", unsignedInt: "0", uri: "urn:x", url: "https://x.example/", xhtml: `<div xmlns="http://www.w3.org/1999/xhtml">x</div>`,
	uuid: "urn:uuid:c757873d-ec9a-4326-a141-556f43239520",
}

// single gives the smallest right value of an element, no list.
func single(e *element) *source.Node {
	switch e.form {
	case resource:
		return objectOf(member("resourceType", str("Basic")), member("code", objectOf(member("text", str("x")))))
	case object:
		return e.object()
	case boolean:
		return yes()
	}
	v := rightValues[e.form]
	if e.set != nil {
		v = e.set.systems[0].one()
	}
	switch {
	case e.form.kind() == source.Number:
		return num(v)
	case e.attribute && e.name == "id":
		return str(anyID)
	}
	return str(v)
}

// codesOfOthers are codes of the systems that the standard does not list.
var codesOfOthers = map[string]string{"urn:ietf:bcp:13": "text/plain", "urn:ietf:bcp:47": "de-AT", "urn:iso:std:iso:4217": "EUR", "http://unitsofmeasure.org": "mg"}

// one gives a code that a set has.
func (c *codes) one() string {
	if c.grammar != nil {
		return codesOfOthers[c.system]
	}
	return c.listed[0]
}

func (e *element) object() *source.Node {
	if e.set != nil && e.set.known() {
		c := &e.set.systems[0]
		coding := objectOf(member("system", str(c.system)), member("code", str(c.one())))
		if e.of.name == "CodeableConcept" {
			return objectOf(member("coding", listOf(coding)))
		}
		return coding
	}
	n := smallest(e.of)
	if e.targets != nil {
		return objectOf(member("reference", str(e.targets[0]+"/1")))
	}
	return n
}

// value gives the smallest right value of an element, in a list where it is one.
func value(e *element) *source.Node {
	if e.list {
		return listOf(single(e))
	}
	return single(e)
}

// smallest gives the smallest right instance of a definition: what is required, or
// else an id.
func smallest(d *definition) *source.Node {
	n := objectOf()
	if d.resource {
		n.Members = append(n.Members, member("resourceType", str(d.name)))
	}
	done := uint64(0)
	for _, e := range d.elements {
		if bit := uint64(1) << e.group; d.required&bit != 0 && done&bit == 0 {
			done |= bit
			n.Members = append(n.Members, member(e.name, value(e)))
		}
	}
	if len(n.Members) == 0 {
		n.Members = append(n.Members, member("id", str(anyID)))
	}
	return n
}

// with gives an instance that has an element with a value, in place of what it has of
// the same choice; a nil value takes it away.
func with(d *definition, n *source.Node, e *element, v *source.Node) *source.Node {
	again := objectOf(slices.DeleteFunc(slices.Clone(n.Members), func(m source.Member) bool {
		other := d.find(m.Name)
		return other != nil && other.group == e.group
	})...)
	if v != nil {
		again.Members = append(again.Members, member(e.name, v))
	}
	return again
}

// route leads from a resource to a definition: the element of each that holds the next.
type route struct {
	from *definition
	by   []hop
}

type hop struct {
	in *definition
	e  *element
}

// routes finds a shortest route to every definition that an instance can have.
func routes(t *table) map[*definition]route {
	all := map[*definition]route{}
	var next []*definition
	for _, name := range t.names {
		d := t.resources[name]
		all[d], next = route{from: d}, append(next, d)
	}
	for len(next) > 0 {
		d := next[0]
		next = next[1:]
		for _, e := range d.elements {
			if e.form != object || e.set != nil {
				continue
			}
			if _, known := all[e.of]; !known {
				r := all[d]
				all[e.of] = route{r.from, append(slices.Clone(r.by), hop{d, e})}
				next = append(next, e.of)
			}
		}
	}
	return all
}

// around puts an instance at the end of a route into a resource, and gives its pointer.
func (r route) around(n *source.Node) (root *source.Node, pointer string) {
	for i := len(r.by) - 1; i >= 0; i-- {
		h := r.by[i]
		at := source.Pointer(h.e.name)
		if h.e.list {
			n, at = listOf(n), at+"/0"
		}
		n, pointer = with(h.in, smallest(h.in), h.e, n), at+pointer
	}
	return n, pointer
}

// anyID is the id of every element until they are numbered.
const anyID = "x"

// number gives the elements of a tree ids of their own.
func number(n *source.Node, count *int) {
	for _, m := range n.Members {
		if m.Name == "id" && m.Value.Kind == source.String && strings.HasPrefix(m.Value.Text, anyID) {
			*count++
			m.Value.Text = anyID + strconv.Itoa(*count)
		}
		number(m.Value, count)
	}
	for _, item := range n.Items {
		number(item, count)
	}
}
