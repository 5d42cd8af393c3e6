package audit

import (
	"crypto/sha256"

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
	var found finding.List
	v := newView(doc)
	for _, r := range v.resources {
		if address := addressOf(r); address != "" && v.bundle == nil && !isSharedDevice(r) && l.isKnown(address, r4.Text(r.node.Get("meta"), "versionId")) {
			found = append(found, finding.New("line-twice", doc.Place(r.node.Get("id"), "/id"), "a line before holds this resource", "", "each resource once in a stream"))
		}
		for _, id := range mapping.Identifiers(r.node) {
			value := r4.Text(id, "value")
			if isOurs(value, r.kind) && l.isKnown(r.kind, r4.Text(id, "system"), value, r4.Text(r.node.Get("meta"), "versionId")) {
				found = append(found, finding.New("line-twice", doc.Place(id, r.at("/identifier")), "a line before holds this identity of a session", "", "each identity once in a stream"))
			}
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
	h := sha256.New()
	for _, part := range parts {
		h.Write([]byte(part))
		h.Write([]byte{0})
	}
	key := [16]byte(h.Sum(nil))
	known := l.seen[key]
	l.seen[key] = true
	return known
}
