package derive

import (
	"slices"

	"saltmark/internal/finding"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// tipRule is what a position of the venous catheter's tip means. An indicator that
// enters there does not take the way that a transit is measured on.
type tipRule struct {
	tip       string
	withholds []measure.Column
	crossed   string // the level that the catheter went through; closed it cannot be
}

var tipRules = []tipRule{
	{tip: "liver", withholds: []measure.Column{measure.ColumnCBV}},
	{tip: "portal-vein", withholds: []measure.Column{measure.ColumnCBV}},
	{tip: "left-atrium", withholds: []measure.Column{measure.ColumnCBV, measure.ColumnSign}, crossed: measure.Atrial},
}

// withholdsColumn tells whether the tip withholds the values of a column.
func (r tipRule) withholdsColumn(c measure.Column) bool { return slices.Contains(r.withholds, c) }

// tip gives the rule for the position of the venous tip; the zero rule where there
// is none.
func (w *work) tip() tipRule {
	at := w.code(record.Thing{Kind: measure.Catheter, Key: "venous"}, "catheter-tip")
	for _, r := range tipRules {
		if r.tip == at {
			return r
		}
	}
	return tipRule{}
}

// signContradicts tells whether a left-to-right sign of the monitor, or the way of
// the catheter, contradicts the stated levels, and whether the verifier answered.
func signContradicts(w *work, _ *call) made {
	sign := w.signOfMonitor()
	crossed := w.crossedClosedLevel()
	switch {
	case sign == nil && crossed == "":
		return coded("none")
	case w.answered():
		return coded("answered")
	case sign != nil:
		w.report(finding.New("sign-contradicts", w.placeOf(sign), finding.Say("injection {1} shows a left-to-right sign, while no level is stated to let blood cross that way", finding.Data(sign.About.Key)), "",
			"the verifier's answer in writing, or other levels"))
	}
	if crossed != "" {
		tip := w.get(record.Thing{Kind: measure.Catheter, Key: "venous"}, "catheter-tip")
		w.report(finding.New("sign-contradicts", w.placeOf(tip), finding.Say("the venous catheter went through the {1}, which is stated closed", measure.LevelWords(crossed)), "",
			"the verifier's answer in writing, or another state of that level"))
	}
	return coded("unanswered")
}

// signOfMonitor gives the first sign that contradicts the context, nil where none
// does. A sign that the catheter's tip withholds never contradicts.
func (w *work) signOfMonitor() *record.Fact {
	if w.tip().withholdsColumn(measure.ColumnSign) || !w.shunts().Contradicts() {
		return nil
	}
	for _, j := range w.injections {
		if !measure.SignCounts(j.cause) {
			continue
		}
		if f := w.get(j.thing, "shunt-sign"); f != nil && f.Value.Code == "yes" {
			return f
		}
	}
	return nil
}

// crossedClosedLevel gives the level that the venous catheter went through although
// it is stated closed, however old the look; "" where there is none.
func (w *work) crossedClosedLevel() string {
	crossed := w.tip().crossed
	if crossed == "" || w.code(record.Thing{Kind: measure.Level, Key: crossed}, "level-state") != "closed" {
		return ""
	}
	return crossed
}

// answered tells whether the verifier answered a contradiction in writing: with
// words, name and time.
func (w *work) answered() bool {
	by := w.text(record.TheSession, "sign-answer-by")
	return by != "" && by == w.session.Verification.By &&
		w.text(record.TheSession, "sign-answer") != "" && w.moment(record.TheSession, "sign-answer-at") != ""
}

// shunts gives the context as the facts state it so far.
func (w *work) shunts() measure.Shunts {
	return (&record.Session{Facts: w.facts}).Shunts()
}
