package source

import (
	"errors"
	"strconv"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// tree gives the skeleton to the parser and fits the values back in.
func (s *scanner) tree() *Node {
	body, line, ok := parse(s.skeleton)
	if !ok {
		at := 0
		if line >= 1 && line <= len(s.lineAt) {
			at = s.lineAt[line-1]
		}
		for at < len(s.text) && s.text[at] == ' ' {
			at++
		}
		s.add(at, "", ambiguous())
		return nil
	}
	t := treeBuilder{faults: s.faults, marks: s.marks, anchors: map[string]*anchored{}}
	root, ok := t.node(body)
	if ok && t.next < len(t.marks) {
		t.refuse()
	}
	return root
}

// parse gives the one document of a skeleton, or the line at which the parser
// stopped (0 where it told none). The parser's words go nowhere: they may change
// with its version. Should it panic, the text is refused.
func parse(skeleton []byte) (body ast.Node, line int, ok bool) {
	defer func() {
		if recover() != nil {
			body, ok = nil, false
		}
	}()
	file, err := parser.ParseBytes(skeleton, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		var placed interface{ GetToken() *token.Token }
		if errors.As(err, &placed) && placed.GetToken() != nil {
			line = placed.GetToken().Position.Line
		}
		return nil, line, false
	}
	if len(file.Docs) != 1 || file.Docs[0].Body == nil {
		return nil, 0, false
	}
	return file.Docs[0].Body, 0, true
}

func ambiguous() fault {
	return fault{
		rule:    "syntax",
		found:   "the text has no certain structure here",
		allowed: "keys and dashes that belong together share their indentation",
	}
}

// treeBuilder makes nodes of what the parser found and of the marks, which must
// come one after the other.
type treeBuilder struct {
	*faults
	marks   []mark
	next    int
	path    path
	values  int
	depth   int // deepest level met since an anchor set it back
	anchors map[string]*anchored
}

// anchored is the tree of an anchor; its node is nil while it is being read.
type anchored struct {
	node   *Node
	values int // aliases counted with what they stand for
	depth  int // levels in it
}

// take gives the next mark, which must be of a kind. written is how the skeleton
// showed it, "" where it shows no number.
func (t *treeBuilder) take(kind markKind, written ast.Node) (mark, bool) {
	if t.next >= len(t.marks) || t.marks[t.next].kind != kind {
		t.refuse()
		return mark{}, false
	}
	if written != nil {
		name, isName := written.(*ast.StringNode)
		if !isName || name.Value != "x"+strconv.Itoa(t.next) {
			t.refuse()
			return mark{}, false
		}
	}
	t.next++
	return t.marks[t.next-1], true
}

func (t *treeBuilder) refuse() {
	at := len(t.doc.Text)
	if t.next < len(t.marks) {
		at = t.marks[t.next].offset
	}
	t.add(at, t.path.pointer(), ambiguous())
}

func (t *treeBuilder) node(n ast.Node) (*Node, bool) {
	switch n := n.(type) {
	case *ast.StringNode:
		m, ok := t.take(scalarValue, n)
		return m.value, ok && t.count(m.offset, 1)
	case *ast.MappingNode:
		return t.object(n)
	case *ast.SequenceNode:
		return t.list(n)
	case *ast.AnchorNode:
		return t.anchor(n)
	case *ast.AliasNode:
		return t.alias(n)
	}
	t.refuse()
	return nil, false
}

// begin makes the node of an object or a list and goes one level down.
func (t *treeBuilder) begin(kind Kind, opening markKind, s step) (*Node, bool) {
	m, ok := t.take(opening, nil)
	if !ok || !t.count(m.offset, 1) {
		return nil, false
	}
	t.path = append(t.path, s)
	t.depth = max(t.depth, len(t.path))
	return &Node{Kind: kind, Offset: m.offset}, true
}

// end comes back up.
func (t *treeBuilder) end() bool {
	_, ok := t.take(closing, nil)
	t.path = t.path[:len(t.path)-1]
	return ok
}

func (t *treeBuilder) object(n *ast.MappingNode) (*Node, bool) {
	opening := openBlockMap
	if n.IsFlowStyle {
		opening = openMap
	}
	made, ok := t.begin(Object, opening, step{})
	if !ok {
		return nil, false
	}
	for _, pair := range n.Values {
		key, ok := t.take(keyName, pair.Key)
		if !ok {
			return nil, false
		}
		t.path[len(t.path)-1].name = key.name
		value, ok := t.node(pair.Value)
		if !ok {
			return nil, false
		}
		made.Members = append(made.Members, Member{Name: key.name, Offset: key.offset, Value: value})
	}
	ok = t.end()
	made.Members = t.keep(made.Members, t.path.pointer)
	return made, ok
}

func (t *treeBuilder) list(n *ast.SequenceNode) (*Node, bool) {
	opening := openBlockList
	if n.IsFlowStyle {
		opening = openList
	}
	made, ok := t.begin(Array, opening, step{inList: true})
	if !ok {
		return nil, false
	}
	for _, item := range n.Values {
		if !n.IsFlowStyle {
			if _, ok := t.take(dashEntry, nil); !ok {
				return nil, false
			}
		}
		value, ok := t.node(item)
		if !ok {
			return nil, false
		}
		made.Items = append(made.Items, value)
		t.path[len(t.path)-1].index++
	}
	return made, t.end()
}

// count adds values to those of the tree.
func (t *treeBuilder) count(at, n int) bool {
	if t.values += n; t.values > t.lim.Nodes {
		t.add(at, t.path.pointer(), tooManyValues(t.lim.Nodes))
		return false
	}
	return true
}
