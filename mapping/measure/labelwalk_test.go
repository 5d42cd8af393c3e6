package measure_test

import (
	"testing"

	"saltmark/mapping/measure"
)

// slowVerdict reads the rules' page a second time, in another way than the table of
// the code: the flows of a label come from the balance of flows itself (numbers put
// in for what may cross), the reasons and columns from one question after another.
type slowVerdict struct {
	flows            string
	reason           string
	lv, ro, cbv, edv measure.Permit
}

func slowly(s measure.Shunts) slowVerdict {
	atrial, ventricular, ductal, aortopulmonary := s.At(measure.Atrial), s.At(measure.Ventricular), s.At(measure.Ductal), s.At(measure.Aortopulmonary)
	none := slowVerdict{flows: "not-determined", lv: withheld, ro: withheld, cbv: withheld, edv: withheld}
	if none.reason = firstReason(s, ventricular, ductal, aortopulmonary); none.reason != "" {
		return none
	}
	v := slowVerdict{flows: equals(measuredFlows(s), systemicFlow)}
	crossing := atrial != measure.StateClosed || ventricular != measure.StateClosed || ductal != measure.StateClosed || aortopulmonary != measure.StateClosed
	if ventricular != measure.StateClosed || ductal != measure.StateClosed || aortopulmonary != measure.StateClosed {
		v.lv = withheld // the left ventricle ejects more than the body gets
	}
	if crossing {
		v.cbv, v.edv = caution, withheld
	}
	if atrial != measure.StateClosed && atrial != measure.StateLeftToRight {
		v.cbv = withheld // some indicator may go past the lungs
	}
	if s.Contradicted {
		v.lv = withheld
	}
	return v
}

// firstReason asks for each reason in the order in which the page names them.
func firstReason(s measure.Shunts, ventricular, ductal, aortopulmonary measure.State) string {
	someRightToLeft := func(state measure.State) bool {
		return state == measure.StateRightToLeft || state == measure.StateBidirectional || state == measure.StateNoDirection
	}
	known := func(state measure.State) bool {
		return state == measure.StateClosed || state == measure.StateRightToLeft
	}
	allKnown := known(s.At(measure.Atrial)) && known(ventricular) && known(ductal) && known(aortopulmonary)
	switch {
	case s.LifeSupport:
		return "life-support"
	case s.OtherAnatomy:
		return "other-anatomy"
	case someRightToLeft(ventricular):
		return "unmixed-streams"
	case someRightToLeft(ductal) || someRightToLeft(aortopulmonary):
		return "two-paths"
	case ventricular == measure.StateStale || ductal == measure.StateStale || aortopulmonary == measure.StateStale:
		return "stale-assessment"
	case ventricular == measure.StateNotSeen || ductal == measure.StateNotSeen || aortopulmonary == measure.StateNotSeen:
		return "not-assessed"
	case s.Area == measure.AreaYes:
		return ""
	case !allKnown && !s.Agrees && s.Area == measure.AreaNo:
		return "monitor-area-excludes-lungs"
	case !allKnown && !s.Agrees || s.Contradicted:
		return "monitor-area-unknown"
	}
	return ""
}

// The balance of flows, in made-up numbers: 1000 to the body, and across each level
// that is not closed an amount that no sum of others makes.
const systemicFlow = 1000

type fourFlows struct{ qs, lvo, rvo, qp int }

func measuredFlows(s measure.Shunts) fourFlows {
	through := func(level string, amount int) int {
		if s.At(level) == measure.StateClosed {
			return 0
		}
		return amount
	}
	a, v := through(measure.Atrial, 1), through(measure.Ventricular, 10)
	d := through(measure.Ductal, 100) + through(measure.Aortopulmonary, 200)
	return fourFlows{qs: systemicFlow, lvo: systemicFlow + d + v, rvo: systemicFlow + a + v, qp: systemicFlow + a + v + d}
}

// equals names the flows that have a size.
func equals(f fourFlows, size int) string {
	code := ""
	for _, flow := range []struct {
		name string
		size int
	}{{"Qs", f.qs}, {"LVO", f.lvo}, {"RVO", f.rvo}, {"Qp", f.qp}} {
		if flow.size == size {
			if code != "" {
				code += "-"
			}
			code += flow.name
		}
	}
	if code == "" {
		return "no-whole-flow"
	}
	return code
}

// everyContext calls visit with every combination of states and answers.
func everyContext(visit func(measure.Shunts)) {
	bools := []bool{false, true}
	for _, atrial := range measure.States {
		for _, ventricular := range measure.States {
			for _, ductal := range measure.States {
				for _, aortopulmonary := range measure.States {
					for _, area := range []measure.Area{measure.AreaYes, measure.AreaNo, measure.AreaUnknown} {
						for bits := range 16 {
							visit(measure.Shunts{
								Atrial: atrial, Ventricular: ventricular, Ductal: ductal, Aortopulmonary: aortopulmonary, Area: area,
								OtherAnatomy: bools[bits&1], LifeSupport: bools[bits>>1&1], Contradicted: bools[bits>>2&1], Agrees: bools[bits>>3&1],
							})
						}
					}
				}
			}
		}
	}
}

func TestEveryCombinationIsJudgedAsThePageReads(t *testing.T) {
	count := 0
	everyContext(func(s measure.Shunts) {
		count++
		v, want := measure.Judge(s), slowly(s)
		got := slowVerdict{v.Label.Code(), v.Label.Reason, v.LV, v.RO, v.CBV, v.EDV}
		if got != want {
			t.Fatalf("%+v: %+v, want %+v", s, got, want)
		}
		if v.Blocked != s.Contradicted {
			t.Fatalf("%+v: blocked is %v", s, v.Blocked)
		}
	})
	if want := 7 * 7 * 7 * 7 * 3 * 16; count != want {
		t.Errorf("%d combinations walked, want %d", count, want)
	}
}

// looser tells whether a verdict allows what another forbids.
func looser(v, than measure.Verdict) bool {
	return v.Label.Flows&^than.Label.Flows != 0 || v.LV < than.LV || v.RO < than.RO || v.CBV < than.CBV || v.EDV < than.EDV
}

func TestAddingALesionNeverLoosensALabel(t *testing.T) {
	everyContext(func(s measure.Shunts) {
		before := measure.Judge(s)
		for _, level := range measure.Levels {
			if s.At(level) != measure.StateClosed {
				continue
			}
			for _, state := range measure.States {
				with := s
				*stateOf(&with, level) = state
				if after := measure.Judge(with); looser(after, before) {
					t.Fatalf("%s %s in %+v: %+v after %+v", level, state, s, after, before)
				}
			}
		}
	})
}

func TestKnowingLessNeverLoosensALabel(t *testing.T) {
	everyContext(func(s measure.Shunts) {
		known := measure.Judge(s)
		for _, level := range measure.Levels {
			for _, state := range []measure.State{measure.StateNotSeen, measure.StateStale} {
				with := s
				*stateOf(&with, level) = state
				if less := measure.Judge(with); looser(less, known) {
					t.Fatalf("%s %s in %+v: %+v after %+v", level, state, s, less, known)
				}
			}
		}
		for _, worse := range []measure.Shunts{withArea(s, measure.AreaNo), withArea(s, measure.AreaUnknown), contradicted(s), lifeSupport(s), otherAnatomy(s)} {
			if s.Area != measure.AreaYes && worse.Area != s.Area {
				continue
			}
			if less := measure.Judge(worse); looser(less, known) {
				t.Fatalf("%+v after %+v: %+v after %+v", worse, s, less, known)
			}
		}
	})
}

func withArea(s measure.Shunts, a measure.Area) measure.Shunts { s.Area = a; return s }
func contradicted(s measure.Shunts) measure.Shunts             { s.Contradicted = true; return s }
func lifeSupport(s measure.Shunts) measure.Shunts              { s.LifeSupport = true; return s }
func otherAnatomy(s measure.Shunts) measure.Shunts             { s.OtherAnatomy = true; return s }

func TestWhatIsNotDeterminedTakesEveryColumnAway(t *testing.T) {
	order := []string{"life-support", "other-anatomy", "unmixed-streams", "two-paths", "stale-assessment", "not-assessed", "monitor-area-excludes-lungs", "monitor-area-unknown"}
	everyContext(func(s measure.Shunts) {
		v := measure.Judge(s)
		if v.Label.Determined() {
			if !v.Label.Flows.Contains(measure.Qs) {
				t.Fatalf("%+v: %s does not hold the flow to the body", s, v.Label.Code())
			}
			if len(v.Doubts) != 0 || v.Label.Reason != "" {
				t.Fatalf("%+v: determined with doubts %v", s, v.Doubts)
			}
			if v.LV == yes && !v.Label.Flows.Contains(measure.LVO) {
				t.Fatalf("%+v: left ventricular values under %s", s, v.Label.Code())
			}
			return
		}
		if v.LV != withheld || v.RO != withheld || v.CBV != withheld || v.EDV != withheld {
			t.Fatalf("%+v: not determined, and columns %d %d %d %d", s, v.LV, v.RO, v.CBV, v.EDV)
		}
		if v.Label.Reason != v.Doubts[0] {
			t.Fatalf("%+v: reason %q of %v", s, v.Label.Reason, v.Doubts)
		}
		at := 0
		for _, doubt := range v.Doubts {
			for at < len(order) && order[at] != doubt {
				at++
			}
		}
		if at == len(order) {
			t.Fatalf("%+v: doubts %v are not in the page's order", s, v.Doubts)
		}
	})
}

func TestWithoutALookNothingIsTheOutputOfTheLeftVentricle(t *testing.T) {
	unseen := []measure.State{"", measure.StateNotSeen, measure.StateStale}
	everyContext(func(s measure.Shunts) {
		for _, level := range []string{measure.Ventricular, measure.Ductal, measure.Aortopulmonary} {
			for _, state := range unseen {
				with := s
				*stateOf(&with, level) = state
				if v := measure.Judge(with); v.Label.Flows.Contains(measure.LVO) || v.LV != withheld {
					t.Fatalf("%s %q: %s", level, state, v.Label.Code())
				}
			}
		}
	})
	if v := measure.Judge(measure.Shunts{}); v.Label.Determined() {
		t.Errorf("nothing stated gives %s", v.Label.Code())
	}
}
