package site

import (
	"slices"

	"saltmark/internal/finding"
	"saltmark/internal/sheet"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Complete brings what the settings supply into a session that was read from a
// sheet: what monitor and tubing set are by their names, systems of identifiers,
// and the values of the column "setting" of the table of measures where the sheet
// states none; those about curves or comparators only where the session has some. Done twice it gives the same.
func (t *Settings) Complete(s *record.Session) finding.List {
	var list finding.List
	for ref, system := range map[*record.Reference]string{
		&s.Patient: t.Systems.Patient, &s.Encounter: t.Systems.Encounter, &s.Order: t.Systems.Order,
	} {
		if ref.Value != "" && ref.System == "" {
			ref.System = system
		}
	}
	for i := range s.Devices {
		list = append(list, t.device(s, &s.Devices[i])...)
	}
	for i := range measure.All() {
		if m := &measure.All()[i]; m.Setting != "" && has(s, m.Where) {
			if v, ok := t.supplied(s, m); ok {
				give(s, m, v)
			}
		}
	}
	s.Sort()
	list.Sort()
	return list
}

// presences are what a measure can ask for by its column where.
var presences = map[string]func(f record.Fact) bool{
	"curves":      func(f record.Fact) bool { return f.Value.Curve != nil },
	"comparators": func(f record.Fact) bool { return f.About.Kind == measure.Comparator },
}

// has tells whether a session has what a measure asks for.
func has(s *record.Session, where string) bool {
	return where == "" || slices.ContainsFunc(s.Facts, presences[where])
}

// give adds a value of the settings where the session has none of that measure.
func give(s *record.Session, m *measure.Measure, v record.Value) {
	if s.Get(record.TheSession, m.Key) != nil {
		return
	}
	s.Facts = append(s.Facts, record.Fact{
		Ref:   record.Ref{About: record.TheSession, Measure: m.Key, Origin: record.Setting},
		Value: v,
	})
}

// supplied gives the value that the settings have for the age and sex of the
// session's subject.
func (t *Settings) supplied(s *record.Session, m *measure.Measure) (record.Value, bool) {
	supplies := t.Supplies[m.Key]
	if len(supplies) == 1 && supplies[0].FromDays == 0 && supplies[0].Sex == "" {
		return supplies[0].Value, true
	}
	days, known := sheet.AgeInDays(s)
	if !known {
		return record.Value{}, false
	}
	sex := s.Code(record.TheSession, "sex")
	var band []Supply // those of the latest age that was reached
	for _, x := range supplies {
		switch {
		case x.FromDays > days:
		case len(band) > 0 && band[0].FromDays == x.FromDays:
			band = append(band, x)
		default:
			band = []Supply{x}
		}
	}
	return choose(band, sex)
}

// choose gives the value for a sex: the one for it, else the one for both, else
// the smallest, so that a share of it is never made too small.
func choose(band []Supply, sex string) (record.Value, bool) {
	if len(band) == 0 {
		return record.Value{}, false
	}
	for _, wanted := range []string{sex, ""} {
		for _, x := range band {
			if x.Sex == wanted {
				return x.Value, true
			}
		}
	}
	least := band[0].Value
	for _, x := range band[1:] {
		a, b := x.Value.Quantity.Rat(), least.Quantity.Rat()
		if a != nil && b != nil && a.Cmp(b) < 0 {
			least = x.Value
		}
	}
	return least, true
}
