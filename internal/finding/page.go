package finding

import (
	"fmt"
	"strings"
)

// Page is what rules.md tells of a rule beside its sentence, each part one
// paragraph in which backquotes mark what is typed.
type Page struct {
	Why    string // what harm or failure the rule prevents
	Source string // the standard and clause, or 'common practice, no source'
	Mend   string // what to do about a finding
	// MendAs is the rule whose way to mend holds here too, "" where there is none.
	MendAs  string
	Example string // lines of a sheet or of settings, "" where there is none
}

// asFor opens a way to mend that is shared.
const asFor = "As for `"

// Page gives the page of the rule. The file is part of the program, and a test
// reads every page of it: what cannot be read here is left out.
func (r Rule) Page() Page {
	p, _ := readPage(r.further)
	return p
}

// readPage reads the paragraphs of a page behind the first one.
func readPage(text string) (Page, error) {
	var p Page
	text, example, more := strings.Cut(text, "\n\n```yaml\n")
	if more {
		lines, rest, closed := strings.Cut(example, "\n```")
		if !closed || strings.TrimSpace(rest) != "" {
			return p, fmt.Errorf("an example is closed and ends its page")
		}
		p.Example = lines
	}
	parts := []struct {
		mark string
		to   *string
	}{{"**Why:** ", &p.Why}, {"**Source:** ", &p.Source}, {"**Mend:** ", &p.Mend}}
	paragraphs := strings.Split(strings.TrimSpace(text), "\n\n")
	if len(paragraphs) != len(parts) {
		return p, fmt.Errorf("%d paragraphs follow the first one; %d are wanted", len(paragraphs), len(parts))
	}
	for i, part := range parts {
		words, ok := strings.CutPrefix(paragraphs[i], part.mark)
		if !ok {
			return p, fmt.Errorf("paragraph %d begins otherwise than %q", i+2, part.mark)
		}
		*part.to = unwrapped(words)
	}
	if shared, ok := strings.CutPrefix(p.Mend, asFor); ok {
		id, own, closed := strings.Cut(shared, "`.")
		if !closed {
			return p, fmt.Errorf("after %q the name of a rule and \"`.\" are wanted", asFor)
		}
		p.MendAs, p.Mend = id, strings.TrimSpace(own)
	}
	return p, nil
}
