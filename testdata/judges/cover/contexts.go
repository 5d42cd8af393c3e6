package main

import (
	"fmt"
	"slices"
	"strings"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// row is a row of the table of flow labels, or a rule that stands before or beside it,
// with the contexts that it rules.
type row struct {
	name     string
	contexts []shunts
	// held: whatever the verifier does, a first revision stays preliminary.
	held bool
	// answered: there is none without a verifier.
	answered bool
}

// shunts is what a sheet says of shunts, and what is to be read back from its bundle.
type shunts struct {
	name    string
	states  map[string]measure.State // a level that is not named is closed
	anatomy bool                     // another anatomy than two ventricles in series
	life    bool                     // veno-arterial life support
	monitor string                   // "" = m1, whose area counts the lungs
	sign    bool                     // a left-to-right sign at the second injection
	answer  bool                     // and the verifier's answer to it
}

// rows gives the rows of the table, then those rules of flow-labels that no level has a
// row for.
func rows() []row {
	var all []row
	for _, r := range measure.LabelRows() {
		next := row{name: nameOf(r), held: measure.Curable(r.Reason)}
		for _, level := range r.Levels {
			for _, state := range r.States {
				next.contexts = append(next.contexts, one(level, state))
			}
		}
		if len(r.Levels) == len(measure.Levels) { // every level is closed: one context
			next.contexts = []shunts{{name: "closed"}}
		}
		all = append(all, next)
	}
	return append(all, beside...)
}

// beside are the rules beside the rows of the table.
var beside = []row{
	{name: "several levels", contexts: []shunts{
		several(measure.StateLeftToRight, measure.Atrial, measure.Ductal),
		several(measure.StateLeftToRight, measure.Ventricular, measure.Aortopulmonary),
		several(measure.StateRightToLeft, measure.Ventricular, measure.Ductal),
	}},
	{name: "other anatomy", contexts: []shunts{{name: "other-anatomy", anatomy: true}}},
	{name: "life support", contexts: []shunts{{name: "life-support", life: true}}},
	{name: "monitor's area without the lungs", held: true, contexts: []shunts{underMonitor("m3", measure.Atrial), underMonitor("m3", measure.Ductal)}},
	{name: "monitor's area unknown", held: true, contexts: []shunts{underMonitor("m2", measure.Ventricular), underMonitor("m2", measure.Atrial)}},
	{name: "sign not answered", held: true, contexts: []shunts{{name: "sign", sign: true}}},
	{name: "sign answered", answered: true, contexts: []shunts{{name: "sign-answered", sign: true, answer: true}}},
}

func nameOf(r measure.LabelRow) string {
	levels := strings.Join(r.Levels, ", ")
	if len(r.Levels) == len(measure.Levels) {
		levels = "all"
	}
	var states []string
	for _, s := range r.States {
		states = append(states, string(s))
	}
	return levels + ": " + strings.Join(states, ", ")
}

func one(level string, state measure.State) shunts {
	return shunts{name: level + "-" + string(state), states: map[string]measure.State{level: state}}
}

func several(state measure.State, levels ...string) shunts {
	s := shunts{name: strings.Join(levels, "-") + "-" + string(state), states: map[string]measure.State{}}
	for _, level := range levels {
		s.states[level] = state
	}
	return s
}

func underMonitor(monitor, level string) shunts {
	s := one(level, measure.StateLeftToRight)
	s.name += "-" + monitor
	s.monitor = monitor
	return s
}

func (s shunts) at(level string) measure.State {
	if state, named := s.states[level]; named {
		return state
	}
	return measure.StateClosed
}

// differs tells what a session that was read back says otherwise, "" for nothing.
func (s shunts) differs(read *record.Session) string {
	got := read.Shunts()
	for _, level := range measure.Levels {
		if got.At(level) != s.at(level) {
			return fmt.Sprintf("the %s level is %s, %s was meant", level, got.At(level), s.at(level))
		}
	}
	reasons := measure.Judge(got).Doubts
	switch {
	case got.OtherAnatomy != s.anatomy, got.LifeSupport != s.life:
		return "anatomy or life support differ"
	case got.Contradicted != (s.sign && !s.answer):
		return "a sign differs"
	case (s.monitor != "") != slices.ContainsFunc(reasons, func(r string) bool { return strings.HasPrefix(r, "monitor-area-") }):
		return "the monitor's area differs"
	}
	return ""
}
