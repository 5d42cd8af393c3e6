package source

import "encoding/json"

// Kind tells what a Node holds.
type Kind uint8

// The kinds of JSON values, which are also all that a sheet may hold. The zero
// value is none of them.
const (
	Null Kind = iota + 1
	Bool
	Number
	String
	Object
	Array
)

// String gives the word for the kind, as messages use it.
func (k Kind) String() string {
	switch k {
	case Null:
		return "null"
	case Bool:
		return "boolean"
	case Number:
		return "number"
	case String:
		return "string"
	case Object:
		return "object"
	case Array:
		return "array"
	}
	return "unset"
}

// Node is one value of a document as it was written: numbers keep their text and
// members their order. A tree is for reading only: aliases of YAML share the
// value of their anchor.
type Node struct {
	Kind Kind
	// Quoted tells that a string stood in quotes (always so in JSON).
	Quoted bool
	// Text is the decoded string, the number in JSON's notation with every digit
	// that was written, or "true" and "false".
	Text string
	// Offset is the byte in the document where the value begins.
	Offset int
	// Members are those of an object, in source order, each name once.
	Members []Member
	// Items are those of an array.
	Items []*Node
}

// Member is one name of an object with its value.
type Member struct {
	Name   string
	Offset int // of the name
	Value  *Node
}

// Get gives the value of a member of an object, nil where there is none.
func (n *Node) Get(name string) *Node {
	if n == nil {
		return nil
	}
	for i := range n.Members {
		if n.Members[i].Name == name {
			return n.Members[i].Value
		}
	}
	return nil
}

// Any gives the tree in Go's own types: map[string]any, []any, json.Number,
// string, bool and nil. Numbers keep their text.
func (n *Node) Any() any {
	if n == nil {
		return nil
	}
	switch n.Kind {
	case Bool:
		return n.Text == "true"
	case Number:
		return json.Number(n.Text)
	case String:
		return n.Text
	case Object:
		m := make(map[string]any, len(n.Members))
		for i := range n.Members {
			m[n.Members[i].Name] = n.Members[i].Value.Any()
		}
		return m
	case Array:
		list := make([]any, len(n.Items))
		for i, item := range n.Items {
			list[i] = item.Any()
		}
		return list
	}
	return nil
}
