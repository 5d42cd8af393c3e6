package report

import (
	"fmt"
	"io"
	"strings"

	"saltmark/internal/finding"
)

// PageFormat is a way to write pages of rules. The zero value is none.
type PageFormat string

// The formats of pages.
const (
	PageText     PageFormat = "text"
	PageJSON     PageFormat = "json"
	PageMarkdown PageFormat = "markdown"
)

// PageFormats gives the names of the formats, as a command would list them.
func PageFormats() []string {
	return []string{string(PageText), string(PageJSON), string(PageMarkdown)}
}

// Pages writes the pages of rules one below the other, text wrapped at width.
func Pages(w io.Writer, format PageFormat, rules []finding.Rule, width int) error {
	var b strings.Builder
	switch format {
	case PageText:
		for i, r := range rules {
			if i > 0 {
				b.WriteString("\n\n")
			}
			pageText(&b, r, width)
		}
	case PageMarkdown:
		for i, r := range rules {
			if i > 0 {
				b.WriteByte('\n')
			}
			pageMarkdown(&b, r)
		}
	case PageJSON:
		if err := pagesJSON(&b, rules); err != nil {
			return fmt.Errorf("write the pages: %w", err)
		}
	default:
		return fmt.Errorf("report: no format of pages %q", string(format))
	}
	return sent(w, b.String())
}

// Rules writes all layers with their rules: in text one line for each rule, so that
// a search for a word finds it; in the other formats the whole pages.
func Rules(w io.Writer, format PageFormat, layers []finding.Layer) error {
	var b strings.Builder
	switch format {
	case PageText:
		width := 0
		for _, r := range finding.Rules() {
			width = max(width, len(r.ID))
		}
		for i, l := range layers {
			if i > 0 {
				b.WriteByte('\n')
			}
			fmt.Fprintf(&b, "%s: %s\n", l.Name, l.About)
			for _, r := range l.Rules {
				fmt.Fprintf(&b, "  %-*s  %-11s  %s\n", width, r.ID, r.Severity, r.Says)
			}
		}
	case PageMarkdown:
		b.WriteString("# The rules\n")
		for _, l := range layers {
			fmt.Fprintf(&b, "\n## %s\n\n%s\n", l.Name, l.About)
			for _, r := range l.Rules {
				b.WriteByte('\n')
				pageMarkdown(&b, r)
			}
		}
	default:
		return Pages(w, format, finding.Rules(), 0)
	}
	return sent(w, b.String())
}

func sent(w io.Writer, text string) error {
	if _, err := io.WriteString(w, text); err != nil {
		return fmt.Errorf("write the pages: %w", err)
	}
	return nil
}

// mendOf gives the whole way to mend: what is shared with another rule, then the
// rule's own words.
func mendOf(p finding.Page) string {
	shared, ok := finding.RuleOf(p.MendAs)
	if !ok {
		return p.Mend
	}
	return strings.TrimSpace(shared.Page().Mend + " " + p.Mend)
}

func pageText(b *strings.Builder, r finding.Rule, width int) {
	p := r.Page()
	fmt.Fprintf(b, "%s (%s, layer %s)\n\n", r.ID, r.Severity, r.Layer)
	paragraph(b, "", r.Says, width)
	for _, part := range []struct{ name, words string }{
		{"Why", p.Why}, {"Source", p.Source}, {"Mend", mendOf(p)},
	} {
		if part.words != "" {
			b.WriteByte('\n')
			paragraph(b, part.name, part.words, width)
		}
	}
	if p.Example != "" {
		b.WriteString("\nExample\n\n")
		for line := range strings.Lines(p.Example + "\n") {
			b.WriteString(strings.TrimRight("    "+line, " \n") + "\n")
		}
	}
}

// hang is how far the words of a part stand behind its name.
const hang = len("Source  ")

// paragraph writes words wrapped at width; behind a name they hang.
func paragraph(b *strings.Builder, name, words string, width int) {
	indent := 0
	if name != "" {
		indent = hang
		fmt.Fprintf(b, "%-*s", hang, name)
	}
	column := indent
	for i, word := range strings.Fields(words) {
		long := len([]rune(word))
		switch {
		case i == 0:
		case column+1+long > width:
			b.WriteString("\n" + strings.Repeat(" ", indent))
			column = indent
		default:
			b.WriteByte(' ')
			column++
		}
		b.WriteString(word)
		column += long
	}
	b.WriteByte('\n')
}

func pageMarkdown(b *strings.Builder, r finding.Rule) {
	p := r.Page()
	fmt.Fprintf(b, "### %s\n\n**%s.** %s\n", r.ID, capital(r.Severity.String()), r.Says)
	for _, part := range [][2]string{{"Why", p.Why}, {"Source", p.Source}, {"Mend", mendOf(p)}} {
		if part[1] != "" {
			fmt.Fprintf(b, "\n**%s:** %s\n", part[0], part[1])
		}
	}
	if p.Example != "" {
		fmt.Fprintf(b, "\n```yaml\n%s\n```\n", p.Example)
	}
}

func capital(word string) string { return strings.ToUpper(word[:1]) + word[1:] }

// page is a rule and its page in JSON. The names are our own and stay.
type page struct {
	Rule     string `json:"rule"`
	Severity string `json:"severity"`
	Layer    string `json:"layer"`
	Says     string `json:"says"`
	Why      string `json:"why"`
	Source   string `json:"source"`
	Mend     string `json:"mend"`
	MendAs   string `json:"mendAs,omitempty"` // the rule whose way to mend is part of mend
	Example  string `json:"example,omitempty"`
}

func pagesJSON(b *strings.Builder, rules []finding.Rule) error {
	lines := make([]string, 0, len(rules))
	for _, r := range rules {
		p := r.Page()
		text, err := encoded(page{r.ID, r.Severity.String(), r.Layer, r.Says, p.Why, p.Source, mendOf(p), p.MendAs, p.Example})
		if err != nil {
			return err
		}
		lines = append(lines, string(text))
	}
	b.WriteString("[\n" + strings.Join(lines, ",\n") + "\n]\n")
	return nil
}
