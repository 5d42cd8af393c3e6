package r4

import (
	"crypto/sha1" // RFC 9562, section 5.5, names it: a name is hashed, nothing is signed
	"encoding/hex"
	"strings"
)

// Namespaces for UUID. NamespaceDNS is that of RFC 9562, section 6.6; the one of
// saltmark is UUID(NamespaceDNS, "saltmark.example") and never changes, since every
// identity of a written resource hangs on it.
const (
	NamespaceDNS = "6ba7b810-9dad-11d1-80b4-00c04fd430c8"
	Namespace    = "823a37c0-93c5-5019-9bd3-aadbec075bf8"
)

// UUID gives the version 5 UUID of a name in a namespace (RFC 9562, section 5.5),
// in small letters. A namespace that is no UUID gives "".
func UUID(namespace, name string) string {
	space, err := hex.DecodeString(strings.ReplaceAll(namespace, "-", ""))
	if err != nil || len(space) != 16 || len(namespace) != 36 {
		return ""
	}
	sum := sha1.Sum(append(space, name...))
	id := sum[:16]
	id[6] = id[6]&0x0f | 0x50
	id[8] = id[8]&0x3f | 0x80
	s := hex.EncodeToString(id)
	return strings.Join([]string{s[:8], s[8:12], s[12:16], s[16:20], s[20:]}, "-")
}
