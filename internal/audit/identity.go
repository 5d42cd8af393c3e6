package audit

import (
	"strings"

	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// identity is what the business identifier of a resource of ours tells.
type identity struct {
	session string
	ref     record.Ref // zero for a report, a loop or a device
}

// identityOf finds an identifier that this program made: of an Observation as
// mapping writes them, or of the session's other resources.
func identityOf(n *source.Node, kind string) (identity, bool) {
	for _, id := range mapping.Identifiers(n) {
		if found, ok := parseIdentity(r4.Text(id, "value"), kind); ok {
			return found, true
		}
	}
	return identity{}, false
}

func isOurs(value, kind string) bool {
	_, ours := parseIdentity(value, kind)
	return ours
}

func parseIdentity(value, kind string) (identity, bool) {
	if kind == "Observation" {
		session, ref, ok := mapping.ParseIdentity(value)
		return identity{session, ref}, ok
	}
	session, ok := mapping.SessionIn(kind, value)
	return identity{session: session}, ok
}

// baseOf gives the canonical base of our systems from the codes of an Observation,
// "" where they have none.
func baseOf(codes []coding) string {
	for _, c := range codes {
		if base, ok := strings.CutSuffix(c.system, measure.MeasureCodes); ok {
			return base
		}
	}
	return ""
}
