package mapping

import (
	"slices"
	"strings"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// spokenLevels is the order in which levels are spoken of.
var spokenLevels = []string{measure.Ductal, measure.Atrial, measure.Ventricular, measure.Aortopulmonary}

// also says which other flows the number equals. Under a contradiction only the
// flow to the body is named.
func (c *conclusion) also() {
	label := c.flow.Label
	switch {
	case c.flow.Value.IsAbsent() || c.contradicted():
	case label.Flows == measure.AllFlows:
		c.add(c.say.alsoAll, "found", c.foundClosed())
	case label.Flows.Contains(measure.LVO):
		c.add(c.say.alsoLeft)
	}
}

// isNot says what the flow is not, level by level.
func (c *conclusion) isNot() {
	if !c.flow.Label.Determined() {
		c.ofUnknown()
		return
	}
	if c.contradicted() {
		return
	}
	for _, row := range notRows {
		for _, level := range row.levels {
			if slices.Contains(row.states, c.shunts.At(level)) {
				c.add(row.says, c.ofLevel(level)...)
			}
		}
	}
}

// ofLevel gives what a sentence can say of a level.
func (c *conclusion) ofLevel(level string) []string {
	closed := ""
	if what := c.closedLevels(", "); what != "" && c.flow.Label.Flows.Contains(measure.LVO) {
		closed = "; " + what
	}
	lesion, is, it := c.lesion(level)
	return []string{
		"lesion", lesion, "is", is, "it", it, "look", c.look(level), "closed", closed,
		"direction", measure.WordsOf("level-direction", c.session.Code(levelThing(level), sayLevelDirection)),
		"limit", c.limit("; "),
	}
}

func levelThing(level string) record.Thing { return record.Thing{Kind: measure.Level, Key: level} }

// lesion gives the words for what is open at a level.
func (c *conclusion) lesion(level string) (words, is, it string) {
	lesion := c.session.Code(levelThing(level), sayLevelLesion)
	words = lesionWords[lesion]
	if words == "" {
		words = wordsOfLevels[level].open
	}
	if strings.HasSuffix(words, "s") {
		return words, "are", "they return"
	}
	return words, "is", "it returns"
}

// look says how and when somebody looked at a level: by the clock on the day of the
// measurement, else by its age.
func (c *conclusion) look(level string) string {
	how := lookWords[c.session.Code(levelThing(level), sayLevelMethod)]
	if how == "" {
		how = someLook
	}
	f := c.session.Get(levelThing(level), sayLevelSeen)
	if f == nil || f.Value.Time == "" {
		return how
	}
	seen := f.Value.Time
	switch {
	case seen.IsDate():
		return how + " of " + string(seen)
	case day(seen) == day(c.time):
		return how + " " + clock(seen)
	}
	side := "before"
	if c.time.Before(seen) {
		side = "after"
	}
	return how + " " + apart(c.time.Go(), seen.Go()) + " " + side
}

// limit says how long a look holds here, "" where the record does not carry it.
func (c *conclusion) limit(before string) string {
	limit := c.value(sayLookLimit)
	if limit == "" {
		return ""
	}
	return before + fill(c.say.limit, "limit", limit)
}

// foundClosed says which looks found the levels closed.
func (c *conclusion) foundClosed() string {
	var looks []string
	levels := map[string][]string{}
	for _, level := range spokenLevels {
		look := c.look(level)
		if levels[look] == nil {
			looks = append(looks, look)
		}
		levels[look] = append(levels[look], level)
	}
	for i, look := range looks {
		how, when, ok := strings.Cut(look, " ")
		if ok && strings.Contains(when, ":") {
			look = how + " " + fill(c.say.at, "clock", when)
		}
		looks[i] = fill(c.say.found, "look", look, "what", c.closedWords(levels[looks[i]], " "+c.say.and+" "))
	}
	return strings.Join(looks, "; ")
}

// closedLevels says which levels were seen closed.
func (c *conclusion) closedLevels(joint string) string {
	var closed []string
	for _, level := range spokenLevels {
		if c.shunts.At(level) == measure.StateClosed {
			closed = append(closed, level)
		}
	}
	return c.closedWords(closed, joint)
}

// closedWords says "duct, atrial and ventricular walls closed and no other
// connection" of levels.
func (c *conclusion) closedWords(levels []string, joint string) string {
	var walls []string
	none := ""
	for _, level := range levels {
		if wall := wordsOfLevels[level].wall; wall != "" {
			walls = append(walls, wall)
		} else {
			none = c.say.none
		}
	}
	if n := len(walls); n > 1 {
		first, isWall := strings.CutSuffix(walls[n-2], " wall")
		last, too := strings.CutSuffix(walls[n-1], " wall")
		if isWall && too {
			walls = append(walls[:n-2], first+" and "+last+" walls")
			if n > 2 { // "duct, atrial and ventricular walls"
				walls = []string{strings.Join(walls, ", ")}
			}
		}
	}
	said := c.list(walls)
	switch {
	case said == "":
		return none
	case none == "":
		return said + " " + c.say.closed
	}
	return said + " " + c.say.closed + joint + none
}

// whyUnknown says every reason why no flow can be named, that of the label first.
func (c *conclusion) whyUnknown() string {
	var why []string
	for _, doubt := range c.doubtsOf() {
		if says := c.doubt(doubt); says != "" && !slices.Contains(why, says) {
			why = append(why, says)
		}
	}
	return strings.Join(why, "; ")
}

// doubtsOf gives the reasons of the label's doubt.
func (c *conclusion) doubtsOf() []string {
	reason := c.flow.Label.Reason
	if slices.Contains(c.verdict.Doubts, reason) {
		return c.verdict.Doubts
	}
	return append([]string{reason}, c.verdict.Doubts...)
}

func (c *conclusion) doubt(reason string) string {
	switch reason {
	case "not-assessed", "stale-assessment":
		return c.noLook()
	}
	words := doubtWords[reason]
	if words.says == "" {
		return c.reason(reason)
	}
	for _, level := range words.levels {
		if slices.Contains(words.states, c.shunts.At(level)) {
			return words.says + fill(words.open, c.ofLevel(level)...)
		}
	}
	return words.says
}

// noLook says at which levels no look holds, and how old the last one is.
func (c *conclusion) noLook() string {
	var missing, looks []string
	for _, level := range spokenLevels {
		switch c.shunts.At(level) {
		case measure.StateStale:
			if look := c.look(level); !slices.Contains(looks, look) {
				looks = append(looks, look)
			}
			missing = append(missing, level)
		case measure.StateNotSeen:
			missing = append(missing, level)
		}
	}
	says := c.say.notAssessed
	if len(missing) < len(spokenLevels) {
		var names []string
		for _, level := range missing {
			names = append(names, wordsOfLevels[level].looked)
		}
		says = fill(c.say.notAssessedLevels, "levels", c.list(names))
	}
	if len(looks) > 0 {
		says += " (" + fill(c.say.lastLook, "look", looks[len(looks)-1]) + c.since() + c.limit("; ") + ")"
	}
	return says
}

// since says which events have come since the looks.
func (c *conclusion) since() string {
	var events []string
	for _, e := range c.session.Things(measure.Event) {
		for _, f := range c.session.Facts {
			if f.About == e && f.Value.Code != "" {
				if words := measure.WordsOf(measure.Get(f.Measure).Values, f.Value.Code); !slices.Contains(events, words) {
					events = append(events, words)
				}
			}
		}
	}
	if len(events) == 0 {
		return ""
	}
	return "; " + strings.Join(events, ", ")
}

// ofUnknown says what a flow without a name may be mistaken for.
func (c *conclusion) ofUnknown() {
	if c.flow.Value.IsAbsent() || c.flow.Label.IsZero() {
		return
	}
	switch c.shunts.At(measure.Ductal) {
	case measure.StateNotSeen, measure.StateStale:
		c.add(c.say.ifDuct)
	}
	c.add(c.say.doNotCompare)
}
