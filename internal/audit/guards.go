package audit

import (
	_ "embed"
	"strings"
	"sync"

	"saltmark/internal/finding"
)

//go:embed HAZARDS.md
var hazardsText string

// Guards names the rules of which an error is never taken away by what a file selects or
// accepts: those of HAZARDS.md and of the labels, which guard against harm; and those by which a document
// was not judged at all, since silence about it would pass for a judgement.
var Guards = sync.OnceValue(func() map[string]bool {
	guards := map[string]bool{"audit-stopped": true, "schema-resource-type": true}
	for line := range strings.Lines(hazardsText) {
		if cells := strings.Split(strings.Trim(strings.TrimSpace(line), "|"), "|"); len(cells) == 5 {
			if rule, known := finding.RuleOf(strings.TrimSpace(cells[3])); known {
				guards[rule.ID] = true
			}
		}
	}
	for _, rule := range finding.Rules() {
		if rule.Layer == "source" || rule.Layer == "audit label" {
			guards[rule.ID] = true
		}
	}
	return guards
})
