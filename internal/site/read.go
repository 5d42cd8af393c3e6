package site

import (
	"math/big"
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/sheet"
	"saltmark/internal/source"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// optional are the measures that a site may leave out although no sheet states
// them; together says which comes with which.
//
// What is decided on curves came after the first version, and what a site does not
// decide is not done: nothing agrees with a recomputed flow, nothing recomputed is
// charted, and a stated uncertainty is that of the computation alone. So did national
// profiles; without a decision no value claims one.
var optional = []string{
	"pooled-variation", "pooled-variation-freedom",
	"recomputed-flow-tolerance", "recomputed-charted", "recomputed-settles-label",
	"indicator-volume-uncertainty", "loop-flow-uncertainty", "tubing-uncertainty", "sensor-uncertainty",
	"national-profiles",
}

// defaults are the values of settings that came after the first version: a file that
// was written before means these.
var defaults = map[string]string{
	"young-age-limit": "28 d", "young-postmenstrual-limit": "44 wk", "young-unknown-limit": "120 d", "comparator-tolerance": "10 %",
}

func byDefault(value string) []Supply {
	q, err := ucum.ParseQuantity(value)
	if err != nil {
		panic("a default of the settings is no quantity: " + value)
	}
	return []Supply{{Value: record.Value{Quantity: q}, Source: "common practice, no source"}}
}

var together = [][2]string{{"pooled-variation", "pooled-variation-freedom"}}

// neededLimits are the limits of load that have no default.
var neededLimits = []string{"time-on-loop"}

type reader struct {
	doc  *source.Document
	t    *Settings
	list finding.List
}

func (r *reader) add(rule string, n *source.Node, pointer string, found finding.Text, value string, allowed finding.Text) {
	r.list = append(r.list, finding.New(rule, r.doc.Place(n, pointer), found, value, allowed))
}

// read fills the settings from a document of the right shape.
func (r *reader) read() {
	root, t := r.doc.Root, r.t
	t.Name = root.Get("name").Text
	t.Test = yes(root.Get("test-data")) // version 1
	if n := root.Get("environment"); n != nil {
		t.Test = n.Text == environments[true]
	}
	r.approval()
	t.Base = orElse(root.Get("base"), measure.DefaultBase)
	t.VerifierMayBeOperator = yes(root.Get("verifier-may-be-operator"))
	r.write()
	t.Language = measure.Language(orElse(root.Get("language"), measure.English.Code()))
	r.readSystems()
	r.examples()
	r.people()
	t.SNOMED = yes(root.Get("write").Get("snomed"))
	r.codings()
	r.devices("monitors", t.Monitors)
	r.devices("loops", t.Loops)
	r.supplies()
	r.load()
	r.plausible()
}

func yes(n *source.Node) bool { return n != nil && n.Text == "yes" }

func orElse(n *source.Node, otherwise string) string {
	if n == nil {
		return otherwise
	}
	return n.Text
}

func (r *reader) value(m *measure.Measure, n *source.Node, pointer string) (record.Value, bool) {
	v, ok, faults := sheet.ReadValue(r.doc, n, pointer, m)
	r.list = append(r.list, faults...)
	return v, ok
}

// supplies reads what the settings give to sessions, row by row of the table.
func (r *reader) supplies() {
	for i := range measure.All() {
		m := &measure.All()[i]
		if m.Setting == "" || strings.Contains(m.Setting, "{}") {
			continue
		}
		section, name, _ := strings.Cut(m.Setting, ".")
		pointer := source.Pointer(section, name)
		n := r.doc.Find(pointer)
		switch {
		case n != nil:
			r.t.Supplies[m.Key] = r.supply(m, n, pointer)
		case defaults[m.Key] != "":
			r.t.Supplies[m.Key] = byDefault(defaults[m.Key])
		case m.Sheet == "" && !slices.Contains(optional, m.Key):
			r.add("setting-missing", nil, "", "the settings have no {}", m.Setting, finding.Say("it has no default: {1}", m.TextFor("")))
		}
	}
	for _, pair := range together {
		if (r.t.Supplies[pair[0]] == nil) != (r.t.Supplies[pair[1]] == nil) {
			r.add("setting-missing", nil, "", finding.Say("the settings have only one of {1} and {2}", finding.Data(measure.Get(pair[0]).Setting), finding.Data(measure.Get(pair[1]).Setting)), "", "both or none are wanted")
		}
	}
}

// supply reads one value with its source, or values by age and sex.
func (r *reader) supply(m *measure.Measure, n *source.Node, pointer string) []Supply {
	if n.Kind != source.Array {
		return r.one(m, n, pointer, nil)
	}
	var list []Supply
	for i, item := range n.Items {
		list = r.one(m, item, pointer+source.Pointer(i), list)
	}
	return list
}

func (r *reader) one(m *measure.Measure, n *source.Node, pointer string, list []Supply) []Supply {
	s := Supply{Source: n.Get("source").Text, Sex: orElse(n.Get("sex"), ""), pointer: pointer}
	v, ok := r.value(m, n.Get("value"), pointer+"/value")
	if from := n.Get("from"); from != nil {
		s.FromDays = r.ageOf(from, pointer+"/from")
		if len(list) > 0 && list[len(list)-1].FromDays > s.FromDays {
			r.add("setting-order", from, pointer+"/from", finding.Say("{1} is {}", finding.Data(dotted(pointer)+".from")), from.Text, "ages are wanted in rising order")
		}
	}
	if !ok {
		return list
	}
	s.Value = v
	return append(list, s)
}

// ageOf reads an age, in whole days.
func (r *reader) ageOf(n *source.Node, pointer string) int {
	v, ok := r.value(measure.Get("age"), n, pointer)
	if !ok {
		return 0
	}
	x := v.Quantity.Rat()
	if x == nil || !x.IsInt() || !x.Num().IsInt64() {
		r.add("setting-order", n, pointer, finding.Say("{1} is {}", finding.Data(dotted(pointer))), n.Text, "whole days are wanted")
		return 0
	}
	return int(x.Num().Int64())
}

// load reads the limits of what a measurement may cost.
func (r *reader) load() {
	limits := r.doc.Root.Get("load").Get("limits")
	for _, m := range loadMeasures() {
		n := limits.Get(m.Key)
		pointer := source.Pointer("load", "limits", m.Key)
		switch {
		case n != nil:
			limit := *m
			limit.Signed = false // a sum may be below zero, its limit may not
			if v, ok := r.value(&limit, n.Get("value"), pointer+"/value"); ok {
				r.t.Load = append(r.t.Load, sheet.Range{Rule: "load-limit", Of: m.Key, High: v.Quantity.Number, Source: n.Get("source").Text})
			}
		case slices.Contains(neededLimits, m.Key):
			r.add("setting-missing", nil, "", "the settings have no {}", "load.limits."+m.Key, finding.Say("it has no default: {1}", m.TextFor("")))
		}
	}
}

// plausible reads the wide limits that a site sets for itself. The limits beyond
// which nobody can confirm a value are the same everywhere.
func (r *reader) plausible() {
	list := r.doc.Root.Get("plausible")
	if list == nil {
		return
	}
	for i, n := range list.Items {
		pointer := source.Pointer("plausible", i)
		from := 0
		if f := n.Get("from"); f != nil {
			from = r.ageOf(f, pointer+"/from")
		}
		at := slices.IndexFunc(r.t.Ranges, func(x sheet.Range) bool {
			return x.Rule == n.Get("rule").Text && x.Of == n.Get("of").Text && x.FromDays == from
		})
		if at < 0 {
			r.add("setting-range", n, pointer, finding.Say("{1} names no row of the plausible values", finding.Data(dotted(pointer))), "", finding.Say("rule, of and from of a row are wanted: {1}", finding.Data(rowsOf(r.t.Ranges, n.Get("rule").Text))))
			continue
		}
		row := &r.t.Ranges[at]
		row.Source = n.Get("source").Text
		r.t.ranged[at] = pointer
		r.bound(n.Get("low"), pointer+"/low", row, &row.Low)
		r.bound(n.Get("high"), pointer+"/high", row, &row.High)
	}
}

func rowsOf(ranges []sheet.Range, rule string) string {
	var of []string
	for _, r := range ranges {
		if r.Rule == rule && !slices.Contains(of, r.Of) {
			of = append(of, r.Of)
		}
	}
	return strings.Join(of, ", ")
}

// bound reads a wide limit, which must lie within the second ones.
func (r *reader) bound(n *source.Node, pointer string, row *sheet.Range, at *string) {
	if n == nil {
		return
	}
	q, err := ucum.ParseQuantity(n.Text)
	same := false
	if err == nil {
		q, same, err = q.In(row.UnitOf())
	}
	if err != nil || !same {
		r.add("setting-range", n, pointer, finding.Say("{1} is {}", finding.Data(dotted(pointer))), n.Text, finding.Say("a quantity in {1} is wanted", finding.Data(row.UnitOf())))
		return
	}
	for _, hard := range []struct {
		limit string
		sign  int
	}{{row.HardLow, -1}, {row.HardHigh, 1}} {
		if limit, ok := new(big.Rat).SetString(hard.limit); ok && q.Rat().Cmp(limit)*hard.sign >= 0 {
			r.add("setting-range", n, pointer, finding.Say("{1} is {}", finding.Data(dotted(pointer))), n.Text, finding.Say("it must not reach the limit of what is possible, {1} {2}", finding.Data(hard.limit), finding.Data(row.UnitOf())))
			return
		}
	}
	*at = q.Number
}

// dotted says a pointer as a person would.
func dotted(pointer string) string {
	return strings.ReplaceAll(strings.TrimPrefix(pointer, "/"), "/", ".")
}
