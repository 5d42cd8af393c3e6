package source

import "github.com/goccy/go-yaml/ast"

// anchor reads the value of an anchor and remembers it for the aliases below.
func (t *treeBuilder) anchor(n *ast.AnchorNode) (*Node, bool) {
	m, ok := t.take(anchorName, n.Name)
	if !ok {
		return nil, false
	}
	if _, again := t.anchors[m.name]; again {
		t.add(m.offset, t.path.pointer(), fault{
			rule:    "anchor",
			found:   "an anchor is given again",
			allowed: "each anchor of a text stands once",
		})
	}
	held := &anchored{}
	t.anchors[m.name] = held
	values, outer := t.values, t.depth
	t.depth = len(t.path)
	node, ok := t.node(n.Value)
	held.values = t.values - values
	held.depth = t.depth - len(t.path)
	t.depth = max(outer, t.depth)
	held.node = node
	return node, ok
}

// alias gives the tree of an anchor again.
func (t *treeBuilder) alias(n *ast.AliasNode) (*Node, bool) {
	m, ok := t.take(aliasName, n.Value)
	if !ok {
		return nil, false
	}
	held := t.anchors[m.name]
	what := fault{rule: "anchor"} // without the name, which may be a text that lacks its quotes
	switch {
	case held == nil:
		what.found, what.allowed = "an alias has no anchor above it", "an anchor of that name before the alias"
	case held.node == nil:
		what.found, what.allowed = "an alias stands inside of its own anchor", "an alias follows the whole value of its anchor"
	case len(t.path)+held.depth > t.lim.Depth:
		what = tooDeep(t.lim.Depth)
	default:
		t.depth = max(t.depth, len(t.path)+held.depth)
		return held.node, t.count(m.offset, held.values)
	}
	t.add(m.offset, t.path.pointer(), what)
	return &Node{Kind: Null, Offset: m.offset}, true
}
