package finding

import (
	_ "embed"
	"strings"
	"sync"
)

// Rule is one line of rules.tsv.
type Rule struct {
	ID       string
	Severity Severity
	Layer    string // which part of the house raises it
	Says     string // one sentence: what the rule demands and why
}

//go:embed rules.tsv
var rulesText string

// Rules gives every rule, in the order of rules.tsv.
var Rules = sync.OnceValue(func() []Rule {
	words := map[string]Severity{Info.String(): Info, Warning.String(): Warning, Error.String(): Error}
	var rules []Rule
	for line := range strings.Lines(rulesText) {
		if cells := strings.Split(strings.TrimSpace(line), "\t"); len(cells) == 4 && cells[0] != "rule" {
			rules = append(rules, Rule{cells[0], words[cells[1]], cells[2], cells[3]})
		}
	}
	return rules
})

var severities = sync.OnceValue(func() map[string]Severity {
	m := map[string]Severity{}
	for _, r := range Rules() {
		m[r.ID] = r.Severity
	}
	return m
})

// severityOf is Error for a rule that the table lacks: an unlisted rule is a bug
// that the tests report, and it must not let data through meanwhile.
func severityOf(rule string) Severity {
	if s, ok := severities()[rule]; ok {
		return s
	}
	return Error
}
