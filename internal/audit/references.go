package audit

import (
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/r4"
	"saltmark/internal/shape"
	"saltmark/internal/source"
)

// typeOf gives the type of the resource that an address leads to inside the document.
func (v *view) typeOf(address string) string {
	if target := v.byURL[address]; target != nil {
		return target.kind
	}
	return ""
}

// referenceUnresolved: a urn:uuid points to an entry of the bundle, "#x" to a
// contained resource; what a session of ours refers to of itself is in the bundle.
func referenceUnresolved(w *walk, _ string, _, n *source.Node) {
	if n.Kind != source.String || w.byURL[n.Text] != nil {
		return
	}
	switch ref := n.Text; {
	case strings.HasPrefix(ref, "urn:uuid:") || strings.HasPrefix(ref, "urn:oid:"):
		w.report("reference-unresolved", n, "the reference leads nowhere", "", "an entry of the bundle has it as fullUrl")
	case strings.HasPrefix(ref, "#") && ref != "#" && !w.contains(ref[1:]):
		w.report("reference-unresolved", n, "the reference leads nowhere", "", "a contained resource has it as id")
	case w.whole() && !strings.ContainsAny(ref, ":?#") && slices.Contains(ownTypes, shape.TypeIn(ref)):
		w.report("reference-unresolved", n, "the reference leads to a resource of type {} elsewhere", shape.TypeIn(ref), "what belongs to a session is in its bundle")
	}
}

// ownTypes are the types of the resources that a session is made of, and that it
// never refers to elsewhere.
var ownTypes = []string{"Observation", "DiagnosticReport", "Procedure", "Provenance", "Composition"}

func (w *walk) contains(id string) bool {
	if w.ids == nil || w.idsOf != w.container {
		w.ids, w.idsOf = map[string]bool{}, w.container
		for _, c := range r4.Items(w.container, "contained") {
			w.ids[r4.Text(c, "id")] = true
		}
	}
	return w.ids[id]
}

// referenceCycle: what was derived, or has members, does not come back to itself.
func referenceCycle(c *check) {
	const (
		open = iota + 1
		done
	)
	state := map[*resource]int{}
	var visit func(r *resource) bool
	visit = func(r *resource) bool {
		if state[r] != 0 {
			return state[r] == open
		}
		state[r] = open
		for _, name := range []string{"derivedFrom", "hasMember"} {
			for i, ref := range r4.Items(r.node, name) {
				target := c.byURL[r4.Text(ref, "reference")]
				if target != nil && visit(target) {
					c.say("reference-cycle", ref, r.at("/"+name+"/"+strconv.Itoa(i)), "this reference leads back to where it started", "", "no circle of derivedFrom and hasMember")
				}
			}
		}
		state[r] = done
		return false
	}
	for _, r := range c.resources {
		if r.kind == "Observation" {
			visit(r)
		}
	}
}
