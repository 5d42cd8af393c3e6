package site

import (
	"net/url"
	"strings"

	"saltmark/internal/source"
)

// examples warns of addresses of identifiers that can be nobody's, in settings of
// production: they were left over from the demo settings.
func (r *reader) examples() {
	if r.t.Test {
		return
	}
	for _, s := range r.t.systems() {
		pointer := source.Pointer("systems", s.name)
		n := r.doc.Find(pointer)
		if n != nil && n.Kind == source.Object {
			pointer += source.Pointer("system")
			n = n.Get("system")
		}
		if n != nil && forExamples(n.Text) {
			r.add("setting-example-address", n, pointer, "{} is an address that is kept for examples", n.Text,
				"the address under which the record of the site knows these identifiers is wanted")
		}
	}
}

// forExamples tells whether an address is one that nobody can own: a name below
// .example, example.com, example.net or example.org (RFC 2606), or an object identifier
// below 2.999, the arc for examples (Rec. ITU-T X.660, from memory).
func forExamples(address string) bool {
	if oid, ok := strings.CutPrefix(address, "urn:oid:"); ok {
		return oid == "2.999" || strings.HasPrefix(oid, "2.999.")
	}
	u, err := url.Parse(address)
	if err != nil {
		return false
	}
	host := "." + strings.ToLower(u.Hostname())
	for _, reserved := range []string{".example", ".example.com", ".example.net", ".example.org"} {
		if strings.HasSuffix(host, reserved) {
			return true
		}
	}
	return false
}
