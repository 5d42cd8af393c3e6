package source

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

// Node is one value of a document as it was written: numbers keep their text and
// members their order.
type Node struct {
	Kind Kind
	// Text is the decoded string, the number in JSON's notation with every digit
	// that was written, or "true" and "false".
	Text string
	// Quoted tells that a string stood in quotes (always so in JSON).
	Quoted bool
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
