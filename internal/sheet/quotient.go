package sheet

import (
	"math/big"
	"slices"

	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// valuesOf gives what a range speaks of: one value, or one for each thing that
// has one of its measures. Values of excluded injections are not held against
// what is plausible: that is why they are excluded.
func (j *judge) valuesOf(r *Range) []measured {
	if len(j.facts()[r.Of]) == 0 {
		return nil
	}
	things := j.thingsWith(append([]string{r.Of}, r.By...))
	var values []measured
	for _, t := range things {
		of := j.valueOf(t, r.Of)
		if of == nil || t.Kind == measure.Injection && j.excluded(t) {
			continue
		}
		x, shown := of.Value.Quantity.Rat(), of.Value.Quantity.String()
		q, ok := of.Value.Quantity, x != nil
		for i, by := range r.By {
			divisor := j.valueOf(t, by)
			if divisor == nil {
				ok = false
				break
			}
			q, ok = divide(q, divisor.Value.Quantity, r.UnitOf(), i == len(r.By)-1)
			if !ok {
				break
			}
		}
		if !ok {
			continue
		}
		if len(r.By) > 0 {
			x, _ = new(big.Rat).SetString(q.Number)
			shown = shortly(x) + " " + r.UnitOf()
		}
		values = append(values, measured{of, x, shown})
	}
	return farthest(values)
}

// farthest keeps of the values of one fact, which may be held against several
// others, the smallest and the largest: to confirm these is to confirm all.
func farthest(values []measured) []measured {
	var kept []measured
	for _, v := range values {
		of := func(m measured) bool { return m.fact.Ref == v.fact.Ref }
		smaller := func(m measured) bool { return of(m) && m.value.Cmp(v.value) < 0 }
		larger := func(m measured) bool { return of(m) && m.value.Cmp(v.value) > 0 }
		again := func(m measured) bool { return of(m) && m.value.Cmp(v.value) == 0 }
		if slices.ContainsFunc(values, smaller) && slices.ContainsFunc(values, larger) || slices.ContainsFunc(kept, again) {
			continue
		}
		kept = append(kept, v)
	}
	return kept
}

// divide gives the exact quotient, as a fraction in its Number: of the units as
// they are until the last, then of the unit of the range.
func divide(a, b record.Quantity, unit string, last bool) (record.Quantity, bool) {
	if !last {
		unit = a.Unit + "/(" + b.Unit + ")"
	}
	x, ok := new(big.Rat).SetString(a.Number)
	y := b.Rat()
	if !ok || y == nil || y.Sign() == 0 {
		return record.Quantity{}, false
	}
	factor, err := ucum.Quo(record.Quantity{Number: "1", Unit: a.Unit}, record.Quantity{Number: "1", Unit: b.Unit}, unit)
	if err != nil {
		return record.Quantity{}, false
	}
	x.Mul(x.Quo(x, y), factor)
	return record.Quantity{Number: x.RatString(), Unit: unit}, true
}

// shortly gives a number with three digits that tell, as a confirmation quotes it.
func shortly(x *big.Rat) string {
	size := new(big.Rat).Abs(x)
	decimals := 0
	for limit := big.NewRat(100, 1); decimals < 6 && size.Cmp(limit) < 0; decimals++ {
		limit.Quo(limit, big.NewRat(10, 1))
	}
	return ucum.Round(x, decimals)
}

// thingsWith gives the things, other than the session, that have one of the
// measures; the session where there is none.
func (j *judge) thingsWith(keys []string) []record.Thing {
	var things []record.Thing
	for _, key := range keys {
		for _, f := range j.facts()[key] {
			if f.About.Kind != measure.Session && !slices.Contains(things, f.About) {
				things = append(things, f.About)
			}
		}
	}
	if things == nil {
		return []record.Thing{record.TheSession}
	}
	return things
}

// valueOf gives the quantity of a measure about a thing or, where it has none,
// about the session.
func (j *judge) valueOf(t record.Thing, key string) *record.Fact {
	for _, about := range []record.Thing{t, record.TheSession} {
		for _, f := range j.facts()[key] {
			if f.About == about {
				if f.Value.Quantity.Number == "" {
					return nil
				}
				return f
			}
		}
	}
	return nil
}

// facts gives the facts of the session by measure.
func (j *judge) facts() map[string][]*record.Fact {
	if j.byMeasure == nil {
		j.byMeasure = map[string][]*record.Fact{}
		for i := range j.s.Facts {
			f := &j.s.Facts[i]
			j.byMeasure[f.Measure] = append(j.byMeasure[f.Measure], f)
		}
	}
	return j.byMeasure
}
