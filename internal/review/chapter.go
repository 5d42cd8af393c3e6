package review

import (
	"slices"

	"saltmark/mapping/measure"
)

// chapters order the rows for a committee: first what can mislead, the flows and what
// follows from them; a row stands in the first chapter that it fits.
var chapters = []struct {
	title string
	fits  func(Row) bool
}{
	{"What the monitor reports", func(r Row) bool { return r.Origin == "reported" }},
	{"Derived for the session", func(r Row) bool { return r.Origin == "derived" && r.Kind != measure.Group && r.about(measure.Session) }},
	{"One injection", func(r Row) bool { return r.about(measure.Injection) && r.Kind != measure.Group }},
	{"What is known of shunts", func(r Row) bool {
		return r.about(measure.Level) || r.about(measure.Event) || r.In == "shunt-context"
	}},
	{"Other methods of measuring flow", func(r Row) bool {
		return (r.about(measure.Comparator) || r.about(measure.Reading)) && r.Kind != measure.Group
	}},
	{"Blood values", func(r Row) bool { return r.about(measure.Sample) && r.Kind != measure.Group }},
	{"From the settings of the site", func(r Row) bool { return r.DefaultOrigin() == "setting" }},
	{"Patient, loop, fluids and support, as the sheet states them", func(r Row) bool {
		return r.Kind != measure.Group && (r.about(measure.Session) || r.about(measure.Catheter) || r.about(measure.Drug))
	}},
	{"Earlier sessions and confirmations", func(r Row) bool { return r.Kind != measure.Group }},
	{"Groups that hold others", func(Row) bool { return true }},
}

func (r Row) about(kind measure.About) bool { return slices.Contains(r.About, kind) }

// chapter is rows under one title.
type chapter struct {
	Number int
	Title  string
	Rows   []Row
}

// inChapters gives the rows by chapter, without the chapters that have none.
func inChapters(rows []Row) []chapter {
	by := make([][]Row, len(chapters))
	for _, r := range rows {
		for i := range chapters {
			if chapters[i].fits(r) {
				by[i] = append(by[i], r)
				break
			}
		}
	}
	var all []chapter
	for i, rows := range by {
		if len(rows) > 0 {
			all = append(all, chapter{len(all) + 1, chapters[i].title, rows})
		}
	}
	return all
}
