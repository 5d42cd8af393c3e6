package guide

import (
	"bytes"
	"fmt"
	"strings"
)

// markdown writes a page as Markdown, for tools that make web pages of guides.
func (p *page) markdown() []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# %s\n\n%s\n", p.title, strings.Join(p.lead, "\n\n"))
	for i, f := range p.facts {
		if i == 0 {
			b.WriteString("\n")
		}
		hardBreak := "  "
		if i == len(p.facts)-1 {
			hardBreak = ""
		}
		fmt.Fprintf(&b, "%s: %s%s\n", f[0], f[1], hardBreak)
	}
	for _, s := range p.sections {
		fmt.Fprintf(&b, "\n## %s\n\n", s.title)
		for _, l := range s.links {
			fmt.Fprintf(&b, "- [%s](%s.md): %s\n", l.title, l.name, l.about)
		}
		markdownTable(&b, s.table)
	}
	if p.last != "" {
		fmt.Fprintf(&b, "\n%s\n", p.last)
	}
	return b.Bytes()
}

// markdownTable writes rows, the first of which is the head.
func markdownTable(b *bytes.Buffer, rows [][]string) {
	for i, cells := range rows {
		b.WriteString("|")
		for _, cell := range cells {
			fmt.Fprintf(b, " %s |", strings.ReplaceAll(cell, "|", `\|`))
		}
		b.WriteString("\n")
		if i == 0 {
			b.WriteString(strings.Repeat("|---", len(cells)) + "|\n")
		}
	}
}
