package review

import (
	"strings"
	"unicode/utf8"

	"saltmark/mapping/measure"
)

// writeText writes a line for each measure of the whole table, and of a selection
// all that is known of each.
func writeText(m Mapping, p *page) {
	if len(m.Words) == 0 {
		writeList(m, p)
		return
	}
	for i, r := range m.Rows {
		if i > 0 {
			p.put("\n")
		}
		m.writeBlock(r, p)
	}
}

// writeList writes key, unit or form, and words in columns.
func writeList(m Mapping, p *page) {
	key, form := 0, 0
	for _, r := range m.Rows {
		key, form = max(key, utf8.RuneCountInString(r.Key)), max(form, utf8.RuneCountInString(r.formWords()))
	}
	for _, r := range m.Rows {
		p.put("%-*s  %-*s  %s\n", key, r.Key, form, r.formWords(), r.WordsFor("", measure.English))
	}
}

// writeBlock writes all that is known of one measure.
func (m Mapping) writeBlock(r Row, p *page) {
	p.put("%s\n", r.Key)
	line := func(name, text string) {
		if text != "" {
			p.put("  %-15s  %s\n", name, text)
		}
	}
	lines := func(name string, texts []string) {
		for i, text := range texts {
			if i > 0 {
				name = ""
			}
			p.put("  %-15s  %s\n", name, text)
		}
	}
	line("in words", r.WordsFor("", measure.English))
	line("about", r.aboutWords())
	line("form", string(r.Kind))
	line("unit", r.Unit)
	line("decimals", r.decimalsLine())
	lines("codes", m.codeLines(r))
	lines("values", r.valueLines())
	line("component of", r.In)
	line("category", strings.Join(r.Category, ", "))
	line("method", r.methodLine())
	line("at the vessel of", r.catheterLine())
	line("charted by", columnWords[r.Column])
	line("origin", r.DefaultOrigin())
	line("on the sheet", r.Sheet)
	line("needs", strings.Join(r.Inputs, ", "))
	line("setting", r.Setting)
	lines("supplied", r.supplyLines())
	lines("limits", r.limitLines())
	lines("also", r.marks())
}
