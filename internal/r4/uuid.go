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
	var buffer [256]byte
	space, ok := appendUUID(buffer[:0], namespace)
	if !ok {
		return ""
	}
	sum := sha1.Sum(append(space, name...))
	id := sum[:16]
	id[6] = id[6]&0x0f | 0x50
	id[8] = id[8]&0x3f | 0x80
	var text [36]byte
	at := 0
	for i, size := range uuidParts {
		if i > 0 {
			text[at] = '-'
			at++
		}
		at += hex.Encode(text[at:], id[:size])
		id = id[size:]
	}
	return string(text[:])
}

// uuidParts are the bytes between the hyphens of a UUID.
var uuidParts = [...]int{4, 2, 2, 2, 6}

// appendUUID appends the bytes of a UUID; it is not ok for what is none.
func appendUUID(b []byte, uuid string) (_ []byte, ok bool) {
	for i, size := range uuidParts {
		if i > 0 {
			if uuid, ok = strings.CutPrefix(uuid, "-"); !ok {
				return nil, false
			}
		}
		if len(uuid) < 2*size {
			return nil, false
		}
		var err error
		if b, err = hex.AppendDecode(b, []byte(uuid[:2*size])); err != nil {
			return nil, false
		}
		uuid = uuid[2*size:]
	}
	return b, uuid == ""
}
