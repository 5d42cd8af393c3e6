package mapping

import (
	"sync"

	"saltmark/internal/terms"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// code is a code of a system with the display that may go with it.
type code struct{ system, code, display string }

// conditional is a code that a row takes under a label.
type conditional struct {
	when      string
	published []code
	local     string
}

// rowCodes are the codes of one row of the table of measures.
type rowCodes struct {
	published   []code
	vital       bool // the published code demands a vital-signs profile
	conditional []conditional
}

// codesOfRows holds the codes of every row, by its place in the table.
var codesOfRows = sync.OnceValue(func() []rowCodes {
	rows := make([]rowCodes, len(measure.All()))
	for i := range rows {
		m := &measure.All()[i]
		rows[i].published = append(loincCodes(m.LOINC), entry(terms.SystemDICOM, m.DICOM)...)
		_, rows[i].vital = terms.VitalSign(m.LOINC)
		for _, w := range m.Codes {
			rows[i].conditional = append(rows[i].conditional, conditional{w.When, loincCodes(w.LOINC), w.Local})
		}
	}
	return rows
})

// loincCodes gives a LOINC code and the one that its vital-signs profile demands
// beside it.
func loincCodes(loinc string) []code {
	codes := entry(terms.SystemLOINC, loinc)
	if vital, ok := terms.VitalSign(loinc); ok && vital.Main != loinc {
		codes = append(codes, entry(terms.SystemLOINC, vital.Main)...)
	}
	return codes
}

func entry(system, c string) []code {
	if c == "" {
		return nil
	}
	e, _ := terms.Lookup(system, c)
	return []code{{system, c, e.Display()}}
}

// wordsOfCodes gives our words for every local code.
var wordsOfCodes = sync.OnceValue(func() map[string]measure.Words {
	words := map[string]measure.Words{}
	for _, c := range measure.LocalCodes() {
		words[c.Code] = c.Words
	}
	return words
})

// coder chooses the codes of a session's facts. The rule stands in the table of
// measures; what it depends on is gathered here once.
type coder struct {
	localSystem string
	blocked     bool // an unanswered sign keeps left ventricular codes away
	recomputed  map[record.Ref]bool
	site        map[string][]Coding // of the site, by measure
}

func newCoder(s *record.Session, base string) coder {
	return coder{
		localSystem: base + measure.MeasureCodes,
		blocked:     standingSession(s).Verdict().Blocked,
		recomputed:  recomputed(s.Facts),
	}
}

// recomputed gives the facts that come from a curve: recomputed ones and what was
// made from them. It is nil where there is none.
func recomputed(facts []record.Fact) map[record.Ref]bool {
	var found map[record.Ref]bool
	var next []record.Ref
	for i := range facts {
		if facts[i].Origin == record.Recomputed {
			next = append(next, facts[i].Ref)
		}
	}
	if next == nil {
		return nil
	}
	madeFrom := map[record.Ref][]record.Ref{}
	for i := range facts {
		for _, from := range facts[i].From {
			madeFrom[from] = append(madeFrom[from], facts[i].Ref)
		}
	}
	found = map[record.Ref]bool{}
	for len(next) > 0 {
		r := next[len(next)-1]
		next = next[:len(next)-1]
		if !found[r] {
			found[r] = true
			next = append(next, madeFrom[r]...)
		}
	}
	return found
}

// usedOnly tells that a value was not measured here: it is written once, under the
// local code for a value used for the calculation.
func usedOnly(f *record.Fact, m *measure.Measure) bool {
	return m.Used != "" && f.Obtained != "" && f.Obtained != measuredHere
}

const measuredHere = "measured-here"

// isVital tells whether an Observation under these codes is a vital sign, whose
// components the profile binds to units of vital signs: no condition, no label, no
// origin may be one there.
func isVital(codes []code, m *measure.Measure) bool {
	return codesOfRows()[m.Row].vital && codes[0].system == terms.SystemLOINC
}

// of gives the codes of a fact, published ones first and exactly one of our own
// last, whose words are the text of the code.
func (c coder) of(codes []code, f *record.Fact, m *measure.Measure) []code {
	local := ""
	switch row := &codesOfRows()[m.Row]; {
	case usedOnly(f, m):
		local = m.Used
	case f.About.Kind != measure.Injection && !c.fromCurve(f):
		codes = append(codes, row.published...)
		for i := range row.conditional {
			if w := &row.conditional[i]; c.holds(w.when, f, m) {
				codes = append(codes, w.published...)
				if w.local != "" {
					local = w.local
				}
			}
		}
	}
	if local == "" {
		local = m.LocalCode(f.About.Kind, f.About.Key)
	}
	return append(codes, code{system: c.localSystem, code: local})
}

// holds tells whether a conditional code applies to a fact of the session. What is
// withheld keeps such codes only where its row says so.
func (c coder) holds(when string, f *record.Fact, m *measure.Measure) bool {
	if f.Value.IsAbsent() && !m.KeepsCodeWhenAbsent || f.Label.IsZero() {
		return false
	}
	if when == measure.NotDetermined {
		return f.Label.Code() == measure.NotDetermined
	}
	flow, _ := measure.FlowOf(when)
	return f.Label.Flows.Contains(flow) && !(flow != measure.Qs && c.unpublished(f))
}

// unpublished tells whether an unanswered sign leaves a fact the codes of the flow to
// the body alone, or did so when it was charted.
func (c coder) unpublished(f *record.Fact) bool {
	if f.Status.TakenBack() {
		return f.Kept == record.KeptUnpublished
	}
	return c.blocked
}

// fromCurve tells whether a fact comes from a curve, or did so when it was charted.
func (c coder) fromCurve(f *record.Fact) bool {
	if f.Status.TakenBack() {
		return f.Origin == record.Recomputed || f.Kept == record.KeptLocal
	}
	return c.recomputed[f.Ref]
}

// keptUnder gives how a fact that was taken back was coded: the first way whose
// codes are the ones that it has.
func (c coder) keptUnder(f *record.Fact, m *measure.Measure, has func([]code) bool) record.Kept {
	trial := *f
	trial.Status = record.EnteredInError
	for _, trial.Kept = range []record.Kept{record.KeptAll, record.KeptUnpublished, record.KeptLocal} {
		if has(c.of(nil, &trial, m)) {
			return trial.Kept
		}
	}
	return record.KeptAll
}

// textOf gives our words for a local code.
func (c coder) textOf(local string, f *record.Fact, l measure.Language) string {
	words := wordsOfCodes()[local].In(l)
	if words == "" {
		words = local
	}
	if m := measure.Get(f.Measure); c.fromCurve(f) && (m == nil || m.Origin != string(record.Recomputed)) { // whose words say so
		return words + ", " + measure.WordsOf("origin", string(record.Recomputed), l)
	}
	return words
}
