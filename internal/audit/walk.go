package audit

import (
	"strconv"
	"strings"

	"saltmark/internal/source"
)

// walk goes through every node of a resource and knows where it is.
type walk struct {
	*check
	resource *resource
	steps    []step
	rules    []nodeRule
}

type step struct {
	name  string // of a member; "" for an item
	index int
}

func (c *check) walk(r *resource) {
	w := &walk{check: c, resource: r}
	for _, rule := range nodeRules {
		if !c.off[rule.id] {
			w.rules = append(w.rules, rule)
		}
	}
	w.visit("", r.node)
}

// visit applies the rules to a node and goes below it. name is that of the
// member that holds it, also for an item of a list.
func (w *walk) visit(name string, n *source.Node) {
	for i := range w.rules {
		w.rules[i].judge(w, name, n)
	}
	for i := range n.Members {
		m := &n.Members[i]
		w.steps = append(w.steps, step{name: m.Name})
		w.visit(m.Name, m.Value)
		w.steps = w.steps[:len(w.steps)-1]
	}
	for i, item := range n.Items {
		w.steps = append(w.steps, step{index: i})
		w.visit(name, item)
		w.steps = w.steps[:len(w.steps)-1]
	}
}

// pointer gives the JSON pointer of the node that is visited.
func (w *walk) pointer() string {
	var b strings.Builder
	b.WriteString(w.resource.pointer)
	for _, s := range w.steps {
		if s.name == "" {
			b.WriteString("/" + strconv.Itoa(s.index))
		} else {
			b.WriteString(source.Pointer(s.name))
		}
	}
	return b.String()
}

// report adds a finding about the node that is visited.
func (w *walk) report(rule string, n *source.Node, found, value, allowed string) {
	w.say(rule, n, w.pointer(), found, value, allowed)
}

// below adds a finding about a member of the node that is visited.
func (w *walk) below(rule string, n *source.Node, member, found, value, allowed string) {
	w.say(rule, n.Get(member), w.pointer()+source.Pointer(member), found, value, allowed)
}
