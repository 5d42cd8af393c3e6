package audit

import (
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/source"
)

// view is a document seen as resources.
type view struct {
	doc       *source.Document
	bundle    *source.Node // nil for a single resource
	kind      string       // Bundle.type, "" for a single resource
	resources []*resource
	byURL     map[string]*resource
	ours      bool // holds a resource with an identity of ours
}

// resource is one resource of the document.
type resource struct {
	node    *source.Node
	pointer string
	kind    string // resourceType
	fullURL string
	entry   *source.Node // nil outside a bundle
	// identity is that of a resource of ours.
	identity identity
	ours     bool
}

func (r *resource) is(types []string) bool { return len(types) == 0 || slices.Contains(types, r.kind) }

// at gives the pointer of an element below the resource.
func (r *resource) at(path string) string { return r.pointer + path }

// entryPointer gives the pointer of the entry that holds the resource.
func (r *resource) entryPointer() string { return strings.TrimSuffix(r.pointer, "/resource") }

func newView(doc *source.Document) *view {
	v := &view{doc: doc, byURL: map[string]*resource{}}
	root := doc.Root
	if textAt(root, "resourceType") != "Bundle" {
		v.add(root, nil, "")
		return v
	}
	v.bundle, v.kind = root, textAt(root, "type")
	if entries := root.Get("entry"); entries != nil {
		for i, e := range entries.Items {
			v.add(e.Get("resource"), e, "/entry/"+strconv.Itoa(i)+"/resource")
		}
	}
	return v
}

func (v *view) add(node, entry *source.Node, pointer string) {
	kind := textAt(node, "resourceType")
	if kind == "" {
		return
	}
	r := &resource{node: node, pointer: pointer, kind: kind, entry: entry, fullURL: textAt(entry, "fullUrl")}
	r.identity, r.ours = identityOf(node, kind)
	v.ours = v.ours || r.ours
	v.resources = append(v.resources, r)
	if r.fullURL != "" && v.byURL[r.fullURL] == nil {
		v.byURL[r.fullURL] = r
	}
	if id := textAt(node, "id"); id != "" && v.byURL[kind+"/"+id] == nil {
		v.byURL[kind+"/"+id] = r
	}
}

// textAt gives the text of a member that is a string, "" otherwise.
func textAt(n *source.Node, name string) string {
	if m := n.Get(name); m != nil && m.Kind == source.String {
		return m.Text
	}
	return ""
}

// items gives the elements of a member that is a list.
func items(n *source.Node, name string) []*source.Node {
	if m := n.Get(name); m != nil {
		return m.Items
	}
	return nil
}
