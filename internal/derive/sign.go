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

// signContradicts tells whether a sign of the monitor or of the curves, or the way of
// the catheter, contradicts the stated levels, and whether the verifier answered.
func signContradicts(w *work, _ *call) made {
	signs := w.contradictingSigns()
	crossed := w.crossedClosedLevel()
	switch {
	case len(signs) == 0 && crossed == "":
		return coded("none")
	case w.answered():
		return coded("answered")
	}
	for _, s := range signs {
		w.report(finding.New("sign-contradicts", w.placeOfSign(s.fact), finding.Say(s.row.found, finding.Data(s.fact.About.Key)), "",
			"the verifier's answer in writing, or other levels"))
	}
	if crossed != "" {
		tip := w.get(record.Thing{Kind: measure.Catheter, Key: "venous"}, "catheter-tip")
		w.report(finding.New("sign-contradicts", w.placeOf(tip), finding.Say("the venous catheter went through the {1}, which is stated closed", measure.LevelWords(crossed)), "",
			"the verifier's answer in writing, or another state of that level"))
	}
	return coded("unanswered")
}

// signKind is a kind of sign that can contradict the context.
type signKind struct {
	measure     string
	contradicts func(s measure.Shunts, preductal bool) bool
	found       finding.Text
}

// signKinds are those of the monitor first. A computed sign does what a reported one
// does and no more: it never names a shunt and changes no label by itself.
var signKinds = []signKind{
	{
		"shunt-sign", func(s measure.Shunts, _ bool) bool { return s.Contradicts() },
		"injection {1} shows a left-to-right sign, while no level is stated to let blood cross that way",
	},
	{
		leftToRightSign, func(s measure.Shunts, _ bool) bool { return s.Contradicts() },
		"injection {1} shows a left-to-right sign, computed from its curves, while no level is stated to let blood cross that way",
	},
	{
		earlyAppearance, measure.Shunts.ContradictsEarly,
		"at injection {1} the indicator appears early, as computed from its curves, while no level is stated to let blood cross from right to left before the artery",
	},
}

// contradictingSign is a sign against the context.
type contradictingSign struct {
	row  *signKind
	fact *record.Fact
}

// contradictingSigns gives the first sign of each kind that contradicts the context. A
// sign that was withheld, by the tip of the catheter too, never does.
func (w *work) contradictingSigns() []contradictingSign {
	if w.tip().withholdsColumn(measure.ColumnSign) {
		return nil
	}
	var signs []contradictingSign
	for i := range signKinds {
		row := &signKinds[i]
		if f := w.signOf(row.measure); f != nil && row.contradicts(w.shunts(), w.preductal()) {
			signs = append(signs, contradictingSign{row, f})
		}
	}
	return signs
}

// signOf gives the first sign of a kind that is there and counts, nil where none is.
func (w *work) signOf(key string) *record.Fact {
	for _, j := range w.injections {
		if !measure.SignCounts(j.cause) {
			continue
		}
		if f := w.get(j.thing, key); f != nil && f.Value.Code == "yes" {
			return f
		}
	}
	return nil
}

// preductal tells whether the artery is stated to lie before the duct.
func (w *work) preductal() bool {
	return w.code(record.Thing{Kind: measure.Catheter, Key: "arterial"}, "catheter-duct-site") == "preductal"
}

// placeOfSign is where a sign stands; of one that was computed, its curve.
func (w *work) placeOfSign(f *record.Fact) finding.Place {
	if f.Origin == record.Recomputed {
		if curve := w.get(f.About, "arterial-trace"); curve != nil {
			return w.placeOf(curve)
		}
	}
	return w.placeOf(f)
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
