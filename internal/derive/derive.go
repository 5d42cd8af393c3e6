// Package derive holds ONE table of derivations: what follows from the facts of a
// session. Forward, Apply makes the values; backward, Check makes them again and
// compares, so that a bundle is proved from itself.
//
// It takes nothing but the record. Tolerances, windows, age limits and constants of
// a site are facts of the session (origin "setting"): where the record carries no
// limit nothing counts as fresh, and where it carries no tolerance nothing agrees.
// It knows no sheet, no resource, no status.
//
// What is made, from what, and by which formula stands in table.go; which label and
// which column permits it in the table of flow labels (mapping/measure); formulas in
// internal/hemo, each with its source. Rules that are no formula (replicates, looks
// for a shunt, catheter tips, load) are common practice, no source, where the file
// names none.
//
// Numbers: written values are exact rationals from beginning to end and are rounded
// once, by the measure's digits; body surface and the precision of a mean use powers
// and are float64 until then. A derived value starts from the values as charted
// (flow, area, mean rate), so that a reader can do the sum again; the load per kg
// starts from the volumes as written.
//
// Why there is no value, in this order: the flow has none (what derives from it
// carries its reason), a column of the label table withholds it, an input is absent,
// missing or too old. An absent value names nothing that it was made from.
//
// Curves makes the recipe of each injection that was recorded and has it computed
// (internal/dilution). Of that the record holds that it was computed, from what, the
// signs, and how the session's flow stands beside it; values only where the site asks
// for them and the monitor reported nothing in the whole session (recomputed.go). Compare
// shows all of it beside what was reported. Check takes what was computed as it stands,
// CheckComputed holds it against the curves. All of it was tested on simulated
// circulations only.
//
// Limits: facts that were taken back in a session that was not withdrawn are left
// alone and count for nothing. In a withdrawn session every fact was taken back and
// all derive as ever, so one that had vanished in the very revision of the withdrawal
// cannot be told apart.
package derive

import (
	"saltmark/internal/finding"
	"saltmark/mapping/record"
)

// Apply brings a session up to date, in place: whatever was derived, every label
// and every status is taken away, and what follows from the other facts is put
// there. Reported values that the label table withholds lose their number. Done
// twice it gives the same.
//
// The findings tell what the facts say of the session: injections that do not
// agree, looks that no longer hold, inputs too old, signs against the context, two
// states in one session, sums that cannot be done.
//
// Where the session carries curves they are computed.
func Apply(s *record.Session) finding.List { return ApplyComputed(s, Curves(s)) }

// ApplyComputed is Apply for a session whose curves were computed already.
func ApplyComputed(s *record.Session, computed []Computed) finding.List {
	w := newWork(s, withComputed(s, strip(s, len(derivations)), computed))
	w.standsBeside(computed)
	w.tellComputed(computed)
	w.run()
	w.tellDiscounted(computed)
	w.oneState()
	s.Facts = w.facts
	w.placeComputed(computed)
	w.findings.Sort()
	return w.findings
}

// run fills the work with what follows from its facts.
func (w *work) run() {
	for i := range derivations {
		d := &derivations[i]
		if w.leftOut && d.fromInjections() {
			continue
		}
		for _, about := range w.things(d.about) {
			w.make(d, about)
		}
	}
	w.withhold()
	w.label()
}

// strip gives the facts without what is derived, without labels and statuses.
// What was taken back stays as it is, and so does what was made from injections
// that were left out. There is room for so many more.
func strip(s *record.Session, more int) []record.Fact {
	withdrawn, leftOut := s.Withdrawn(), LeftOut(s)
	kept := make([]record.Fact, 0, len(s.Facts)+more)
	for i := range s.Facts {
		f := &s.Facts[i]
		switch {
		case !withdrawn && f.Status.TakenBack():
			kept = append(kept, *f)
		case f.Origin != record.Derived, leftOut && standsAsItIs(f):
			kept = append(kept, *f)
			bare := &kept[len(kept)-1]
			bare.Status, bare.Label, bare.Kept = "", noLabel, record.KeptAll
		}
	}
	return kept
}
