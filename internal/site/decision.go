package site

import (
	"cmp"
	"maps"
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/sheet"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Decision is one thing that settings decide, whether their file says it or it goes
// without saying.
type Decision struct {
	// Path is where it stands in the file, in points: "agreement.tolerance".
	Path string
	// Value is what is decided, as it is written; Source is from where the site has it,
	// "" where none is asked for.
	Value, Source string
	// Place is where the file says it; the zero Place where nobody said it.
	Place finding.Place
}

// ByDefault tells that the file does not say it.
func (d Decision) ByDefault() bool { return d.Place == finding.Place{} }

// Decisions gives every decision that is in force, those by default among them and
// the approval not, always in the same order: two files that decide the same have the
// same paths, values and sources.
func (t *Settings) Decisions() []Decision {
	d := decider{t: t}
	d.say("", t.Name, "name")
	d.environment()
	d.say("", t.Language.Code(), "language")
	d.say("", t.Base, "base")
	d.systems()
	d.people()
	d.writing()
	d.say("", yesOrNo(t.VerifierMayBeOperator), "verifier-may-be-operator")
	d.devices("monitors", t.Monitors)
	d.devices("loops", t.Loops)
	d.codings()
	d.supplies()
	for _, r := range t.Load {
		d.say(r.Source, r.High+" "+r.UnitOf(), "load", "limits", r.Of)
	}
	d.ranges()
	return d.list
}

// decider gathers decisions.
type decider struct {
	t    *Settings
	list []Decision
}

// say adds a decision that stands at these names in the file.
func (d *decider) say(from, value string, names ...string) {
	d.add(Decision{Path: strings.Join(names, "."), Value: value, Source: from, Place: d.t.placeOf(names...)})
}

func (d *decider) add(decision Decision) { d.list = append(d.list, decision) }

// placeOf gives the place of what stands at these names in the file.
func (t *Settings) placeOf(names ...string) finding.Place {
	var parts []any
	for _, name := range names {
		parts = append(parts, name)
	}
	return t.placeAt(source.Pointer(parts...))
}

// placeAt gives the place of what a pointer names; the zero Place where it names
// nothing of the file.
func (t *Settings) placeAt(pointer string) finding.Place {
	if t.doc == nil || pointer == "" {
		return finding.Place{}
	}
	n := t.doc.Find(pointer)
	if n == nil {
		return finding.Place{}
	}
	return t.doc.Place(n, pointer)
}

func (d *decider) systems() {
	for _, s := range d.t.systems() {
		d.say("", *s.url, "systems", s.name)
		id, ok := d.t.Identifiers[s.name]
		if !ok {
			continue
		}
		if id.Pattern != nil {
			d.say("", id.Written, "systems", s.name, "pattern")
		}
		if id.CheckDigit != "" {
			d.say("", id.CheckDigit, "systems", s.name, "check-digit")
		}
		if id.Weights != nil {
			d.say("", weightsText(id.Weights), "systems", s.name, "weights")
		}
	}
}

func weightsText(weights []int) string {
	var all []string
	for _, w := range weights {
		all = append(all, strconv.Itoa(w))
	}
	return strings.Join(all, " ")
}

// environment stands in version 1 under another name.
func (d *decider) environment() {
	place := d.t.placeOf("environment")
	if place == (finding.Place{}) {
		place = d.t.placeOf("test-data")
	}
	d.add(Decision{Path: "environment", Value: environments[d.t.Test], Place: place})
}

func (d *decider) people() {
	for _, name := range slices.Sorted(maps.Keys(d.t.People)) {
		p := d.t.People[name]
		d.say("", strings.Join(slices.Sorted(slices.Values(p.May)), ", "), "people", name, "may")
		if p.From != "" {
			d.say("", string(p.From), "people", name, "from")
		}
		if p.Until != "" {
			d.say("", string(p.Until), "people", name, "until")
		}
	}
}

func (d *decider) writing() {
	for _, w := range d.t.writing() {
		d.say("", w.value, "write", w.name)
	}
}

func (d *decider) devices(section string, devices map[string]Device) {
	for _, name := range slices.Sorted(maps.Keys(devices)) {
		one := devices[name]
		d.say("", one.Model, section, name, "model")
		switch {
		case one.Reference.Literal != "":
			d.say("", one.Reference.Literal, section, name, "reference")
		case one.Reference.Value != "":
			d.say("", one.Reference.System+" "+one.Reference.Value, section, name, "identifier")
		case section == "monitors":
			d.say("", one.Serial, section, name, "serial")
		}
		for i := range measure.All() {
			m := &measure.All()[i]
			key, ok := strings.CutPrefix(m.Setting, section+".{}.")
			if v, there := one.Values[m.Key]; ok && there {
				d.say("", valueText(v), section, name, key)
			}
		}
	}
}

// codings adds the codings of the site, in the order in which bundles have them.
func (d *decider) codings() {
	for _, key := range slices.Sorted(maps.Keys(d.t.Codings)) {
		for i, c := range d.t.Codings[key] {
			d.add(Decision{Path: codingPath(key, c), Value: codingText(c), Place: d.t.placeAt(source.Pointer("codings", key, i))})
		}
	}
}

// supplies adds what the settings give to sessions, in the order of the table.
func (d *decider) supplies() {
	for i := range measure.All() {
		m := &measure.All()[i]
		supplies := slices.Clone(d.t.Supplies[m.Key])
		slices.SortStableFunc(supplies, func(a, b Supply) int {
			return cmp.Or(cmp.Compare(a.FromDays, b.FromDays), cmp.Compare(a.Sex, b.Sex))
		})
		for _, s := range supplies {
			path := m.Setting
			if s.FromDays != 0 || s.Sex != "" || len(supplies) > 1 {
				path += " from " + strconv.Itoa(s.FromDays) + " d"
			}
			if s.Sex != "" {
				path += ", " + s.Sex
			}
			d.add(Decision{path, valueText(s.Value), s.Source, d.t.placeAt(s.pointer)})
		}
	}
}

// ranges adds the plausible values, each as its limits from the second one below to
// the second one above.
func (d *decider) ranges() {
	for i, r := range d.t.Ranges {
		path := "plausible." + r.Rule + "." + r.Of
		if len(r.By) > 0 {
			path += "/" + strings.Join(r.By, "/")
		}
		if r.FromDays != 0 || r.ToDays != 0 {
			path += " from " + strconv.Itoa(r.FromDays) + " d"
		}
		d.add(Decision{path, rangeText(&r), r.Source, d.t.placeAt(d.t.ranged[i])})
	}
}

// rangeText says a range: the wide limits, and in brackets the second ones.
func rangeText(r *sheet.Range) string {
	return orNone(r.Low) + " to " + orNone(r.High) + " (possible: " + orNone(r.HardLow) + " to " + orNone(r.HardHigh) + ") " + r.UnitOf()
}

func orNone(limit string) string { return cmp.Or(limit, "…") }

func valueText(v record.Value) string {
	if v.Quantity.Number != "" {
		return v.Quantity.String()
	}
	return v.Code + v.Text + string(v.Time)
}

func yesOrNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}
