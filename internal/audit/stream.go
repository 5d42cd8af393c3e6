package audit

import (
	"crypto/sha256"
	"strconv"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/mapping"
)

// Lines remembers which resources the lines of one stream have held, so that none is
// there twice. It holds 16 bytes for each. Lines are told to it in order.
type Lines struct {
	seen map[[16]byte]bool
}

// Repeated tells whether a line holds a resource that a line before it held: by type,
// id and version, or by an identity of a session. A bundle is known by what it holds.
func (l *Lines) Repeated(doc *source.Document) finding.List {
	if doc == nil || doc.Root == nil {
		return nil
	}
	if l.seen == nil {
		l.seen = map[[16]byte]bool{}
	}
	if r4.Text(doc.Root, "resourceType") != "Bundle" {
		return l.repeated(doc, doc.Root, alone)
	}
	var found finding.List
	for i, e := range r4.Items(doc.Root, "entry") {
		if resource := e.Get("resource"); resource != nil {
			found = append(found, l.repeated(doc, resource, i)...)
		}
	}
	return found
}

// alone stands for the entry of a resource that has a line of its own.
const alone = -1

// repeated tells of one resource.
func (l *Lines) repeated(doc *source.Document, n *source.Node, entry int) finding.List {
	r := &resource{node: n, kind: r4.Text(n, "resourceType")}
	if r.kind == "" {
		return nil
	}
	var found finding.List
	version := r4.Text(n.Get("meta"), "versionId")
	if address := addressOf(r); address != "" && entry == alone && !isSharedDevice(r) && l.isKnown(address, version) {
		found = append(found, finding.New("line-twice", doc.Place(n.Get("id"), "/id"), "a line before holds this resource", "", "each resource once in a stream"))
	}
	for _, id := range mapping.Identifiers(n) {
		value := r4.Text(id, "value")
		if isOurs(value, r.kind) && l.isKnown(r.kind, r4.Text(id, "system"), value, version) {
			pointer := "/identifier"
			if entry != alone {
				pointer = "/entry/" + strconv.Itoa(entry) + "/resource/identifier"
			}
			found = append(found, finding.New("line-twice", doc.Place(id, pointer), "a line before holds this identity of a session", "", "each identity once in a stream"))
		}
	}
	rooted(found, func(int) string { return kindOf(doc) })
	return found
}

// isSharedDevice tells whether this is a device of ours that sessions share, which
// comes with each of them; its id follows from its identity.
func isSharedDevice(r *resource) bool {
	for _, id := range mapping.Identifiers(r.node) {
		if r.kind == "Device" && mapping.IsShared(r4.Text(id, "value")) && r4.Text(r.node, "id") == mapping.UUIDOf(r4.Text(id, "system"), r4.Text(id, "value")) {
			return true
		}
	}
	return false
}

// isKnown tells whether a key was there before, and remembers it.
func (l *Lines) isKnown(parts ...string) bool {
	var buffer [256]byte
	text := buffer[:0]
	for _, part := range parts {
		text = append(append(text, part...), 0)
	}
	sum := sha256.Sum256(text)
	key := [16]byte(sum[:])
	known := l.seen[key]
	l.seen[key] = true
	return known
}
