package review

import (
	"saltmark/mapping/measure"
)

// labelLine is what the table of flow labels says of one level in one state while all
// other levels are closed and the monitor's area counts recirculation through the lungs.
type labelLine struct {
	Level, State, Label string
	LV, RO, CBV, EDV    string
}

// levelStates are the states of a level in the order of the table; a look that no longer
// holds rules like none.
var levelStates = []struct {
	state measure.State
	words string
}{
	{measure.StateLeftToRight, "open, left to right"},
	{measure.StateRightToLeft, "open, right to left"},
	{measure.StateBidirectional, "open, both directions"},
	{measure.StateNoDirection, "open, direction not seen"},
	{measure.StateNotSeen, "not seen, or the look is too old"},
}

var permitWords = map[measure.Permit]string{measure.Yes: "charted", measure.Caution: "with caution", measure.Withheld: "withheld"}

func labelLines() []labelLine {
	closed := measure.Shunts{
		Atrial: measure.StateClosed, Ventricular: measure.StateClosed, Ductal: measure.StateClosed, Aortopulmonary: measure.StateClosed,
		Area: measure.AreaYes,
	}
	lines := []labelLine{labelLineOf("all levels", "closed", closed)}
	for _, level := range measure.Levels {
		for _, s := range levelStates {
			shunts := closed
			*stateOf(&shunts, level) = s.state
			lines = append(lines, labelLineOf(level, s.words, shunts))
		}
	}
	return lines
}

func stateOf(s *measure.Shunts, level string) *measure.State {
	return map[string]*measure.State{
		measure.Atrial: &s.Atrial, measure.Ventricular: &s.Ventricular, measure.Ductal: &s.Ductal, measure.Aortopulmonary: &s.Aortopulmonary,
	}[level]
}

func labelLineOf(level, state string, shunts measure.Shunts) labelLine {
	v := measure.Judge(shunts)
	label := v.Label.Code() + ": " + v.Label.Words(measure.English)
	if reason, ok := measure.ReasonOf(v.Label.Reason); ok {
		label += " (" + reason.Words.In(measure.English) + ")"
	}
	return labelLine{level, state, label, permitWords[v.LV], permitWords[v.RO], permitWords[v.CBV], permitWords[v.EDV]}
}
