package derive

import (
	"slices"

	"saltmark/internal/finding"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// tellComputed says which injections could not be computed from their curves, and what
// is wrong with the recordings of the others.
func (w *work) tellComputed(computed []Computed) {
	for i := range computed {
		c := &computed[i]
		for _, key := range c.Unreadable {
			w.report(finding.New("curve-not-computed", w.placeOf(w.get(c.Injection, key)),
				finding.Say("{1} of injection {2} cannot be computed", wordsOf(measure.Get(key), c.Injection), finding.Data(c.Injection.Key)), "",
				"evenly spaced samples in 1, % or m/s are wanted; what the monitor reported is charted as ever"))
		}
		w.tellFaults(c)
		if len(c.Missing) > 0 {
			w.report(finding.New("curve-not-computed", w.placeOf(w.get(c.Injection, "arterial-trace")),
				finding.Say("nothing was computed from the curves of injection {1}", finding.Data(c.Injection.Key)), "",
				finding.Say("what is missing must be on the sheet: {1}", missingWords(c.Missing))))
		}
	}
}

// tellDiscounted says that a sign is there which contradicts the stated levels, and does
// not count, for the recording is not good enough.
func (w *work) tellDiscounted(computed []Computed) {
	for i := range computed {
		c := &computed[i]
		for _, row := range signRows {
			sign := row.of(&c.Result)
			kind := signKinds[slices.IndexFunc(signKinds, func(k signKind) bool { return k.measure == row.measure })]
			if sign.Present && sign.Withheld != "" && kind.contradicts(w.shunts(), w.preductal()) {
				w.report(finding.New("sign-discounted", w.placeOfCurve(c.Injection, "arterial"), finding.Say(kind.found, finding.Data(c.Injection.Key)), "",
					"it does not count, for something is wrong with the recording or its flow is hardly known"))
			}
		}
	}
}

// placeComputed gives what was computed the place of its curve in the document.
func (w *work) placeComputed(computed []Computed) {
	places := w.session.Places.Facts
	if len(computed) == 0 || places == nil {
		return
	}
	for i := range w.facts {
		if f := &w.facts[i]; f.Origin == record.Recomputed && f.About.Kind == measure.Injection {
			places[f.Ref] = w.placeOfCurve(f.About, "arterial")
		}
	}
}

// missingWords names measures in a sentence.
func missingWords(keys []string) finding.Text {
	var words []finding.Text
	for _, key := range keys {
		words = append(words, wordsOf(measure.Get(key), record.TheSession))
	}
	return finding.And(words...)
}
