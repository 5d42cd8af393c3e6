package derive

import (
	"strings"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// ruling is what the table of flow labels, and the catheter's tip, say of a session:
// its label, and why each column is withheld.
type ruling struct {
	shunts  measure.Shunts
	verdict measure.Verdict
	reasons [len(columns)]string // "" = may be charted
}

// columns are those by which values are withheld.
var columns = [...]measure.Column{measure.ColumnLV, measure.ColumnRO, measure.ColumnCBV, measure.ColumnEDV, measure.ColumnSign}

// doubtReasons gives the reason of a withheld value for the reason of a label that
// is not determined.
var doubtReasons = map[string]string{
	"life-support":                "life-support",
	"other-anatomy":               "other-anatomy",
	"unmixed-streams":             "unmixed-streams",
	"two-paths":                   "two-paths",
	"stale-assessment":            "shunt-not-assessed",
	"not-assessed":                "shunt-not-assessed",
	"monitor-area-excludes-lungs": "monitor-area",
	"monitor-area-unknown":        "monitor-area",
}

// rule applies the table once the context is known.
func (w *work) rule() *ruling {
	if w.ruling != nil {
		return w.ruling
	}
	r, tip := &ruling{shunts: w.shunts()}, w.tip()
	r.verdict = measure.Judge(r.shunts)
	for i, column := range columns {
		r.reasons[i] = reasonOf(column, r.shunts)
		if r.reasons[i] == "" && tip.withholdsColumn(column) {
			r.reasons[i] = "catheter-tip"
		}
	}
	w.ruling = r
	return r
}

// withheldBy gives the reason why values of a column are withheld, "" where they may
// be charted.
func (w *work) withheldBy(column measure.Column) string {
	for i, c := range columns {
		if c == column {
			return w.rule().reasons[i]
		}
	}
	return ""
}

// reasonOf gives the reason why a column is withheld: the doubt of a label that is
// not determined; an unanswered sign where it alone keeps left ventricular values
// away; that nobody looked, where the column would be open if what was not seen were
// closed; else the rule of the shunt. It is "" where the column is open.
func reasonOf(column measure.Column, s measure.Shunts) string {
	v := measure.Judge(s)
	if v.Of(column) != measure.Withheld {
		return ""
	}
	if s.Contradicted && column == measure.ColumnLV {
		s.Contradicted = false
		if reason := reasonOf(column, s); reason != "" {
			return reason
		}
		return "sign-unanswered"
	}
	if !v.Label.Determined() {
		return doubtReasons[v.Label.Reason]
	}
	if seen := allSeen(s); measure.Judge(seen).Of(column) != measure.Withheld {
		return "shunt-not-assessed"
	}
	return "shunt-rule"
}

// allSeen takes what was not seen, or not lately, for closed.
func allSeen(s measure.Shunts) measure.Shunts {
	for _, state := range []*measure.State{&s.Atrial, &s.Ventricular, &s.Ductal, &s.Aortopulmonary} {
		switch *state {
		case "", measure.StateNotSeen, measure.StateStale:
			*state = measure.StateClosed
		}
	}
	return s
}

// withhold takes the number away from what the monitor reported where a column, or
// the catheter's tip, withholds it. What the monitor did not show stays so; a value
// out of its range says something of its size and is withheld like a number.
func (w *work) withhold() {
	for i := range w.facts {
		f := &w.facts[i]
		if w.isGone(i) || f.Origin == record.Derived {
			continue
		}
		reason := w.withheldFact(f)
		if reason == "" || f.Value.IsAbsent() && !withholding(f.Value.Absent.Reason) && f.Value.Absent.Bound.Number == "" {
			continue
		}
		f.Value = record.Value{Absent: record.Absence{Reason: reason}}
	}
}

// withheldFact gives the reason why a value is withheld, "" where it may be charted.
func (w *work) withheldFact(f *record.Fact) string {
	if m := measure.Get(f.Measure); m != nil {
		return w.withheldBy(m.Column)
	}
	return ""
}

// withholding tells whether a reason is one for which a value that was there is
// taken away.
func withholding(reason string) bool {
	switch reason {
	case "":
		return false
	case "shunt-rule", "sign-unanswered", "catheter-tip":
		return true
	}
	for _, r := range doubtReasons {
		if r == reason {
			return true
		}
	}
	return false
}

// label puts the label on every fact that carries one: that of the session, and on
// readings of another method what their own table says.
func (w *work) label() {
	for i := range w.facts {
		f := &w.facts[i]
		m := measure.Get(f.Measure)
		switch {
		case w.isGone(i) || m == nil || !m.Labelled:
		case f.About.Kind == measure.Reading:
			f.Label = measure.JudgeOther(w.other(f.About), w.rule().shunts)
		default:
			f.Label = w.rule().verdict.Label
		}
	}
}

// other gives what the label of a reading by another method depends on.
func (w *work) other(reading record.Thing) measure.Other {
	number, _, _ := strings.Cut(reading.Key, ".")
	comparator := record.Thing{Kind: measure.Comparator, Key: number}
	return measure.Other{
		Method:        w.code(comparator, "comparator-method"),
		Site:          w.code(comparator, "comparator-site"),
		VenousBlood:   w.code(comparator, "comparator-venous-site"),
		ArterialBlood: w.code(comparator, "comparator-arterial-site"),
		AorticLeak:    w.leaks("aortic-regurgitation"),
		PulmonaryLeak: w.leaks("pulmonary-regurgitation"),
	}
}

// leaks tells whether a valve is known to leak.
func (w *work) leaks(valve string) bool {
	switch w.code(record.TheSession, valve) {
	case "", "none", "not-seen":
		return false
	}
	return true
}
