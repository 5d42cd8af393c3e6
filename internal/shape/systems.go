package shape

import (
	_ "embed"
	"strings"
	"sync"
)

// codeSystems are the code systems that FHIR R4 itself keeps and that the standard has
// with all their codes: a line for each, canonical and codes with a line (_) before and a tab
// behind each.
//
//go:embed codesystems.tsv
var codeSystems string

// systemLines gives the line of codes of each system by its canonical.
var systemLines = sync.OnceValue(func() map[string]string {
	lines := make(map[string]string, strings.Count(codeSystems, "\n"))
	for line := range strings.Lines(codeSystems) {
		if canonical, codes, ok := strings.Cut(line, "\t"); ok {
			lines[canonical] = "\t" + codes
		}
	}
	return lines
})

// SystemHas tells whether a code system of FHIR R4 has a code; known is false where the
// system is of others, or R4 has not all of it. Codes that were added after R4 are not
// among them.
func SystemHas(system, code string) (has, known bool) {
	codes, known := systemLines()[system]
	return known && !strings.Contains(code, "\t") && strings.Contains(codes, "\t_"+code+"\t"), known
}
