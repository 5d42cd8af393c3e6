package finding

import (
	_ "embed"
	"strings"
	"sync"

	"saltmark/internal/language"
)

// germanRulesText has a line for each rule: its identifier, a tab, its sentence in German.
//
//go:embed germanrules.tsv
var germanRulesText string

var germanRules = sync.OnceValue(func() map[string]string {
	sentences := map[string]string{}
	for line := range strings.Lines(germanRulesText) {
		if id, says, ok := strings.Cut(strings.TrimRight(line, "\n"), "\t"); ok && !strings.HasPrefix(line, "#") {
			sentences[id] = says
		}
	}
	delete(sentences, "rule") // the head
	return sentences
})

// SaysIn gives the sentence of the rule in a language.
func (r Rule) SaysIn(l language.Language) string {
	if says := germanRules()[r.ID]; l == language.German && says != "" {
		return says
	}
	return r.Says
}
