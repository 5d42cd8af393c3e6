package derive

import (
	"math/big"
	"slices"

	"saltmark/internal/finding"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// call is one row applied to one thing.
type call struct {
	row   *derivation
	m     *measure.Measure
	about record.Thing
	in    []*record.Fact // as row.from names them
	each  []*record.Fact // of the injections that entered, as row.each names them
}

// made is what a row gives; the zero made is nothing at all.
type made struct {
	value  record.Value
	there  bool
	from   []record.Ref // where it differs from the inputs
	at     record.Time  // where it differs from the time of the session's values
	method string
}

func quantity(q ucum.Quantity, from ...record.Ref) made {
	return made{value: record.Value{Quantity: q}, there: true, from: from}
}

func coded(code string) made { return made{value: record.Value{Code: code}, there: true} }

func absent(reason string) made {
	return made{value: record.Value{Absent: record.Absence{Reason: reason}}, there: true}
}

// make applies a row to a thing and adds the fact that it gives.
func (w *work) make(d *derivation, about record.Thing) {
	c := &call{row: d, m: measure.Get(d.makes), about: about}
	if !w.inputs(c) {
		return
	}
	if d.unless != nil {
		if reason := d.unless(w); reason != "" {
			w.leave(d.makes, reason)
			return
		}
	}
	v := absent(w.whyNot(c))
	if v.value.Absent.Reason == "" {
		v = d.by(w, c)
	}
	if !v.there || d.quiet && v.value.IsAbsent() {
		return
	}
	w.add(c, v)
}

// add puts a value among the facts. A component has no time and no sources of its
// own; what is absent was made from nothing.
func (w *work) add(c *call, v made) {
	f := record.Fact{Ref: record.Ref{About: c.about, Measure: c.m.Key, Origin: record.Derived}, Value: v.value}
	if c.m.In == "" {
		f.At = v.at
		if f.At == "" {
			f.At = w.agreed.at
		}
		if !v.value.IsAbsent() {
			f.Method = v.method
			f.From = v.from
			if f.From == nil {
				f.From = ownFacts(c.in)
			}
			slices.SortFunc(f.From, record.Ref.Compare)
		}
	}
	w.facts = append(w.facts, f)
	w.index(len(w.facts) - 1)
}

// leave remembers why a row was left out.
func (w *work) leave(key, reason string) {
	if w.left == nil {
		w.left = map[string]string{}
	}
	w.left[key] = reason
}

// inputs finds the inputs of a row; it is false where one that the row is optional
// by is not there.
func (w *work) inputs(c *call) bool {
	for _, key := range c.row.optional {
		if w.input(c.about, key) == nil {
			return false
		}
	}
	for _, key := range c.row.from {
		c.in = append(c.in, w.input(c.about, key))
	}
	if c.row.each == "" {
		return true
	}
	there := false
	for _, j := range w.counts {
		f := w.get(j.thing, c.row.each)
		there = there || f != nil
		c.each = append(c.each, f)
	}
	return there
}

// input gives a fact about a thing; of a measure that cannot be about it the one
// about the session.
func (w *work) input(about record.Thing, key string) *record.Fact {
	if m := measure.Get(key); m == nil || !m.Has(about.Kind) {
		about = record.TheSession
	}
	return w.get(about, key)
}

// whyNot gives the reason why a value cannot be charted, "" where it can. The order
// is that of the package comment.
func (w *work) whyNot(c *call) string {
	if reason := w.agreed.reason; reason != "" {
		if c.row.each != "" {
			return reason
		}
		for _, f := range c.in {
			if f != nil && f.Origin == record.Derived && f.Value.Absent.Reason == reason {
				return reason
			}
		}
	}
	if reason := w.withheldBy(c.m.Column); reason != "" {
		return reason
	}
	for i, f := range c.in {
		if reason := w.unusable(f, c.row.from[i], w.timeAt(c.about)); reason != "" {
			return reason
		}
	}
	for i, f := range c.each {
		if reason := w.unusable(f, c.row.each, w.counts[i].at); reason != "" {
			return reason
		}
	}
	return ""
}

// unusable gives the reason why an input cannot be used at a time, "" where it can.
func (w *work) unusable(f *record.Fact, key string, at record.Time) string {
	switch {
	case f == nil && w.left[key] != "":
		return w.left[key]
	case f == nil:
		return "input-missing"
	case f.Value.IsAbsent():
		return f.Value.Absent.Reason
	case w.stale(f, at):
		return "stale-input"
	}
	return ""
}

// timeAt gives the time that a value about a thing is made for: that of the
// injection, else that of the session's values.
func (w *work) timeAt(about record.Thing) record.Time {
	if about.Kind == measure.Injection {
		if f := w.get(about, "injection"); f != nil {
			return f.At
		}
	}
	return w.agreed.at
}

// ownFacts names those of the facts that have an Observation of their own.
func ownFacts(facts []*record.Fact) []record.Ref {
	var refs []record.Ref
	for _, f := range facts {
		if f != nil && measure.Get(f.Measure).In == "" {
			refs = append(refs, f.Ref)
		}
	}
	return refs
}

// exactly makes a quantity by a formula over the exact numbers of the inputs, each
// in the unit of its measure.
func exactly(formula func(in []*big.Rat) (*big.Rat, error)) by {
	return func(w *work, c *call) made {
		numbers := make([]*big.Rat, len(c.in))
		for i, f := range c.in {
			if numbers[i] = number(f, measure.Get(f.Measure).Unit); numbers[i] == nil {
				return absent("input-missing")
			}
		}
		x, err := formula(numbers)
		if err != nil {
			return w.refused(c, err)
		}
		return quantity(c.m.Chart(x, false, c.sources()...))
	}
}

// sources gives the inputs that are in the unit of what is made but for the point,
// where the digits depend on them.
func (c *call) sources() []ucum.Quantity {
	if c.m.Digits != measure.Written && c.m.Digits != measure.Finer {
		return nil
	}
	var sources []ucum.Quantity
	for _, f := range c.in {
		if q, ok := written(f, c.m.Unit); ok {
			sources = append(sources, q)
		}
	}
	return sources
}

// charted rounds what was computed with powers.
func charted(w *work, c *call, x float64) made {
	q, err := c.m.ChartFloat(x)
	if err != nil {
		return w.refused(c, err)
	}
	return quantity(q)
}

// refused tells that a formula would not take its inputs; the value is absent.
func (w *work) refused(c *call, err error) made {
	var place finding.Place
	if len(c.in) > 0 {
		place = w.placeOf(c.in[0])
	}
	w.report(finding.New("derive-refused", place, finding.Say("{1} cannot be computed: {2}", wordsOf(c.m, c.about), finding.Private(finding.Of(err))), "", "see the values that it is made from").Hide())
	return absent("input-missing")
}

// wordsOf gives the words of a measure about a thing.
func wordsOf(m *measure.Measure, about record.Thing) finding.Text { return m.TextFor(about.Key) }

// at makes a group: a fact without a value, at a time.
func at(when func(*work) record.Time) by {
	return func(w *work, _ *call) made { return made{there: true, at: when(w)} }
}

func (w *work) start() record.Time { return w.session.Start }
func (w *work) time() record.Time  { return w.agreed.at }
