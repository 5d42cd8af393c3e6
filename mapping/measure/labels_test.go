package measure_test

import (
	"slices"
	"strings"
	"testing"

	"saltmark/mapping/measure"
)

// levelsIn gives a context in which every level is closed but those named, and the
// monitor counts recirculation through the lungs.
func levelsIn(states map[string]measure.State) measure.Shunts {
	s := measure.Shunts{Area: measure.AreaYes}
	for _, level := range measure.Levels {
		state, named := states[level]
		if !named {
			state = measure.StateClosed
		}
		*stateOf(&s, level) = state
	}
	return s
}

func stateOf(s *measure.Shunts, level string) *measure.State {
	switch level {
	case measure.Atrial:
		return &s.Atrial
	case measure.Ventricular:
		return &s.Ventricular
	case measure.Ductal:
		return &s.Ductal
	}
	return &s.Aortopulmonary
}

const (
	yes      = measure.Yes
	caution  = measure.Caution
	withheld = measure.Withheld
)

// labelTable is the table of the rules' page (which flow does the number stand for),
// row by row, in its order and with its names, written from the page and not from
// the code. Each row stands for every context that it names.
var labelTable = []struct {
	name             string
	contexts         []measure.Shunts
	equals           string // as the page writes the set; "" = not determined
	reason           string
	lv, ro, cbv, edv measure.Permit
}{
	{"all closed", contexts(one("", measure.StateClosed)), "Qs-LVO-RVO-Qp", "", yes, yes, yes, yes},
	{"atrial left to right", contexts(one("atrial", measure.StateLeftToRight)), "Qs-LVO", "", yes, yes, caution, withheld},
	{"atrial right to left, bidirectional", contexts(one("atrial", measure.StateRightToLeft, measure.StateBidirectional)), "Qs-LVO", "", yes, yes, withheld, withheld},
	{"atrial open, direction not seen; atrial not seen", contexts(one("atrial", measure.StateNoDirection, measure.StateNotSeen, measure.StateStale)), "Qs-LVO", "", yes, yes, withheld, withheld},
	{"ventricular left to right", contexts(one("ventricular", measure.StateLeftToRight)), "Qs", "", withheld, yes, caution, withheld},
	{"ventricular right to left, bidirectional, direction not seen", contexts(one("ventricular", measure.StateRightToLeft, measure.StateBidirectional, measure.StateNoDirection)), "", "unmixed-streams", withheld, withheld, withheld, withheld},
	{"ductal or aortopulmonary left to right", contexts(one("ductal", measure.StateLeftToRight), one("aortopulmonary", measure.StateLeftToRight)), "Qs-RVO", "", withheld, yes, caution, withheld},
	{"ductal or aortopulmonary right to left, bidirectional, direction not seen", contexts(
		one("ductal", measure.StateRightToLeft, measure.StateBidirectional, measure.StateNoDirection),
		one("aortopulmonary", measure.StateRightToLeft, measure.StateBidirectional, measure.StateNoDirection)), "", "two-paths", withheld, withheld, withheld, withheld},
	{"ventricular, ductal or aortopulmonary not seen", contexts(one("ventricular", measure.StateNotSeen), one("ductal", measure.StateNotSeen), one("aortopulmonary", measure.StateNotSeen)), "", "not-assessed", withheld, withheld, withheld, withheld},
	{"ventricular, ductal or aortopulmonary not seen, for the age of the look", contexts(one("ventricular", measure.StateStale), one("ductal", measure.StateStale), one("aortopulmonary", measure.StateStale)), "", "stale-assessment", withheld, withheld, withheld, withheld},
	{"other anatomy", []measure.Shunts{{Area: measure.AreaYes, OtherAnatomy: true, Atrial: "closed", Ventricular: "closed", Ductal: "closed", Aortopulmonary: "closed"}}, "", "other-anatomy", withheld, withheld, withheld, withheld},
	{"veno-arterial life support", []measure.Shunts{{Area: measure.AreaYes, LifeSupport: true, Atrial: "closed", Ventricular: "closed", Ductal: "closed", Aortopulmonary: "closed"}}, "", "life-support", withheld, withheld, withheld, withheld},
	{"any state without a row", contexts(one("atrial", "odd"), one("ductal", "odd")), "", "not-assessed", withheld, withheld, withheld, withheld},
	{"several: the intersection of the sets", []measure.Shunts{levelsIn(map[string]measure.State{"atrial": measure.StateLeftToRight, "ductal": measure.StateLeftToRight})}, "Qs", "", withheld, yes, caution, withheld},
	{"several: not determined when one row is", []measure.Shunts{levelsIn(map[string]measure.State{"atrial": measure.StateLeftToRight, "ductal": measure.StateRightToLeft})}, "", "two-paths", withheld, withheld, withheld, withheld},
	{"several: the strictest entry", []measure.Shunts{levelsIn(map[string]measure.State{"atrial": measure.StateRightToLeft, "ventricular": measure.StateLeftToRight})}, "Qs", "", withheld, yes, withheld, withheld},
}

// one gives the contexts in which one level is in one of some states and the others
// are closed.
func one(level string, states ...measure.State) []measure.Shunts {
	var all []measure.Shunts
	for _, state := range states {
		all = append(all, levelsIn(map[string]measure.State{level: state}))
	}
	return all
}

func contexts(lists ...[]measure.Shunts) []measure.Shunts { return slices.Concat(lists...) }

func TestEveryRowOfTheTableOfFlowLabels(t *testing.T) {
	for _, row := range labelTable {
		t.Run(row.name, func(t *testing.T) {
			for _, s := range row.contexts {
				v := measure.Judge(s)
				code := row.equals
				if code == "" {
					code = measure.NotDetermined
				}
				if v.Label.Code() != code || v.Label.Reason != row.reason {
					t.Errorf("%+v: label %s %q, want %s %q", s, v.Label.Code(), v.Label.Reason, code, row.reason)
				}
				if v.LV != row.lv || v.RO != row.ro || v.CBV != row.cbv || v.EDV != row.edv {
					t.Errorf("%+v: columns %d %d %d %d, want %d %d %d %d", s, v.LV, v.RO, v.CBV, v.EDV, row.lv, row.ro, row.cbv, row.edv)
				}
			}
		})
	}
}

// The monitor's area, by the page: unless every level is closed, or open with right
// to left only, a reported flow is labelled only when the area counts recirculation
// through the lungs, or when a recomputed flow agrees.
func TestTheMonitorsAreaDecidesWhereBloodMayRecirculate(t *testing.T) {
	closed, duct := map[string]measure.State{}, map[string]measure.State{"ductal": measure.StateLeftToRight}
	foramen := map[string]measure.State{"atrial": measure.StateRightToLeft}
	unseen := map[string]measure.State{"atrial": measure.StateNotSeen}
	tests := []struct {
		name         string
		levels       map[string]measure.State
		area         measure.Area
		contradicted bool
		agrees       bool
		label        string
		reason       string
	}{
		{"closed, unknown", closed, measure.AreaUnknown, false, false, "Qs-LVO-RVO-Qp", ""},
		{"closed, no", closed, measure.AreaNo, false, false, "Qs-LVO-RVO-Qp", ""},
		{"right to left only, unknown", foramen, measure.AreaUnknown, false, false, "Qs-LVO", ""},
		{"not seen counts as maybe, unknown", unseen, measure.AreaUnknown, false, false, "not-determined", "monitor-area-unknown"},
		{"duct, yes", duct, measure.AreaYes, false, false, "Qs-RVO", ""},
		{"duct, no: never labelled Qp", duct, measure.AreaNo, false, false, "not-determined", "monitor-area-excludes-lungs"},
		{"duct, unknown", duct, measure.AreaUnknown, false, false, "not-determined", "monitor-area-unknown"},
		{"duct, nothing said", duct, "", false, false, "not-determined", "monitor-area-unknown"},
		{"duct, unknown, a recomputed flow agrees", duct, measure.AreaUnknown, false, true, "Qs-RVO", ""},
		{"a sign unanswered: closed counts as not closed", closed, measure.AreaUnknown, true, false, "not-determined", "monitor-area-unknown"},
		{"a sign unanswered, no", closed, measure.AreaNo, true, false, "not-determined", "monitor-area-unknown"},
		{"a sign unanswered, yes", closed, measure.AreaYes, true, false, "Qs-LVO-RVO-Qp", ""},
		{"a sign unanswered is not settled by a flow that agrees", closed, measure.AreaUnknown, true, true, "not-determined", "monitor-area-unknown"},
		{"a sign unanswered beside a duct, no: the first reason", duct, measure.AreaNo, true, false, "not-determined", "monitor-area-excludes-lungs"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := levelsIn(test.levels)
			s.Area, s.Contradicted, s.Agrees = test.area, test.contradicted, test.agrees
			v := measure.Judge(s)
			if v.Label.Code() != test.label || v.Label.Reason != test.reason {
				t.Errorf("label %s %q, want %s %q", v.Label.Code(), v.Label.Reason, test.label, test.reason)
			}
			if test.contradicted && (v.LV != withheld || !v.Blocked) {
				t.Errorf("the sign does not block the left ventricular column")
			}
		})
	}
}

func TestASignContradictsOnlyWhereNothingMayGoLeftToRight(t *testing.T) {
	contradicts := map[measure.State]bool{measure.StateClosed: true, measure.StateRightToLeft: true}
	for _, level := range measure.Levels {
		for _, state := range measure.States {
			s := levelsIn(map[string]measure.State{level: state})
			if s.Contradicts() != contradicts[state] {
				t.Errorf("%s %s: contradicts is %v", level, state, s.Contradicts())
			}
		}
	}
}

// The page: sessions with unmixed-streams, two-paths, other-anatomy, life-support may
// become final; the other reasons further data could cure.
func TestReasonsThatFurtherDataCouldCure(t *testing.T) {
	want := map[string]bool{
		"life-support": false, "other-anatomy": false, "unmixed-streams": false, "two-paths": false,
		"stale-assessment": true, "not-assessed": true, "monitor-area-excludes-lungs": true, "monitor-area-unknown": true, "": false,
	}
	for reason, curable := range want {
		if measure.Curable(reason) != curable {
			t.Errorf("%q: curable is %v", reason, !curable)
		}
	}
}

func TestALabelIsReadBackFromItsCode(t *testing.T) {
	var labels []measure.Label
	for f := measure.Flows(1); f <= measure.AllFlows; f++ {
		labels = append(labels, measure.Label{Flows: f})
	}
	labels = append(labels, measure.Label{Part: true})
	for _, reason := range []string{"life-support", "other-anatomy", "unmixed-streams", "two-paths", "stale-assessment", "not-assessed", "monitor-area-excludes-lungs", "monitor-area-unknown", "method-names-no-flow"} {
		labels = append(labels, measure.Label{Reason: reason})
	}
	codes := map[string]string{}
	for _, l := range labels {
		if got, ok := measure.LabelOf(l.Code(), l.Reason); !ok || got != l {
			t.Errorf("%s %q is read as %+v, %v", l.Code(), l.Reason, got, ok)
		}
		if l.Flows != measure.NoFlow {
			if other := codes[l.Code()]; other != "" {
				t.Errorf("%s stands for two labels", l.Code())
			}
			codes[l.Code()] = l.Code()
		}
		for _, in := range measure.Languages() {
			if l.Words(in) == "" {
				t.Errorf("%s has no words in %q", l.Code(), in)
			}
		}
	}
	for _, wrong := range []struct{ code, reason string }{
		{"LVO-Qs", ""}, {"Qs-Qs", ""}, {"qs", ""}, {"", ""}, {"Qs-", ""}, {"not-determined", ""}, {"not-determined", "shunt-rule"}, {"not-determined", "odd"},
	} {
		if l, ok := measure.LabelOf(wrong.code, wrong.reason); ok {
			t.Errorf("%q %q is read as %+v", wrong.code, wrong.reason, l)
		}
	}
}

func TestEveryLabelCodeIsInTheCodeSystemOnce(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range measure.LabelCodes() {
		if seen[c.Code] || !complete(c.Words) {
			t.Errorf("%s is there twice, or has no words", c.Code)
		}
		seen[c.Code] = true
	}
	for _, row := range labelTable {
		if code := row.equals; code != "" && !seen[code] {
			t.Errorf("%s is missing", code)
		}
	}
	if !seen[measure.NotDetermined] || !seen[measure.NoWholeFlow] || len(seen) != 15+2 {
		t.Errorf("%d codes: %v", len(seen), seen)
	}
}

// Words of a label name each flow of the set.
func TestWordsNameEveryFlowOfALabel(t *testing.T) {
	words := measure.Label{Flows: measure.Qs | measure.LVO}.Words(measure.English)
	if words != "blood flow to the body = output of the left ventricle" {
		t.Errorf("%q", words)
	}
	if strings.Contains(words, "lungs") {
		t.Error("a flow is named that is not in the set")
	}
}

// The page on flow labels names three causes for which the sign of an excluded
// injection does not count.
func TestSignsOfExcludedInjectionsCountButForThreeCauses(t *testing.T) {
	faults := map[string]bool{"sensor": true, "air": true, "catheter": true}
	found := 0
	for _, cause := range append([]string{""}, measure.SetNames("exclusion-cause")...) {
		if faults[cause] {
			found++
		}
		if measure.SignCounts(cause) == faults[cause] {
			t.Errorf("excluded for %q, its sign counts: %t", cause, measure.SignCounts(cause))
		}
	}
	if found != len(faults) {
		t.Errorf("%d of the causes are in the table", found)
	}
}
