package review

import (
	"strings"

	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// writeMarkdown writes one table, a line for each measure.
func writeMarkdown(m Mapping, p *page) {
	p.put("| measure | in words | about | unit or kind | decimals | codes | place on the sheet |\n|---|---|---|---|---|---|---|\n")
	for _, r := range m.Rows {
		cells := []string{
			r.Key, r.WordsFor("", measure.English), r.aboutWords(), r.unitCell(), string(r.Digits), m.codesCell(r), tick(r.Sheet),
		}
		for i, c := range cells {
			cells[i] = strings.ReplaceAll(c, "|", `\|`)
		}
		p.put("| %s |\n", strings.Join(cells, " | "))
	}
}

func (r Row) unitCell() string {
	if r.Kind == measure.Quantity {
		return tick(r.Unit)
	}
	return string(r.Kind)
}

// codesCell lists the codes of a row, published ones first. A code of ours that is
// the key of the row stands in the first column already.
func (m Mapping) codesCell(r Row) string {
	var all []string
	for _, c := range r.Codings {
		if c.Code == r.Key {
			continue
		}
		cell := tick(strings.ReplaceAll(c.Code, "{}", "…"))
		if name := m.systemName(c.System); name != ownSystem {
			cell = name + " " + c.Code
		}
		if c.When != mapping.Always && c.When != mapping.Otherwise {
			cell += " (" + c.When + ")"
		}
		all = append(all, cell)
	}
	return strings.Join(all, ", ")
}

func tick(s string) string {
	if s == "" {
		return ""
	}
	return "`" + s + "`"
}
