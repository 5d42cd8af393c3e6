package review

import (
	"saltmark/internal/sheet"
	"saltmark/internal/site"
)

// Limit is a row of the plausible values, or a limit of load, with whether the site
// has changed it.
type Limit struct {
	sheet.Range
	// Default is what holds where a site says nothing; its zero value, told by an
	// empty Of, is none.
	Default sheet.Range
}

// Changed tells whether the site set other limits than the default ones.
func (l Limit) Changed() bool {
	return l.Default.Of != "" && (l.Low != l.Default.Low || l.High != l.Default.High)
}

// limitsOf gives the limits by the measure that they are of. Limits of load have no
// default.
func limitsOf(settings *site.Settings) map[string][]Limit {
	usual := map[limitKey]sheet.Range{}
	for _, r := range sheet.DefaultRanges() {
		usual[keyOf(r)] = r
	}
	limits := map[string][]Limit{}
	for _, list := range [][]sheet.Range{settings.Ranges, settings.Load} {
		for _, r := range list {
			r.Source = visible(r.Source)
			limits[r.Of] = append(limits[r.Of], Limit{r, usual[keyOf(r)]})
		}
	}
	return limits
}

type limitKey struct {
	rule, of string
	from     int
}

func keyOf(r sheet.Range) limitKey { return limitKey{r.Rule, r.Of, r.FromDays} }
