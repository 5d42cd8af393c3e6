package audit

import (
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
)

// containedWrong (dom-2 to dom-5): a contained resource is referred to or refers to
// what contains it, contains none itself, and has no version and no label of its
// own. By its id it is told from the others beside it.
func containedWrong(w *walk, _ string, holder, n *source.Node) {
	if n.Kind != source.Object {
		return
	}
	meta := n.Get("meta")
	var found finding.Text
	switch {
	case w.repeatsContained(holder, r4.Text(n, "id")):
		found = "a second contained resource has this id"
	case n.Get("contained") != nil:
		found = "a contained resource contains another"
	case meta.Get("versionId") != nil || meta.Get("lastUpdated") != nil || meta.Get("security") != nil:
		found = "a contained resource has a version or a security label of its own"
	case !w.fragmentsOf(holder)[r4.Text(n, "id")] && !mentions(n, "#"):
		found = "nothing refers to the contained resource"
	default:
		return
	}
	w.report("contained-wrong", n, found, "", "contained resources are referred to, flat, each under an id of its own, and without version and security label")
}

// repeatsContained tells whether a resource before it in the same list has an id.
func (w *walk) repeatsContained(holder *source.Node, id string) bool {
	if w.metIn != holder {
		w.met, w.metIn = map[string]bool{}, holder
	}
	twice := id != "" && w.met[id]
	w.met[id] = true
	return twice
}

// fragmentsOf gives the "x" of all "#x" in a resource.
func (w *walk) fragmentsOf(container *source.Node) map[string]bool {
	if w.fragments == nil || w.fragmentsIn != container {
		w.fragments, w.fragmentsIn = map[string]bool{}, container
		eachText(container, func(s string) {
			if x, ok := strings.CutPrefix(s, "#"); ok {
				w.fragments[x] = true
			}
		})
	}
	return w.fragments
}

func mentions(n *source.Node, text string) (found bool) {
	eachText(n, func(s string) { found = found || s == text })
	return found
}

// eachText gives every text of a tree.
func eachText(n *source.Node, do func(string)) {
	if n.Kind == source.String {
		do(n.Text)
	}
	for i := range n.Members {
		eachText(n.Members[i].Value, do)
	}
	for _, item := range n.Items {
		eachText(item, do)
	}
}
