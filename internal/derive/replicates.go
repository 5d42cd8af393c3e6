package derive

import (
	"math/big"
	"strconv"

	"saltmark/internal/finding"
	"saltmark/internal/hemo"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// replicates is what the reported flows of the injections come to.
type replicates struct {
	hemo.Agreement
	entered []int // the injections that the session's flow is the mean of
	flows   []*record.Fact
	reason  string // why the session has no flow; "" = it has one
	code    string // how they agree, of the set "agreement"
	at      record.Time
}

// agree holds the reported flows of the injections that are not excluded against
// each other. A flow that the monitor did not show takes no part.
func (w *work) agree() replicates {
	var r replicates
	var counted []int
	var values []*big.Rat
	for i, j := range w.injections {
		f := w.get(j.thing, "blood-flow")
		if j.excluded() || f == nil || f.Value.IsAbsent() {
			continue
		}
		counted, r.flows = append(counted, i), append(r.flows, f)
		values = append(values, w.number(j.thing, "blood-flow"))
	}
	r.Agreement = hemo.Agree(values, w.tolerance())
	for _, k := range r.Entered {
		r.entered = append(r.entered, counted[k])
	}
	r.reason, r.code = w.outcome(r.Agreement, len(values))
	r.at = w.timeOf(r.entered)
	return r
}

// tolerance gives the difference below which two injections agree, as a fraction of
// their mean; nil where the record carries none.
func (w *work) tolerance() *big.Rat { return w.percent("agreement-tolerance") }

// percent gives a value of the session in per cent as a fraction, nil where there is
// none.
func (w *work) percent(key string) *big.Rat {
	x := w.number(record.TheSession, key)
	if x == nil {
		return nil
	}
	return x.Quo(x, big.NewRat(100, 1))
}

// outcome gives the reason why there is no flow, and the code of the agreement.
// Refused input counts as missing.
func (w *work) outcome(a hemo.Agreement, flows int) (reason, code string) {
	switch {
	case a.Err != nil && flows > 0:
		w.report(finding.New("derive-refused", finding.Place{}, finding.Say("the injections cannot be held against each other: {1}", finding.Private(finding.Of(a.Err))), "", "see the values of the injections and the tolerance of the site").Hide())
		return "input-missing", ""
	case a.Outcome == hemo.Single:
		return "", "single"
	case a.Outcome == hemo.Agreed:
		return "", "agreeing"
	case a.Outcome == hemo.Tie:
		return "", "tie"
	case a.Outcome == hemo.NoAgreement:
		return "no-agreeing-pair", "no-agreeing-pair"
	case w.anyDoubted():
		return recordingDoubtful, ""
	case w.anyFlow():
		return "injection-failed", "injection-failed"
	}
	return "input-missing", ""
}

// anyFlow tells whether a monitor reported on the flow of any injection, be it that
// it showed none.
func (w *work) anyFlow() bool {
	for _, j := range w.injections {
		if w.get(j.thing, "blood-flow") != nil || j.excluded() {
			return true
		}
	}
	return false
}

// anyDoubted tells whether the flow of an injection that is not excluded was computed and
// withheld for its recording.
func (w *work) anyDoubted() bool {
	for _, j := range w.injections {
		if f := w.get(j.thing, "blood-flow"); f != nil && !j.excluded() && f.Value.Absent.Reason == recordingDoubtful {
			return true
		}
	}
	return false
}

// timeOf gives the time that the session's values hold at: that of the last
// injection that entered, else of the last that is not excluded, else of the last;
// without any injection the start of the session.
func (w *work) timeOf(entered []int) record.Time {
	if n := len(entered); n > 0 {
		return w.injections[entered[n-1]].at
	}
	if standing := w.standing(); len(standing) > 0 {
		return standing[len(standing)-1].at
	}
	return w.session.Start
}

// agreedFlow is the session's flow: the mean of the injections that entered, with no
// more digits than they have.
func agreedFlow(w *work, c *call) made {
	r := &w.agreed
	if r.reason != "" {
		return absent(r.reason)
	}
	var sources []ucum.Quantity
	var from []record.Ref
	for _, k := range r.Entered {
		if q, ok := written(r.flows[k], c.m.Unit); ok {
			sources = append(sources, q)
		}
		from = append(from, r.flows[k].Ref)
	}
	return quantity(c.m.Chart(r.Mean, true, sources...), from...)
}

// howTheyAgree is the code of the agreement.
func howTheyAgree(w *work, _ *call) made {
	w.tellAgreement()
	if w.agreed.code == "" {
		return made{}
	}
	return coded(w.agreed.code)
}

// injectionsUsed counts the injections in the mean.
func injectionsUsed(w *work, c *call) made {
	if len(w.agreed.entered) == 0 {
		return made{}
	}
	return quantity(ucum.Quantity{Number: strconv.Itoa(len(w.agreed.entered)), Unit: c.m.Unit})
}

// spreadOfMean is (largest - smallest)/mean of the injections in the mean, in per
// cent.
func spreadOfMean(w *work, c *call) made {
	if w.agreed.Spread == nil {
		return made{}
	}
	return quantity(c.m.Chart(new(big.Rat).Mul(w.agreed.Spread, big.NewRat(100, 1)), false))
}

// repeatability is a figure of the mean's precision from the pooled variation of the
// site: never from the session's own values, and none of a single injection.
func repeatability(formula func(cvPercent float64, n int) (float64, error)) by {
	return func(w *work, c *call) made {
		n := len(w.agreed.entered)
		if n < 2 {
			return made{}
		}
		cv, _ := number(c.in[0], "%").Float64()
		x, err := formula(cv, n)
		if err != nil {
			return w.refused(c, err)
		}
		return charted(w, c, x)
	}
}

// tellAgreement says in words what the injections come to, where that is not that
// they agree.
func (w *work) tellAgreement() {
	r := &w.agreed
	say := func(rule string, found, allowed finding.Text) {
		var place finding.Place
		if len(r.flows) > 0 {
			place = w.placeOf(r.flows[len(r.flows)-1])
		}
		w.report(finding.New(rule, place, found, "", allowed))
	}
	switch {
	case r.code == "single":
		say("replicates-single", "one injection alone makes the flow", "a second one within the tolerance gives a mean whose spread is known")
	case r.code == "tie":
		say("replicates-tied", finding.Say("equally large sets agree and share an injection; the mean is of injections {1}, {2} % apart", keys(w.counts), finding.Data(w.spreadText())),
			"somebody must look at it")
	case r.NeedsThird:
		say("replicates-third", "the two injections do not agree", "a third one decides; without it the session has no flow")
	case r.code == "no-agreeing-pair":
		say("replicates-disagree", "no two injections agree, or those that do fall apart into groups", "the session has no flow; the single values are charted")
	case r.code == "injection-failed":
		say("replicates-failed", "no injection gave a flow", "the session has no flow")
	}
}

func (w *work) spreadText() string {
	m := measure.Get("spread")
	return m.Chart(new(big.Rat).Mul(w.agreed.Spread, big.NewRat(100, 1)), false).Number
}
