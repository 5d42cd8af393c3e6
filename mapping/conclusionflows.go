package mapping

import (
	"slices"
	"strings"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// spokenLevels is the order in which levels are spoken of.
var spokenLevels = []string{measure.Ductal, measure.Atrial, measure.Ventricular, measure.Aortopulmonary}

// bypasses are the levels that take the output of the left ventricle away, in the
// order in which they are named.
var bypasses = []string{measure.Ductal, measure.Aortopulmonary, measure.Ventricular}

// namesFlows tells whether the conclusion may say what the flow is and is not: it shows
// one, its label names flows, and no contradiction forbids more than the flow to the
// body.
func (c *conclusion) namesFlows() bool {
	return c.shows() && c.flow.Label.Determined() && !c.contradicted()
}

// also says which other flows the number equals.
func (c *conclusion) also() {
	it := c.in(say.it)
	if c.withoutFlow() && !c.beside {
		it = c.in(say.each)
	}
	switch flows := c.flow.Label.Flows; {
	case !c.namesFlows():
	case flows == measure.AllFlows:
		c.add(say.alsoAll, "it", it, "found", strings.Join(c.found(spokenLevels), "; "))
	case flows.Contains(measure.LVO):
		c.add(say.alsoLeft, "it", it)
	}
}

// notLeft says that it is not the output of the left ventricle, for every lesion
// that takes some of it away.
func (c *conclusion) notLeft() {
	open := c.levelsIn(bypasses, measure.StateLeftToRight)
	if !c.namesFlows() || len(open) == 0 {
		return
	}
	higher := c.readsHigher()
	if len(open) == 1 {
		c.add(say.notLeft, append(c.ofLevel(open[0]), "blood", c.bloodBeside(open[0]), "higher", higher)...)
		return
	}
	c.add(say.notLeftSeveral, "lesions", c.openLesions(open))
	c.add(say.notLeftMissing, "higher", higher)
}

// bloodBeside names the blood that goes another way through what is open at a level.
func (c *conclusion) bloodBeside(level string) string {
	switch {
	case level == measure.Ventricular:
		return c.in(say.crosses)
	case c.lesion(level).several:
		return c.in(say.severalReturn)
	}
	return c.in(say.returns)
}

// readsHigher says where echo reads more than this number for certain. What crosses
// the duct comes through the aortic valve. What crosses the ventricular wall comes
// through the pulmonary valve, unless the atria may take as much from it.
func (c *conclusion) readsHigher() string {
	var valves []string
	if len(c.levelsIn([]string{measure.Ductal, measure.Aortopulmonary}, measure.StateLeftToRight)) > 0 {
		valves = append(valves, c.in(say.aorticValve))
	}
	atrial := c.shunts.At(measure.Atrial)
	if c.shunts.At(measure.Ventricular) == measure.StateLeftToRight && (atrial == measure.StateClosed || atrial == measure.StateLeftToRight) {
		valves = append(valves, c.in(say.pulmonaryValve))
	}
	if len(valves) == 0 {
		return ""
	}
	return c.fill(say.readsHigher, "valves", c.list(valves))
}

// openLesions names lesions with the look at each; a look at all of them once.
func (c *conclusion) openLesions(levels []string) string {
	looks := c.byLook(levels)
	var names []string
	for _, level := range levels {
		name := c.in(c.lesion(level).acts)
		if len(looks) > 1 {
			name += " (" + c.look(level).String() + ")"
		}
		names = append(names, name)
	}
	once := ""
	if len(looks) == 1 {
		once = " (" + looks[0].look.String() + ")"
	}
	return c.fill(say.severalOpen, "lesions", c.list(names), "looks", once)
}

// diastole says where the blood may not go.
func (c *conclusion) diastole() {
	if c.shows() && c.code(sayDiastole) == "reversed" {
		c.add(say.diastole)
	}
}

// strokeWithheld follows what takes the left ventricle away.
func (c *conclusion) strokeWithheld() {
	if c.namesFlows() && c.ruledOut(sayStrokeVolume) {
		c.add(say.strokeWithheld)
	}
}

// ruledOut tells whether a shunt makes a value of the session meaningless.
func (c *conclusion) ruledOut(key string) bool {
	f := c.of(key)
	return f != nil && f.Value.Absent.Reason == "shunt-rule"
}

// notRight says what crosses the atrial wall, and what that makes of the flows
// through the right ventricle and the lungs. Of each flow it says what the balance
// of flows proves (measure.Flows) and no more: with d, v and a at the great arteries,
// between ventricles and atria, RVO = Qs + a + v and Qp = RVO + d.
func (c *conclusion) notRight() {
	if !c.namesFlows() {
		return
	}
	beside := alone
	switch {
	case c.shunts.At(measure.Ventricular) != measure.StateClosed:
		beside = besideVentricular
	case len(c.levelsIn(bypasses, measure.StateClosed)) < len(bypasses):
		beside = besideDuct
	}
	state := c.shunts.At(measure.Atrial)
	for _, row := range atrialRows {
		if slices.Contains(row.states, state) && slices.Contains(row.beside, beside) {
			c.add(row.says, c.ofAtrial(beside)...)
			break
		}
	}
	if closed := c.levelsIn(spokenLevels, measure.StateClosed); beside == alone && !isOpen(state) && len(closed) < len(spokenLevels) {
		for _, found := range c.found(closed) {
			c.add(say.sentence, "text", capital(found))
		}
	}
}

// ofAtrial gives what a row of the atrial level can say.
func (c *conclusion) ofAtrial(beside besides) []string {
	through, closed := c.in(say.rightVentricle), ""
	if beside == alone {
		through = c.in(say.lungsAndRight)
		if what := c.closedBeside(measure.Atrial); what != "" {
			closed = "; " + what
		}
	}
	pairs := append(c.ofLevel(measure.Atrial), "through", through, "closed", closed)
	if c.shunts.At(measure.Atrial) == measure.StateStale {
		pairs = append(pairs, "lapse", c.lapse([]string{measure.Atrial}))
	}
	return pairs
}

// isOpen tells whether blood is known to cross in some direction.
func isOpen(state measure.State) bool {
	switch state {
	case measure.StateLeftToRight, measure.StateRightToLeft, measure.StateBidirectional, measure.StateNoDirection:
		return true
	}
	return false
}

// levelsIn gives those of the levels that are in a state.
func (c *conclusion) levelsIn(levels []string, state measure.State) []string {
	var found []string
	for _, level := range levels {
		if c.shunts.At(level) == state {
			found = append(found, level)
		}
	}
	return found
}

// ofLevel gives what a sentence can say of a level that is open.
func (c *conclusion) ofLevel(level string) []string {
	c.named = append(c.named, level)
	words, open := c.lesion(level), say.isOpen
	if words.several {
		open = say.areOpen
	}
	return []string{
		"lesion", c.in(words.name), "open", c.fill(open, "lesion", c.in(words.acts)), "crossed", c.in(words.crossed),
		"look", c.look(level).String(),
		"direction", measure.WordsOf("level-direction", c.codeOf(levelThing(level), sayLevelDirection), c.language),
	}
}

func levelThing(level string) record.Thing { return record.Thing{Kind: measure.Level, Key: level} }

// lesion gives the words for what is open at a level.
func (c *conclusion) lesion(level string) openWords {
	words, stated := lesionWords[c.codeOf(levelThing(level), sayLevelLesion)]
	if !stated {
		words = wordsOfLevels[level].open
	}
	return words
}

// cautions says what else a flow of this label carries with it.
func (c *conclusion) cautions() {
	if !c.shows() {
		return
	}
	if c.code(sayMalformation) == "yes" {
		c.add(say.malformation)
	}
	if says, runs := circuitWords[c.code(sayCircuit)]; runs {
		c.add(says)
	}
	if value := c.value(sayStrokeVolume); value != "" && c.flow.Label.Determined() && c.flow.Label.Flows != measure.AllFlows {
		c.add(say.strokeVolume, "value", value)
	}
	if c.verdict.CBV == measure.Caution && c.value(sayCentralVolume) != "" {
		c.add(say.centralCaution)
	}
}
