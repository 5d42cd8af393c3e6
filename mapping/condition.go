package mapping

import (
	"net/url"
	"strings"

	"saltmark/internal/r4"
)

// identifierQuery gives the search that finds a resource by its identifier:
// identifier=system%7Cvalue. What search would take for a mark of its own in the
// value is escaped as R4's search page says (3.1.1.4.0.1), then the whole value is
// percent-encoded.
func identifierQuery(system, value string) string {
	var buffer [192]byte
	b := r4.AppendSearch(append(buffer[:0], "identifier="...), system)
	b = r4.AppendSearch(b, "|")
	return string(r4.AppendSearch(b, searchEscapes.Replace(value)))
}

var searchEscapes = strings.NewReplacer(`\`, `\\`, `,`, `\,`, `|`, `\|`, `$`, `\$`)

// Condition gives the search by which a server finds a resource of ours, as it stands
// behind the question mark of a request and in ifNoneExist.
func Condition(system, value string) string { return identifierQuery(system, value) }

// readIdentifierQuery is the inverse of identifierQuery.
func readIdentifierQuery(query string) (system, value string, ok bool) {
	escaped, ok := strings.CutPrefix(query, "identifier=")
	if !ok {
		return "", "", false
	}
	whole, err := url.PathUnescape(escaped)
	if err != nil {
		return "", "", false
	}
	system, value, ok = strings.Cut(whole, "|")
	if !ok {
		return "", "", false
	}
	var b strings.Builder
	for i := 0; i < len(value); i++ {
		if value[i] == '\\' {
			if i++; i == len(value) {
				return "", "", false
			}
		}
		b.WriteByte(value[i])
	}
	return system, b.String(), true
}
