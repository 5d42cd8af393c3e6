// Package review shows the mapping that is in force at a site: each measure with
// its words, unit, digits, codes and the condition of each, its place on the sheet
// and in the resources, the values and limits that the settings supply, and where
// each comes from. It is what a site's clinical and terminology committee judges
// before anything is charted, and what a program reads that works on the bundles.
//
// Four forms: text and Markdown for people, JSON for programs (json.go tells its
// members, which are stable), and HTML to be printed and signed (page.go, page.html).
//
// The package decides nothing: everything comes from the table of measures, from
// mapping and from the settings. The same input gives the same bytes. It shows
// settings, never a session, so no data of a patient can stand in it.
package review

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"saltmark/internal/site"
	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// Mapping is what is shown: rows of the table of measures as they are in force.
type Mapping struct {
	Version  string // of the program
	Settings *site.Settings
	Rows     []Row
	// Words are what was selected by; none is the whole table.
	Words []string
}

// Row is a measure with what the settings of the site add to it.
type Row struct {
	*measure.Measure
	Codings  []mapping.Coding
	Added    int // how many of the codings, the last ones, are the site's
	Supplies []site.Supply
	Limits   []Limit
}

// Of gives the whole mapping that is in force under settings.
func Of(settings *site.Settings, version string) Mapping {
	m := Mapping{Version: version, Settings: settings}
	limits := limitsOf(settings)
	for i := range measure.All() {
		row := &measure.All()[i]
		m.Rows = append(m.Rows, Row{
			Measure:  row,
			Codings:  codingsOf(settings, row),
			Added:    len(settings.Codings[row.Key]),
			Supplies: suppliesOf(settings, row.Key),
			Limits:   limits[row.Key],
		})
	}
	return m
}

// codingsOf gives the codings of a measure; those of the site are made visible.
func codingsOf(settings *site.Settings, row *measure.Measure) []mapping.Coding {
	list := mapping.CodingsOf(row, settings.Mapping())
	for i := range list {
		c := &list[i]
		c.System, c.Code, c.Display = visible(c.System), visible(c.Code), visible(c.Display)
	}
	return list
}

// suppliesOf gives the values that the settings supply, their sources made visible.
func suppliesOf(settings *site.Settings, key string) []site.Supply {
	list := slices.Clone(settings.Supplies[key])
	for i := range list {
		list[i].Source = visible(list[i].Source)
	}
	return list
}

// visible shows characters that cannot be seen (control characters, those that turn
// the direction of writing) as their numbers, so that no text of the settings reads as
// another.
func visible(text string) string {
	var b strings.Builder
	for _, r := range text {
		if unicode.IsPrint(r) {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, "[U+%04X]", r)
		}
	}
	return b.String()
}

// sets gives the sets of coded values that the rows use, in their order.
func (m Mapping) sets() []string {
	var names []string
	used := map[string]bool{"obtained": true, "origin": true, "method": true}
	for _, r := range m.Rows {
		used[r.Values] = true
	}
	for _, name := range measure.Sets() {
		if used[name] {
			names = append(names, name)
		}
	}
	return names
}
