package review

import (
	"strings"

	"saltmark/internal/site"
)

// decided is one thing that the settings decide, and what the demo settings have in its
// place.
type decided struct {
	Path, Value, Source string
	Demo                string // what the demo has; "" where it decides nothing there
	Mark                string // "changed", "added" or "left out"; "" where both have the same
}

// Range tells whether it is a limit of plausible values, which its measure shows.
func (d decided) Range() bool {
	return strings.HasPrefix(d.Path, "plausible.")
}

// decidedBy compares what settings decide with the demo settings, from which a site
// begins; what the site left out comes last.
func decidedBy(settings *site.Settings) []decided {
	demo := map[string]decided{}
	order := linesOf(site.Demo())
	for _, d := range order {
		demo[d.Path] = d
	}
	var all []decided
	seen := map[string]bool{}
	for _, d := range linesOf(settings) {
		seen[d.Path] = true
		usual, known := demo[d.Path]
		switch {
		case !known:
			d.Mark = "added"
		case usual.Value != d.Value || usual.Source != d.Source:
			d.Mark, d.Demo = "changed", usual.Value
			if usual.Value == d.Value {
				d.Demo = "the same, from another source: " + usual.Source
			}
		}
		all = append(all, d)
	}
	for _, d := range order {
		if !seen[d.Path] {
			all = append(all, decided{Path: d.Path, Demo: d.Value, Mark: "left out"})
		}
	}
	return all
}

// linesOf gives the decisions of settings, fit to be shown.
func linesOf(settings *site.Settings) []decided {
	var all []decided
	for _, d := range settings.Decisions() {
		all = append(all, decided{Path: visible(d.Path), Value: visible(d.Value), Source: visible(d.Source)})
	}
	return all
}
