package derive

import (
	"math/big"

	"saltmark/internal/finding"
	"saltmark/internal/hemo"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Flow by another method, computed from what was measured. A reading keeps its time and
// its inputs with the flow that was reported, be it that none was. Where none was, the
// computed flow is the flow of the reading, derived, under the label of the method;
// where one was, it stands in it as a check. What cannot be right gives a reason, never
// a number.

// readingFormula is a row of the table: how the flow by a method follows.
type readingFormula struct {
	method string
	from   []string // inputs of the reading
	gas    *gas     // whose two contents come after them, nil where none do
	flow   func(in []*big.Rat) (*big.Rat, error)
}

// readingFormulas is the table. Other methods measure flow itself.
var readingFormulas = []readingFormula{
	{method: "echo", from: of("comparator-diameter", "comparator-velocity-integral", "comparator-heart-rate"), flow: three(hemo.DopplerFlow)},
	{method: "fick-oxygen", from: of("comparator-oxygen-uptake"), gas: &oxygen, flow: three(hemo.FickFlow)},
	{method: "fick-carbon-dioxide", from: of("comparator-carbon-dioxide-output"), gas: &carbonDioxide, flow: three(hemo.FickCarbonDioxideFlow)},
}

func three(formula func(a, b, c *big.Rat) (*big.Rat, error)) func([]*big.Rat) (*big.Rat, error) {
	return func(in []*big.Rat) (*big.Rat, error) { return formula(in[0], in[1], in[2]) }
}

func formulaOf(method string) *readingFormula {
	for i := range readingFormulas {
		if f := &readingFormulas[i]; f.method == method {
			return f
		}
	}
	return nil
}

// notReported is the reason with which a reading says that its flow is not stated.
const notReported = "not-reported"

// flowOfReading computes the flow of a reading on which none was reported.
func flowOfReading(w *work, c *call) made {
	reported := w.get(c.about, "comparator-flow")
	if reported == nil || reported.Value.Absent.Reason != notReported {
		return made{}
	}
	in, why := w.flowInputs(c.about, w.formula(c.about))
	v := absent(why)
	switch why {
	case "input-missing":
		w.report(finding.New("comparator-without-flow", w.placeOf(reported), finding.Say("{1} is not there, nor all that it is computed from", wordsOf(c.m, c.about)), "", w.wantedInputs(c.about)))
	case "":
		v = w.computedFlow(c, reported, in)
		v.from = ownFacts(append([]*record.Fact{reported}, in.samples...))
	}
	v.at = reported.At
	return v
}

// checkOfReading computes the flow of a reading on which one was reported, where the
// inputs are there too, and holds the two against each other.
func checkOfReading(w *work, c *call) made {
	reported := w.get(c.about, "comparator-flow")
	if !w.checks(reported) {
		return made{}
	}
	in, why := w.flowInputs(c.about, w.formula(c.about))
	if why != "" {
		return made{} // a flow that was reported needs no inputs
	}
	v := w.computedFlow(c, reported, in)
	w.compareFlows(reported, v.value.Quantity)
	return v
}

// checks tells whether a reported flow is held against its inputs: where the record
// carries the tolerance for that. Bundles of before it do not.
func (w *work) checks(reported *record.Fact) bool {
	return reported != nil && number(reported, "L/min") != nil && w.get(record.TheSession, "comparator-tolerance") != nil
}

// computes tells whether a flow is computed for a reading.
func (w *work) computes(reported *record.Fact) bool {
	return reported != nil && reported.Value.Absent.Reason == notReported || w.checks(reported)
}

// computedFlow is the flow by the formula.
func (w *work) computedFlow(c *call, reported *record.Fact, in *flowInputs) made {
	flow, err := in.flow()
	if err != nil {
		w.report(finding.New("comparator-impossible", w.placeOf(reported), finding.Say("{1} cannot be computed: {2}", wordsOf(c.m, c.about), finding.Of(err)), "", "see the values that it is made from; without a flow that was reported the reading has none"))
		return absent("impossible-inputs")
	}
	return quantity(c.m.Chart(flow, false))
}

// compareFlows tells where a reported flow differs from the computed one by more than
// the site's tolerance. What was not computed says nothing.
func (w *work) compareFlows(reported *record.Fact, computed record.Quantity) {
	m := measure.Get(reported.Measure)
	stated, limit := number(reported, m.Unit), w.number(record.TheSession, "comparator-tolerance")
	if computed.Number == "" || limit == nil {
		return
	}
	follows := computed.Rat()
	difference := new(big.Rat).Sub(stated, follows)
	difference.Abs(difference).Mul(difference, big.NewRat(100, 1))
	if difference.Cmp(limit.Mul(limit, follows)) <= 0 {
		return
	}
	w.report(finding.New("comparator-differs", w.placeOf(reported), finding.Say("{1} is {}", wordsOf(m, reported.About)), reported.Value.Quantity.String(),
		finding.Say("from its inputs it is {1}", finding.Data(computed.String()))))
}

// flowInputs are what a flow is computed from, in the order of its formula.
type flowInputs struct {
	formula *readingFormula
	numbers []*big.Rat
	samples []*record.Fact // of blood samples
	refused error          // why the gases give no content
}

func (in *flowInputs) flow() (*big.Rat, error) {
	if in.refused != nil {
		return nil, in.refused
	}
	return in.formula.flow(in.numbers)
}

func (w *work) formula(reading record.Thing) *readingFormula {
	return formulaOf(w.other(reading).Method)
}

// flowInputs finds the inputs of a formula, or says why they cannot be used.
func (w *work) flowInputs(reading record.Thing, f *readingFormula) (*flowInputs, string) {
	if f == nil {
		return nil, "input-missing"
	}
	in := &flowInputs{formula: f}
	for _, key := range f.from {
		in.numbers = append(in.numbers, w.number(reading, key))
	}
	if f.gas != nil {
		c, why := w.contents(reading, f.gas)
		if why != "" {
			return nil, why
		}
		in.samples, in.refused = c.samples, c.refused
		if c.refused == nil {
			in.numbers = append(in.numbers, c.arterial, c.venous)
		}
	}
	for _, x := range in.numbers {
		if x == nil {
			return nil, "input-missing"
		}
	}
	return in, ""
}

// wantedInputs says what a flow by the method of a reading is computed from.
func (w *work) wantedInputs(reading record.Thing) finding.Text {
	f := w.formula(reading)
	if f == nil {
		return "a flow: by this method none is computed"
	}
	var words []finding.Text
	for _, key := range f.from {
		words = append(words, measure.Get(key).TextFor(""))
	}
	if f.gas == nil {
		return finding.Say("a flow, or {1}", finding.And(words...))
	}
	return finding.Say("a flow, or {1} with both contents or the blood gases that they follow from", finding.And(words...))
}
