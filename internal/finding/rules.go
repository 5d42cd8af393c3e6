package finding

import (
	_ "embed"
	"strings"
	"sync"
)

// Rule is one rule of rules.md, without what its page tells further (Page).
type Rule struct {
	ID       string
	Severity Severity
	Layer    string // which part of the house raises it
	Says     string // one sentence: what the rule demands and why

	further string // the rest of its page, not yet read
}

// Layer is a chapter of rules.md: a part of the house and what its rules are about.
type Layer struct {
	Name  string
	About string // one sentence
	Rules []Rule
}

//go:embed rules.md
var rulesText string

// Layers gives the chapters of rules.md in their order. The rest of a page is read
// only when it is asked for: every run needs the severities, hardly one a page.
var Layers = sync.OnceValue(func() []Layer {
	var layers []Layer
	_, rest, more := strings.Cut(rulesText, "\n## ")
	for more {
		var chapter string
		chapter, rest, more = strings.Cut(rest, "\n## ")
		layers = append(layers, layerOf(chapter))
	}
	return layers
})

// layerOf reads a chapter that begins with its name.
func layerOf(chapter string) Layer {
	head, rest, more := strings.Cut(chapter, "\n### ")
	name, about, _ := strings.Cut(head, "\n")
	layer := Layer{Name: name, About: unwrapped(about)}
	for more {
		var rule string
		rule, rest, more = strings.Cut(rest, "\n### ")
		layer.Rules = append(layer.Rules, ruleOf(rule, name))
	}
	return layer
}

// severityMarks open the first paragraph of a page.
var severityMarks = []struct {
	mark     string
	severity Severity
}{{"**Error.** ", Error}, {"**Warning.** ", Warning}, {"**Information.** ", Info}}

// ruleOf reads a rule that begins with its identifier.
func ruleOf(text, layer string) Rule {
	id, page, _ := strings.Cut(text, "\n")
	first, further, _ := strings.Cut(strings.TrimLeft(page, "\n"), "\n\n")
	r := Rule{ID: id, Layer: layer, further: further}
	for _, m := range severityMarks {
		if says, ok := strings.CutPrefix(first, m.mark); ok {
			r.Severity, r.Says = m.severity, unwrapped(says)
		}
	}
	return r
}

// unwrapped gives a paragraph as one line.
func unwrapped(paragraph string) string {
	return strings.ReplaceAll(strings.TrimSpace(paragraph), "\n", " ")
}

// Rules gives every rule, in the order of rules.md.
var Rules = sync.OnceValue(func() []Rule {
	var rules []Rule
	for _, l := range Layers() {
		rules = append(rules, l.Rules...)
	}
	return rules
})

var byID = sync.OnceValue(func() map[string]Rule {
	rules := Rules()
	m := make(map[string]Rule, len(rules))
	for _, r := range rules {
		m[r.ID] = r
	}
	return m
})

// RuleOf finds a rule by its identifier.
func RuleOf(id string) (Rule, bool) {
	r, ok := byID()[id]
	return r, ok
}

// severityOf is Error for a rule that the table lacks: an unlisted rule is a bug
// that the tests report, and it must not let data through meanwhile.
func severityOf(rule string) Severity {
	if r, ok := RuleOf(rule); ok {
		return r.Severity
	}
	return Error
}
