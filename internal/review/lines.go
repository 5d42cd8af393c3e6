package review

import (
	"strings"

	"saltmark/mapping/measure"
)

func (r Row) decimalsLine() string {
	if r.Kind != measure.Quantity {
		return ""
	}
	return digitsWords(r.Digits)
}

func (r Row) methodLine() string {
	switch {
	case r.Method != "":
		return measure.WordsOf("method", r.Method, measure.English)
	case r.MethodFrom != "":
		return "as " + r.MethodFrom + " says"
	}
	return ""
}

func (r Row) catheterLine() string {
	if r.Catheter == "" {
		return ""
	}
	return "the " + r.Catheter + " catheter"
}

// codeLines give each code with its system, its display and its condition.
func (m Mapping) codeLines(r Row) []string {
	var all []string
	for i, c := range r.Codings {
		line := m.systemName(c.System) + " " + strings.ReplaceAll(c.Code, "{}", "…")
		if c.Display != "" {
			line += ` "` + c.Display + `"`
		}
		if when := whenWords(c.When); when != "" {
			line += " (" + when + ")"
		}
		if i >= len(r.Codings)-r.Added {
			line += ", added by the site"
		}
		all = append(all, line)
	}
	return all
}

// setName gives the name of the set of coded values, "" where the row has none of its
// own.
func (r Row) setName() string {
	if measure.Set(r.Values) == nil {
		return ""
	}
	return r.Values
}

func (r Row) valueLines() []string {
	var all []string
	for _, c := range measure.Set(r.Values) {
		all = append(all, c.Code+": "+c.Words.In(measure.English))
	}
	return all
}

func (r Row) supplyLines() []string {
	var all []string
	for _, s := range r.Supplies {
		all = append(all, supplyWords(r.Measure, s)+"; "+s.Source)
	}
	return all
}

func (r Row) limitLines() []string {
	var all []string
	for _, l := range r.Limits {
		of, usual, hard := limitWords(l)
		line := of + ": " + usual + ", " + limitKind(l)
		if hard != "" {
			line += "; possible " + hard
		}
		all = append(all, line+"; "+l.Source)
	}
	return all
}
