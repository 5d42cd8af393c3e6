package derive

import (
	"math/big"
	"slices"

	"saltmark/internal/finding"
	"saltmark/internal/hemo"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Beside is one value recomputed from curves beside the reported one. A zero Value is
// none at all; one that is absent says why.
type Beside struct {
	About                record.Thing // an injection, or the session
	Measure              string
	Reported, Recomputed record.Value
	// Uncertainty is the standard deviation stated with the recomputed value, in its
	// unit, and Difference recomputed less reported, in per cent of the reported one;
	// no Number where there is none.
	Uncertainty, Difference ucum.Quantity
	// Doubtful tells that a fault of a recording makes the recomputed value doubtful: it
	// is shown here, and the record withholds it.
	Doubtful bool
}

// Compare puts what was computed beside what was reported: for each injection, then for
// the session the means over the injections that entered its flow; where none was
// reported, over the recomputed flows that agree. What the label table withholds is
// withheld here too. The session was derived.
func Compare(s *record.Session, computed []Computed) []Beside {
	if len(computed) == 0 {
		return nil
	}
	w := newWork(s, s.Facts)
	rows := w.beside(computed)
	for i := range rows {
		b := &rows[i]
		if reason := w.withheldBy(measure.Get(b.Measure).Column); reason != "" {
			b.Recomputed = record.Value{Absent: record.Absence{Reason: reason}}
			b.Uncertainty, b.Difference, b.Doubtful = ucum.Quantity{}, ucum.Quantity{}, false
		}
	}
	return rows
}

func (w *work) beside(computed []Computed) []Beside {
	var rows []Beside
	for i := range computed {
		c := &computed[i]
		for k := range recomputedRows {
			row := &recomputedRows[k]
			b := Beside{About: c.Injection, Measure: row.measure, Reported: w.reported(c.Injection, row.measure)}
			b.Recomputed, b.Uncertainty = row.value(&c.Result)
			b.Doubtful = !b.Recomputed.IsAbsent() && isDoubtful(*c)
			rows = append(rows, b.compared())
		}
		for _, row := range signRows {
			b := Beside{About: c.Injection, Measure: row.measure, Recomputed: row.value(&c.Result)}
			b.Doubtful = !b.Recomputed.IsAbsent() && isDoubtful(*c)
			if row.measure == leftToRightSign {
				b.Reported = w.reported(c.Injection, "shunt-sign")
			}
			rows = append(rows, b)
		}
	}
	entered := w.enteredBeside(computed)
	for k := range recomputedRows {
		rows = append(rows, w.sessionBeside(&recomputedRows[k], entered, computed))
	}
	return rows
}

// reported gives what the monitor reported, be it why it did not; none is the zero
// Value.
func (w *work) reported(about record.Thing, key string) record.Value {
	if f := w.get(about, key); f != nil && f.Origin == record.Reported {
		return f.Value
	}
	return record.Value{}
}

// enteredBeside gives the injections over which the session's means are made.
func (w *work) enteredBeside(computed []Computed) []record.Thing {
	var things []record.Thing
	for _, i := range w.agreed.entered {
		things = append(things, w.injections[i].thing)
	}
	if len(things) > 0 || len(w.agreed.flows) > 0 {
		return things
	}
	counted, flows := w.flowsBeside(computed, func(c *Computed) bool { return !isDoubtful(*c) })
	if len(counted) == 0 {
		counted, flows = w.flowsBeside(computed, func(*Computed) bool { return true })
	}
	for _, k := range hemo.Agree(flows, w.tolerance()).Entered {
		things = append(things, counted[k])
	}
	return things
}

// anyDoubtful tells whether the flow of one of these injections may be far off.
func anyDoubtful(entered []record.Thing, computed []Computed) bool {
	return slices.ContainsFunc(entered, func(thing record.Thing) bool {
		c := computedOf(computed, thing)
		return c != nil && isDoubtful(*c)
	})
}

// apartBeside tells by how many per cent of their mean the recomputed flows of the
// injections that entered are apart, where they do not all agree; nil where they do, or
// where one has none.
func (w *work) apartBeside(entered []record.Thing, computed []Computed) *big.Rat {
	var flows []*big.Rat
	for _, thing := range entered {
		c := computedOf(computed, thing)
		if c == nil {
			return nil
		}
		v, _ := recomputedRows[0].value(&c.Result)
		if v.IsAbsent() {
			return nil
		}
		flows = append(flows, v.Quantity.Rat())
	}
	if len(flows) < 2 || w.tolerance() == nil || len(hemo.Agree(flows, w.tolerance()).Entered) == len(flows) {
		return nil
	}
	least, most, sum := flows[0], flows[0], new(big.Rat)
	for _, q := range flows {
		sum.Add(sum, q)
		if q.Cmp(least) < 0 {
			least = q
		}
		if q.Cmp(most) > 0 {
			most = q
		}
	}
	apart := new(big.Rat).Sub(most, least)
	return apart.Mul(apart.Quo(apart, sum), big.NewRat(int64(100*len(flows)), 1))
}

// flowsBeside gives the recomputed flows of the injections that are not excluded and whose
// computation is wanted.
func (w *work) flowsBeside(computed []Computed, wanted func(*Computed) bool) (things []record.Thing, flows []*big.Rat) {
	for _, j := range w.injections {
		c := computedOf(computed, j.thing)
		if c == nil || j.excluded() || !wanted(c) {
			continue
		}
		if v, _ := recomputedRows[0].value(&c.Result); !v.IsAbsent() {
			things, flows = append(things, j.thing), append(flows, v.Quantity.Rat())
		}
	}
	return things, flows
}

func computedOf(computed []Computed, injection record.Thing) *Computed {
	if i := slices.IndexFunc(computed, func(c Computed) bool { return c.Injection == injection }); i >= 0 {
		return &computed[i]
	}
	return nil
}

// sessionBeside gives a value of the session: the mean over the injections that
// entered, all of which must have it, and whose recomputed flows must agree. What is
// wrong with a computation (structure, what was entered) is common to the injections: the
// stated deviation of the mean is the mean of theirs.
func (w *work) sessionBeside(row *recomputedRow, entered []record.Thing, computed []Computed) Beside {
	m := measure.Get(row.measure)
	b := Beside{About: record.TheSession, Measure: row.measure}
	var recomputed, deviations, reported []ucum.Quantity
	for _, thing := range entered {
		r := w.reported(thing, row.measure)
		if r.IsAbsent() && !b.Reported.IsAbsent() {
			b.Reported = r
		}
		reported = append(reported, r.Quantity)
		c := computedOf(computed, thing)
		if c == nil {
			b.Recomputed.Absent.Reason = "input-missing"
			continue
		}
		v, sd := row.value(&c.Result)
		if v.IsAbsent() && !b.Recomputed.IsAbsent() {
			b.Recomputed = v
		}
		b.Doubtful = b.Doubtful || isDoubtful(*c)
		recomputed, deviations = append(recomputed, v.Quantity), append(deviations, sd)
	}
	if !b.Reported.IsAbsent() {
		b.Reported.Quantity = meanOf(m, true, reported)
	}
	switch {
	case len(entered) == 0 || w.apartBeside(entered, computed) != nil:
		b.Recomputed.Absent.Reason = "no-agreeing-pair"
	case !b.Recomputed.IsAbsent():
		b.Recomputed.Quantity = meanOf(m, false, recomputed)
		b.Uncertainty = meanOf(measure.Get(uncertaintyOf(row.measure)), false, deviations)
	}
	b.Doubtful = b.Doubtful && !b.Recomputed.IsAbsent()
	return b.compared()
}

// meanOf is the mean of quantities, rounded by a measure; no Number where one has none.
func meanOf(m *measure.Measure, capped bool, list []ucum.Quantity) ucum.Quantity {
	if m == nil || len(list) == 0 {
		return ucum.Quantity{}
	}
	sum := new(big.Rat)
	for _, q := range list {
		x := number(&record.Fact{Value: record.Value{Quantity: q}}, m.Unit)
		if x == nil {
			return ucum.Quantity{}
		}
		sum.Add(sum, x)
	}
	return m.Chart(sum.Quo(sum, big.NewRat(int64(len(list)), 1)), capped, list...)
}

// compared adds the difference, in per cent with one decimal.
func (b Beside) compared() Beside {
	if x := b.difference(); x != nil {
		b.Difference = ucum.Quantity{Number: ucum.Round(x.Mul(x, big.NewRat(100, 1)), 1), Unit: "%"}
	}
	return b
}

// difference gives recomputed less reported as part of the reported one, nil where
// there are no two numbers.
func (b Beside) difference() *big.Rat {
	unit := measure.Get(b.Measure).Unit
	reported := number(&record.Fact{Value: b.Reported}, unit)
	recomputed := number(&record.Fact{Value: b.Recomputed}, unit)
	if reported == nil || recomputed == nil || reported.Sign() <= 0 {
		return nil
	}
	return recomputed.Quo(recomputed.Sub(recomputed, reported), reported)
}

// standsBeside tells how the session's flow stands beside the recomputed one, as a fact
// of the session: it decides whether the label of the flow is settled by it.
func (w *work) standsBeside(computed []Computed) {
	if len(computed) == 0 {
		return
	}
	entered := w.enteredBeside(computed)
	b := w.sessionBeside(&recomputedRows[0], entered, computed)
	code := ""
	if w.agreed.reason == "" {
		code = w.howBeside(b)
	}
	// A flow that may be far off settles nothing.
	if code == "agrees" && anyDoubtful(entered, computed) {
		code = "agrees-widely"
	}
	if code != "" {
		w.facts = append(w.facts, record.Fact{
			Ref:   record.Ref{About: record.TheSession, Measure: "recomputed-agreement", Origin: record.Recomputed},
			Value: record.Value{Code: code},
		})
		w.index(len(w.facts) - 1)
	}
	w.tellBeside(b, code, w.apartBeside(entered, computed))
}

// howBeside gives the code of how they agree: within the tolerance of the site, and
// surely so where twice the stated deviation is below the tolerance too. Without a
// tolerance nothing agrees and nothing differs.
func (w *work) howBeside(b Beside) string {
	if w.fromCurves {
		return "only-recomputed"
	}
	difference, tolerance := b.difference(), w.percent("recomputed-flow-tolerance")
	if difference == nil || tolerance == nil {
		return ""
	}
	if difference.Abs(difference).Cmp(tolerance) >= 0 {
		return "differs"
	}
	unit := measure.Get(b.Measure).Unit
	wide := number(&record.Fact{Value: record.Value{Quantity: b.Uncertainty}}, unit)
	value := number(&record.Fact{Value: b.Recomputed}, unit)
	if wide == nil || wide.Mul(wide, big.NewRat(2, 1)).Cmp(value.Mul(value, tolerance)) >= 0 {
		return "agrees-widely"
	}
	return "agrees"
}

// tellBeside says both flows, and warns where they differ, or where the recomputed ones
// are apart by so many per cent.
func (w *work) tellBeside(b Beside, code string, apart *big.Rat) {
	say := func(rule string, found finding.Text, allowed finding.Text) {
		w.report(finding.New(rule, w.placeOfCurves(), found, b.Recomputed.Quantity.String(), allowed))
	}
	if apart != nil {
		w.report(finding.New("recomputed-apart", w.placeOfCurves(),
			"the flows recomputed from the curves of injections that agreed are {} apart, and no mean of them is given", ucum.Round(apart, 1)+" %",
			finding.Say("below {1} is the tolerance of this site; look at the volumes on the sheet and at each curve", finding.Data(w.get(record.TheSession, "agreement-tolerance").Value.Quantity.String()))))
		return
	}
	if b.Recomputed.IsAbsent() {
		reason, _ := measure.ReasonOf(b.Recomputed.Absent.Reason)
		say("recomputed-withheld", finding.Say("no flow of the session was recomputed from the curves: {1}", reason.Words.Text()), "what the monitor reported is charted as ever")
		return
	}
	deviation := finding.Data(b.Uncertainty.String())
	beside := finding.Say("the flow recomputed from the curves is {} (standard deviation {1}), the reported one {2}: {3} %",
		deviation, finding.Data(b.Reported.Quantity.String()), finding.Data(signed(b.Difference.Number)))
	switch {
	case code == "only-recomputed":
		say("recomputed-charted", finding.Say("the monitor reported no flow; the one charted, {}, was recomputed from the curves (standard deviation {1})", deviation),
			"it stays preliminary; the computation was tested on simulated circulations only")
	case b.Reported == record.Value{} && len(w.agreed.flows) == 0 && b.Doubtful:
		say("recomputed-withheld", finding.Say("the monitor reported no flow; the one recomputed from the curves is {} (standard deviation {1}) and doubtful", deviation),
			"it is not charted, for a fault of the recording may make it far off; see what is said of the curves")
	case b.Reported == record.Value{} && len(w.agreed.flows) == 0:
		say("recomputed-beside", finding.Say("the monitor reported no flow; the one recomputed from the curves is {} (standard deviation {1})", deviation),
			"it is not charted, for the settings of the site do not ask for it; the computation was tested on simulated circulations only")
	case code == "differs":
		say("recomputed-differs", beside, finding.Say("below {1} is the tolerance of this site; check sheet, curves and monitor", finding.Data(w.get(record.TheSession, "recomputed-flow-tolerance").Value.Quantity.String())))
	case b.Difference.Number != "":
		say("recomputed-beside", beside, "the reported flow is charted; the computation was tested on simulated circulations only")
	}
}

// signed writes a difference with its sign.
func signed(number string) string {
	if x, ok := new(big.Rat).SetString(number); ok && x.Sign() > 0 {
		return "+" + number
	}
	return number
}

// placeOfCurves is where the first curve of the session stands.
func (w *work) placeOfCurves() finding.Place {
	for i := range w.facts {
		if w.facts[i].Value.Curve != nil && !w.isGone(i) {
			return w.placeOf(&w.facts[i])
		}
	}
	return finding.Place{}
}
