package mapping

import (
	"strings"

	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Suffixes of the identities of resources that are no Observation.
const (
	loopSuffix   = "loop"
	reportSuffix = "report"
	devicePrefix = "device-"

	compositionSuffix = "composition"
)

// Identity gives the business identifier of the Observation of a fact: the
// session's identifier, the thing, the measure and the origin, joined by slashes:
// demo-2031-0001/injection-2/blood-flow/reported. A group, which has no value, has
// no origin in it. It is never made of a code or a label, so neither changes it.
func Identity(session string, r record.Ref) string {
	var buffer [128]byte
	return string(appendIdentity(buffer[:0], session, r))
}

func appendIdentity(b []byte, session string, r record.Ref) []byte {
	b = append(append(b, session...), '/')
	b = append(b, r.About.Kind...)
	if r.About.Kind != measure.Session {
		b = appendPlain(append(b, '-'), r.About.Key)
	}
	b = append(append(b, '/'), r.Measure...)
	if m := measure.Get(r.Measure); m == nil || m.Kind != measure.Group || m.DefaultOrigin() != string(r.Origin) {
		b = append(append(b, '/'), r.Origin...)
	}
	return b
}

// ParseIdentity is the inverse of Identity. It is not ok for what Identity cannot
// have made of a measure of the table and a thing that the measure can be about.
func ParseIdentity(value string) (session string, r record.Ref, ok bool) {
	parts := strings.Split(value, "/")
	if len(parts) < 3 || len(parts) > 4 || parts[0] == "" {
		return "", record.Ref{}, false
	}
	kind, key, keyed := strings.Cut(parts[1], "-")
	key, plain := readPlain(key)
	r = record.Ref{About: record.Thing{Kind: measure.About(kind), Key: key}, Measure: parts[2]}
	m := measure.Get(r.Measure)
	if m == nil || !m.Has(r.About.Kind) || keyed == (r.About.Kind == measure.Session) || keyed && key == "" || !plain {
		return "", record.Ref{}, false
	}
	if len(parts) == 3 {
		r.Origin = record.Origin(m.DefaultOrigin())
	} else {
		r.Origin = record.Origin(parts[3])
	}
	if !measure.InSet("origin", string(r.Origin)) {
		return "", record.Ref{}, false
	}
	var buffer [128]byte
	return parts[0], r, string(appendIdentity(buffer[:0], parts[0], r)) == value
}

// SessionIn gives the session that a business identifier names. It is not ok for what
// Write gives no resource of that type.
func SessionIn(kind, value string) (session string, ok bool) {
	if kind == "Observation" {
		session, _, ok = ParseIdentity(value)
		return session, ok
	}
	session, rest, ok := strings.Cut(value, "/")
	switch kind {
	case "Procedure":
		ok = ok && rest == loopSuffix
	case "DiagnosticReport":
		ok = ok && rest == reportSuffix
	case "Composition":
		ok = ok && rest == compositionSuffix
	case "Device":
		ok = ok && strings.HasPrefix(rest, devicePrefix)
	default:
		ok = false
	}
	return session, ok && session != ""
}

// Identifiers gives the business identifiers of a resource, of which a Composition has
// one and others have a list.
func Identifiers(resource *source.Node) []*source.Node {
	id := resource.Get("identifier")
	switch {
	case id == nil:
		return nil
	case id.Kind == source.Object:
		return []*source.Node{id}
	}
	return id.Items
}

// sharedDevice gives the identity of a device that sessions share. It holds the
// version, since a device that is there already is not written again.
func sharedDevice(d record.Device) string {
	b := []byte(d.Role)
	for _, part := range []string{d.Key, d.Version} {
		if part != "" {
			b = appendPlain(append(b, '/'), part)
		}
	}
	return string(b)
}

// ownDevice gives the identity of a device that belongs to one session.
func ownDevice(session string, d record.Device) string {
	return string(appendPlain([]byte(session+"/"+devicePrefix+d.Role+"-"), d.Key))
}

// UUIDOf gives the UUID of an identity in a system: the id of its resource, where that
// has one, and the UUID of its fullUrl.
func UUIDOf(system, value string) string { return r4.UUID(r4.Namespace, system+"|"+value) }

// appendPlain writes a key with characters that an identifier may hold: letters,
// digits, full stop and hyphen as they are, each other byte as an underscore and
// two hexadecimal digits.
func appendPlain(b []byte, key string) []byte {
	const hex = "0123456789ABCDEF"
	for i := range len(key) {
		if c := key[i]; isPlain(c) {
			b = append(b, c)
		} else {
			b = append(b, '_', hex[c>>4], hex[c&15])
		}
	}
	return b
}

func isPlain(c byte) bool {
	return 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || '0' <= c && c <= '9' || c == '.' || c == '-'
}

// readPlain is the inverse of appendPlain.
func readPlain(s string) (key string, ok bool) {
	if !strings.Contains(s, "_") {
		return s, true
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] != '_' {
			b.WriteByte(s[i])
			continue
		}
		if i+2 >= len(s) {
			return "", false
		}
		high, low := hexDigit(s[i+1]), hexDigit(s[i+2])
		if high < 0 || low < 0 || isPlain(byte(high<<4|low)) {
			return "", false
		}
		b.WriteByte(byte(high<<4 | low))
		i += 2
	}
	return b.String(), true
}

func hexDigit(c byte) int {
	switch {
	case '0' <= c && c <= '9':
		return int(c - '0')
	case 'A' <= c && c <= 'F':
		return int(c-'A') + 10
	}
	return -1
}

// checkSession tells whether an identifier of a session may stand in identities.
func checkSession(id string) bool {
	for i := range len(id) {
		if c := id[i]; !isPlain(c) && c != '_' {
			return false
		}
	}
	return id != ""
}
