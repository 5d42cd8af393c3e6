package audit

import (
	"strings"
	"sync"

	"saltmark/internal/finding"
	"saltmark/internal/shape"
	"saltmark/internal/source"
)

// walk goes through every node of a resource and knows where it is.
type walk struct {
	*check
	resource *resource
	trail    source.Trail

	container *source.Node // the resource that is visited, or the one that contains it
	person    bool         // what is visited tells of a person

	ids, fragments, met       map[string]bool // of what idsOf contains; of each "#x" in fragmentsIn; contained in metIn so far
	idsOf, fragmentsIn, metIn *source.Node
}

// nodeRulesFor are the rules on values as a walk wants them.
type nodeRulesFor struct {
	object []nodeRule // on every object
	// member are those on members of a name, by its length: of one there are few.
	member [64][]membersRules
}

type membersRules struct {
	name  string
	rules []nodeRule
}

// allNodeRules are all of them, made once.
var allNodeRules = sync.OnceValue(func() *nodeRulesFor { return nodeRulesBut(nil) })

// nodeRulesBut leaves out those that are switched off.
func nodeRulesBut(off map[string]bool) *nodeRulesFor {
	rules := &nodeRulesFor{}
	for _, rule := range nodeRules {
		if off[rule.id] {
			continue
		}
		if rule.names == "" {
			rules.object = append(rules.object, rule)
		}
		for _, name := range strings.Fields(rule.names) {
			rules.add(name, rule)
		}
	}
	return rules
}

func (r *nodeRulesFor) add(name string, rule nodeRule) {
	alike := &r.member[len(name)]
	for i := range *alike {
		if m := &(*alike)[i]; m.name == name {
			m.rules = append(m.rules, rule)
			return
		}
	}
	*alike = append(*alike, membersRules{name, []nodeRule{rule}})
}

// of gives the rules on members of a name.
func (r *nodeRulesFor) of(name string) []nodeRule {
	if len(name) == 0 || len(name) >= len(r.member) {
		return nil
	}
	alike := r.member[len(name)]
	for i := range alike {
		if m := &alike[i]; m.name[0] == name[0] && m.name == name {
			return m.rules
		}
	}
	return nil
}

// rulesOnNodes gives the rules of this run.
func (c *check) rulesOnNodes() *nodeRulesFor {
	if len(c.off) == 0 {
		return allNodeRules()
	}
	return nodeRulesBut(c.off)
}

func (c *check) walk(r *resource) {
	if !shape.IsResource(r.kind) {
		return
	}
	w := &walk{check: c, resource: r, trail: c.trail[:0]}
	w.object("", nil, r.node)
	c.trail = w.trail // for the next walk
}

// value applies the rules to the value of a member, or to each item of it.
func (w *walk) value(name string, holder, n *source.Node) {
	if n.Kind == source.Array {
		for i, item := range n.Items {
			w.trail.Item(i)
			w.value(name, holder, item)
			w.trail.Leave()
		}
		return
	}
	for _, rule := range w.rules.of(name) {
		rule.judge(w, name, holder, n)
	}
	if n.Kind == source.Object {
		w.object(name, holder, n)
	}
}

// object goes through the members of an object. A resource inside another keeps its
// contained resources to itself.
func (w *walk) object(name string, holder, n *source.Node) {
	if kind := n.Get("resourceType"); kind != nil {
		if !shape.IsResource(kind.Text) || w.elsewhere(name) {
			return
		}
		container, person := w.container, w.person
		defer func() { w.container, w.person = container, person }()
		w.person = shape.IsPerson(kind.Text)
		if name != "contained" {
			w.container = n
		}
	}
	for _, rule := range w.rules.object {
		rule.judge(w, name, holder, n)
	}
	for i := range n.Members {
		m := &n.Members[i]
		w.trail.Enter(m.Name)
		w.value(m.Name, n, m.Value)
		w.trail.Leave()
	}
}

// elsewhere tells that a resource is one of the entries of the bundle, which are
// walked one by one.
func (w *walk) elsewhere(name string) bool {
	return w.resource == w.bundle && name == "resource" && len(w.trail) == 3
}

// pointer gives the JSON pointer of the node that is visited.
func (w *walk) pointer() string { return w.resource.pointer + w.trail.Pointer() }

// holderPointer gives the JSON pointer of the object that holds the member which is
// visited.
func (w *walk) holderPointer() string { return w.resource.pointer + w.trail.Holder().Pointer() }

// report adds a finding about the node that is visited.
func (w *walk) report(rule string, n *source.Node, found finding.Text, value string, allowed finding.Text) {
	w.tell(rule, n, w.pointer(), found, value, allowed)
}

// below adds a finding about a member of the node that is visited.
func (w *walk) below(rule string, n *source.Node, member string, found finding.Text, value string, allowed finding.Text) {
	w.tell(rule, n.Get(member), w.pointer()+source.Pointer(member), found, value, allowed)
}

// about adds a finding about the object that holds the member which is visited.
func (w *walk) about(rule string, holder *source.Node, found finding.Text, value string, allowed finding.Text) {
	w.tell(rule, holder, w.holderPointer(), found, value, allowed)
}

func (w *walk) tell(rule string, n *source.Node, pointer string, found finding.Text, value string, allowed finding.Text) {
	before := len(w.found)
	w.say(rule, n, pointer, found, value, allowed)
	if w.person && len(w.found) > before {
		last := &w.found[len(w.found)-1]
		*last = last.Hide()
	}
}
