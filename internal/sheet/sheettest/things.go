package sheettest

import (
	"math/big"
	"slices"
	"strconv"
	"strings"
	"time"

	"pgregory.net/rapid"

	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// injections draws up to four, some excluded, close in time and in flow.
func (g *draw) injections() {
	number := 0
	for range 1 + g.upTo(3, "injections") {
		number += 1 + g.upTo(1, "skipped numbers")
		g.last = g.last.Add(time.Duration(rapid.IntRange(2, 8).Draw(g.t, "minutes")) * time.Minute)
		g.injection(record.Thing{Kind: measure.Injection, Key: strconv.Itoa(number)}, record.At(g.last))
	}
}

func (g *draw) injection(thing record.Thing, at record.Time) {
	g.add(thing, "injection", record.Value{}).At = at
	for i := range measure.All() {
		m := &measure.All()[i]
		if !m.Has(measure.Injection) || m.Sheet == "" {
			continue
		}
		switch {
		case m.Key == "indicator-volume", m.Key == "blood-flow", g.yes(m.Key):
		default:
			continue
		}
		v := g.valueAt(m, at)
		if m.Key == "exclusion-cause" && g.yes("kept") || m.Key == "treatment-changed" && v.Code == "yes" {
			continue
		}
		f := g.add(thing, m.Key, v)
		if m.In == "" {
			f.At = at
		}
	}
	g.orderPressures(thing)
}

// orderPressures gives the three arterial pressures of an injection their order.
func (g *draw) orderPressures(thing record.Thing) {
	var facts []*record.Fact
	var values []record.Quantity
	for _, key := range []string{"arterial-pressure-diastolic", "arterial-pressure-mean", "arterial-pressure-systolic"} {
		if f := g.s.Get(thing, key); f != nil {
			facts, values = append(facts, f), append(values, f.Value.Quantity)
		}
	}
	slices.SortFunc(values, func(a, b record.Quantity) int { return a.Rat().Cmp(b.Rat()) })
	for i, f := range facts {
		f.Value.Quantity = values[i]
	}
}

// lists draws the other things that have a number.
func (g *draw) lists() {
	for _, l := range []struct {
		about   measure.About
		minutes [2]int
		must    []string
	}{
		{measure.Event, [2]int{-3000, -1}, []string{"event"}},
		{measure.Sample, [2]int{-300, 0}, nil},
		{measure.Earlier, [2]int{-1400, -60}, []string{"earlier-fluid"}},
		{measure.Confirmation, [2]int{0, 0}, []string{"confirmed-rule", "confirmed-about", "confirmed-why", "confirmed-by"}},
		{measure.Drug, [2]int{0, 0}, []string{"vasoactive-drug"}},
	} {
		for i := range g.upTo(2, string(l.about)) {
			thing := record.Thing{Kind: l.about, Key: strconv.Itoa(i + 1)}
			at := g.at(rapid.IntRange(l.minutes[0], l.minutes[1]).Draw(g.t, "at"))
			if l.about == measure.Confirmation {
				at = record.At(g.last.Add(15 * time.Minute))
			}
			g.thing(thing, at, l.must)
		}
	}
	g.comparators()
}

// thing draws the facts of one thing.
func (g *draw) thing(thing record.Thing, at record.Time, must []string) {
	for i := range measure.All() {
		m := &measure.All()[i]
		switch {
		case !m.Has(thing.Kind):
		case m.Kind == measure.Group:
			g.add(thing, m.Key, record.Value{}).At = at
		case m.Sheet != "" && (slices.Contains(must, m.Key) || g.yes(m.Key)):
			f := g.add(thing, m.Key, g.valueAt(m, at))
			if m.In == "" {
				f.At = at
			}
			if m.Obtained {
				f.Obtained = g.obtained()
			}
		}
	}
}

func (g *draw) comparators() {
	for i := range g.upTo(2, "comparators") {
		key := strconv.Itoa(i + 1)
		thing := record.Thing{Kind: measure.Comparator, Key: key}
		first := rapid.IntRange(-120, 0).Draw(g.t, "first reading")
		g.thing(thing, g.at(first), []string{"comparator-method"})
		for n := range 1 + g.upTo(2, "readings") {
			reading := record.Thing{Kind: measure.Reading, Key: key + "." + strconv.Itoa(n+1)}
			g.thing(reading, g.at(first+n), []string{"comparator-flow"})
			g.maybeComputed(thing, reading)
		}
	}
}

// maybeComputed takes the flow of a reading away where it follows from its inputs.
func (g *draw) maybeComputed(comparator, reading record.Thing) {
	if g.s.Code(comparator, "comparator-method") != "echo" || !g.yes("computed") {
		return
	}
	for _, key := range []string{"comparator-diameter", "comparator-velocity-integral", "comparator-heart-rate"} {
		if !g.has(reading, key) {
			return
		}
	}
	g.s.Get(reading, "comparator-flow").Value = record.Value{Absent: record.Absence{Reason: "not-reported"}}
}

// rest draws what is said of the session as a whole and not drawn yet.
func (g *draw) rest() {
	answered := g.yes("sign answered")
	for i := range measure.All() {
		m := &measure.All()[i]
		if !m.Has(measure.Session) || m.Sheet == "" || strings.Contains(m.Sheet, "[]") || g.has(record.TheSession, m.Key) ||
			strings.HasPrefix(m.Sheet, "monitor.") && !g.monitored {
			continue
		}
		switch m.Key {
		case "time-zone", "revision-reason", "birth-date", "age", "length", "gestational-age", "anatomy-text":
			continue // drawn together with what they hang on
		case "sign-answer", "sign-answer-by", "sign-answer-at":
			if answered {
				g.add(record.TheSession, m.Key, g.valueAt(m, record.At(g.last.Add(12*time.Minute))))
			}
			continue
		}
		if g.yes(m.Key) {
			g.add(record.TheSession, m.Key, g.valueAt(m, g.at(-rapid.IntRange(1, 600).Draw(g.t, "before"))))
		}
	}
	if g.s.Code(record.TheSession, "anatomy") == "other-anatomy" {
		g.add(record.TheSession, "anatomy-text", record.Value{Text: g.words("anatomy")})
	}
}

// told are the texts that mean something.
var told = map[string]string{
	"sign-answer-by": "demo-person-9", "confirmed-by": "demo-person-9", "confirmed-rule": "replicates-tied",
}

// valueAt draws a value of a measure; times are the one that is given.
func (g *draw) valueAt(m *measure.Measure, at record.Time) record.Value {
	switch {
	case m.Kind == measure.Time:
		return record.Value{Time: at}
	case m.Kind == measure.Date:
		return record.Value{Time: at[:len(time.DateOnly)]}
	case told[m.Key] != "":
		return record.Value{Text: told[m.Key]}
	}
	return g.value(m)
}

func (g *draw) value(m *measure.Measure) record.Value {
	switch m.Kind {
	case measure.Code:
		return record.Value{Code: rapid.SampledFrom(measure.SetNames(m.Values)).Draw(g.t, m.Key)}
	case measure.Text:
		return record.Value{Text: g.words(m.Key)}
	}
	q := g.quantity(m)
	if record.Origin(m.DefaultOrigin()) != record.Reported {
		return record.Value{Quantity: q}
	}
	switch g.upTo(11, "shown") {
	case 0:
		return record.Value{Absent: record.Absence{Reason: "not-shown"}}
	case 1:
		return record.Value{Absent: record.Absence{Reason: "below-range", Bound: q}}
	case 2:
		return record.Value{Absent: record.Absence{Reason: "above-range", Bound: q}}
	}
	return record.Value{Quantity: q}
}

// quantity draws a plausible size in the unit of the measure.
func (g *draw) quantity(m *measure.Measure) record.Quantity {
	decimals := g.upTo(3, "decimals")
	switch m.Key {
	case "blood-flow", "comparator-flow":
		perKg := record.Quantity{Number: strconv.Itoa(g.perKg + g.upTo(g.perKg/4, "scatter")), Unit: "mL/min/kg"}
		return g.perWeight(perKg, m, 3)
	case "heart-rate": // that goes with any of these flows
		return record.Quantity{Number: strconv.Itoa(90 + g.upTo(120, "beats")), Unit: m.Unit}
	case "loop-flow":
		return g.perWeight(record.Quantity{Number: strconv.Itoa(1 + g.perKg/25), Unit: "mL/min/kg"}, m, 1)
	}
	low, high := big.NewRat(1, 1), big.NewRat(50, 1)
	r, ok := g.ranges[m.Key]
	if !ok {
		return record.Quantity{Number: g.between(low, high, decimals), Unit: m.Unit}
	}
	low.SetInt64(0)
	high.SetString(r.High)
	if r.Low != "" {
		low.SetString(r.Low)
	}
	x := record.Quantity{Number: g.between(low, high, max(decimals, 1)), Unit: r.UnitOf()}
	if len(r.By) == 0 {
		return positive(x, m)
	}
	return positive(g.perWeight(x, m, 3), m)
}

func (g *draw) perWeight(perKg record.Quantity, m *measure.Measure, decimals int) record.Quantity {
	x, err := ucum.Mul(perKg, g.weight, m.Unit)
	if err != nil {
		panic("sheettest: " + err.Error())
	}
	return record.Quantity{Number: ucum.Round(x, decimals), Unit: m.Unit}
}

// positive keeps zero, and shares that look like percentages, away from measures
// that refuse them.
func positive(q record.Quantity, m *measure.Measure) record.Quantity {
	x := q.Rat()
	switch {
	case m.Unit == "%" && x.Cmp(big.NewRat(1, 1)) <= 0:
		q.Number = "21"
	case x.Sign() == 0 && !m.Zero && !m.Signed:
		q.Number = "0.1"
	}
	return q
}

// between draws a decimal from low to high.
func (g *draw) between(low, high *big.Rat, decimals int) string {
	steps := 1000
	at := big.NewRat(int64(g.upTo(steps, "size")), int64(steps))
	x := new(big.Rat).Sub(high, low)
	x.Add(x.Mul(x, at), low)
	text := ucum.Round(x, decimals)
	if y, ok := new(big.Rat).SetString(text); ok && (y.Cmp(low) < 0 || y.Cmp(high) > 0) {
		return high.FloatString(3)
	}
	return text
}
