package audit

import (
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/shape"
	"saltmark/internal/source"
)

// How a reference inside a bundle is followed. Source: FHIR R4 4.0.1, Bundle, 'resolving
// references in bundles', and documents (CC0).

// resolve gives the resource of the bundle that a reference of another leads to, nil
// where there is none: by fullUrl, or where the reference is relative by fullUrl below
// the address of the one that refers, else by type and id.
func (v *view) resolve(from *resource, ref string) *resource {
	address, version, versioned := strings.Cut(ref, "/_history/")
	if address == "" || address[0] == '#' {
		return nil
	}
	target := v.byURL[address]
	if root := rootOf(from); root != "" && isRelative(address) {
		if near := v.byURL[root+address]; near != nil {
			target = near
		}
	}
	if versioned && target != nil && r4.Text(target.node.Get("meta"), "versionId") != version {
		return nil
	}
	return target
}

// targetType gives the type of what a reference leads to, in the bundle or by its
// address, "" where it is not known.
func (v *view) targetType(from *resource, ref string) string {
	if target := v.resolve(from, ref); target != nil {
		return target.kind
	}
	if kind := shape.TypeIn(ref); shape.IsResource(kind) {
		return kind
	}
	return ""
}

// isRelative tells whether an address is no absolute one.
func isRelative(address string) bool {
	scheme, _, absolute := strings.Cut(address, ":")
	return !absolute || strings.ContainsAny(scheme, "/?#")
}

// rootOf gives the address of the server that an entry is from, "" where its fullUrl does
// not end in type and id.
func rootOf(r *resource) string {
	if r == nil {
		return ""
	}
	root, ok := strings.CutSuffix(r.fullURL, addressOf(r))
	if !ok || !strings.HasSuffix(root, "/") || addressOf(r) == "" {
		return ""
	}
	return root
}

// holding are the types of bundle in which resources refer to one another by fullUrl
// alone: no server gives them ids first.
var holding = []string{"document", "message", "collection", "searchset", "history"}

// referenceBase: a relative reference leads to the server that its own entry is from; a
// resource of that type and id from elsewhere is another one.
func referenceBase(w *walk, _ string, _, n *source.Node) {
	if n.Kind != source.String || w.bundle == nil || w.resource == w.bundle || !slices.Contains(holding, w.view.kind) || !isRelative(n.Text) {
		return
	}
	address, _, _ := strings.Cut(n.Text, "/_history/")
	near := w.byURL[address]
	if near == nil || near.fullURL == "" || near.entry == nil || w.resource.fullURL == "" {
		return
	}
	if root := rootOf(w.resource); root == "" || w.byURL[root+address] == nil {
		w.report("reference-base", n, finding.Say("the relative reference does not lead to the {1} of this bundle", finding.Data(near.kind)), "", "its fullUrl, or type and id below the address of the entry that refers")
	}
}

// referenceSearch: only a transaction may refer by a search, which the server resolves
// before it writes anything.
func referenceSearch(w *walk, _ string, holder, n *source.Node) {
	if n.Kind != source.String || w.view.kind == "transaction" || !strings.Contains(n.Text, "?") || !isRelative(n.Text) {
		return
	}
	if kind, _, _ := strings.Cut(n.Text, "?"); shape.IsResource(kind) {
		w.report("reference-search", n, "the reference is a search", "", "only a server that takes a transaction resolves one; a literal reference, or an identifier")
	}
}

// referenceDisagrees: the type that a reference states is that of what it leads to.
func referenceDisagrees(w *walk, _ string, holder, n *source.Node) {
	stated := r4.Text(holder, "type")
	if n.Kind != source.String || !shape.IsResource(stated) || strings.HasPrefix(n.Text, "#") {
		return
	}
	if kind := w.targetType(w.resource, n.Text); kind != "" && kind != stated {
		w.about("reference-disagrees", holder, finding.Say("the reference states the type {1} and leads to a {2}", finding.Data(stated), finding.Data(kind)), "", "one of the two")
	}
}

// requirements are the members that hold a DataRequirement, which may be of a type alone.
var requirements = setOf("data dataRequirement valueDataRequirement")

// referenceEmpty: a reference says more of its target than the type.
func referenceEmpty(w *walk, name string, holder, n *source.Node) {
	if len(n.Members) > 2 || holder == nil || n.Get("type") == nil || len(n.Members) == 2 && n.Get("id") == nil {
		return
	}
	if shape.IsResource(r4.Text(n, "type")) && !requirements[name] {
		w.report("reference-empty", n, finding.Say("{1} names a type and nothing of it", finding.Data(name)), "", "a reference, an identifier or a display")
	}
}

// batchReference: the entries of a batch stand for themselves; what one of them creates,
// another cannot refer to.
func batchReference(w *walk, _ string, _, n *source.Node) {
	if w.view.kind != "batch" || n.Kind != source.String {
		return
	}
	if target := w.resolve(w.resource, n.Text); target != nil && target != w.resource && r4.Text(target.entry.Get("request"), "method") == "POST" {
		w.report("batch-reference", n, "the reference leads to what another entry of the batch creates", "", "a transaction, where entries refer to one another")
	}
}

// documentIncomplete: what the Composition of a document refers to is in the document.
func documentIncomplete(c *check) {
	composition := c.documentHead()
	if composition == nil {
		return
	}
	c.eachReference(composition, func(ref *source.Node, pointer string) {
		text := r4.Text(ref, "reference")
		if text == "" || text[0] == '#' || strings.Contains(pointer, "/relatesTo/") || strings.Contains(pointer, "/extension/") || c.resolve(composition, text) != nil {
			return
		}
		if !strings.HasPrefix(text, "urn:") { // those are told as reference-unresolved
			c.say("document-incomplete", ref, pointer, "the Composition refers to something that is not in the document", "", "what a Composition refers to is part of its document; or an identifier alone")
		}
	})
}

// messageParts are the references of a MessageHeader whose targets R4 wants in the message.
var messageParts = []string{"/focus/", "/response/details"}

// messageIncomplete: what a message is about, and the details of its answer, are in it.
func messageIncomplete(c *check) {
	if c.kind != "message" || len(c.resources) == 0 || c.resources[0].kind != "MessageHeader" {
		return
	}
	header := c.resources[0]
	c.eachReference(header, func(ref *source.Node, pointer string) {
		text, within := r4.Text(ref, "reference"), strings.TrimPrefix(pointer, header.pointer)
		part := slices.ContainsFunc(messageParts, func(p string) bool { return strings.HasPrefix(within, p) })
		if !part || text == "" || text[0] == '#' || strings.HasPrefix(text, "urn:") || strings.Contains(within, "/extension/") || c.resolve(header, text) != nil {
			return
		}
		c.say("message-incomplete", ref, pointer, "the MessageHeader refers to something that is not in the message", "", "what a message is about, and the details of its answer, are part of it")
	})
}

// documentUnreachable: what is in a document is referred to from its Composition, or tells
// where something of it came from.
func documentUnreachable(c *check) {
	composition := c.documentHead()
	if composition == nil {
		return
	}
	reached := map[*resource]bool{composition: true}
	c.reach(composition, reached)
	for _, r := range c.resources {
		if r.kind == "Provenance" && !reached[r] && c.isAbout(r, reached) {
			reached[r] = true
			c.reach(r, reached)
		}
	}
	for _, r := range c.resources {
		if !reached[r] && r.kind != "Binary" {
			c.say("document-unreachable", r.node, r.pointer, finding.Say("nothing in the document leads to this {1}", finding.Data(r.kind)), "", "a reference from the Composition, or from what it refers to")
		}
	}
}

// documentHead gives the Composition that a document begins with, nil where this is none.
func (c *check) documentHead() *resource {
	if c.kind != "document" || len(c.resources) == 0 || c.resources[0].kind != "Composition" {
		return nil
	}
	return c.resources[0]
}

// reach marks all that references lead to from a resource.
func (c *check) reach(from *resource, reached map[*resource]bool) {
	todo := []*resource{from}
	for len(todo) > 0 {
		r := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		eachReferenceText(r.node, func(ref string) {
			if target := c.resolve(r, ref); target != nil && !reached[target] {
				reached[target] = true
				todo = append(todo, target)
			}
		})
	}
}

// isAbout tells whether a Provenance is about something that was reached.
func (c *check) isAbout(provenance *resource, reached map[*resource]bool) bool {
	return slices.ContainsFunc(r4.Items(provenance.node, "target"), func(t *source.Node) bool {
		target := c.resolve(provenance, r4.Text(t, "reference"))
		return target != nil && reached[target]
	})
}

// eachReferenceText gives the text of every reference in a tree.
func eachReferenceText(n *source.Node, do func(string)) {
	for i := range n.Members {
		m := &n.Members[i]
		if m.Name == "reference" && m.Value.Kind == source.String {
			do(m.Value.Text)
		}
		eachReferenceText(m.Value, do)
	}
	for _, item := range n.Items {
		eachReferenceText(item, do)
	}
}

// eachReference gives every object of a resource that has a literal reference, with its
// pointer; what is contained keeps its own.
func (c *check) eachReference(r *resource, do func(n *source.Node, pointer string)) {
	var visit func(n *source.Node, pointer string)
	visit = func(n *source.Node, pointer string) {
		if ref := n.Get("reference"); ref != nil && ref.Kind == source.String {
			do(n, pointer)
		}
		for i := range n.Members {
			if m := &n.Members[i]; m.Name != "contained" {
				visit(m.Value, pointer+source.Pointer(m.Name))
			}
		}
		for i, item := range n.Items {
			visit(item, pointer+source.Pointer(i))
		}
	}
	visit(r.node, r.pointer)
}
