package mapping

import (
	"slices"
	"strings"

	"saltmark/mapping/measure"
)

// whyUnknown says every reason why no flow can be named, that of the label first.
func (c *conclusion) whyUnknown() []string {
	var why []string
	for _, doubt := range c.doubts() {
		if says := c.doubt(doubt); !slices.Contains(why, says) {
			why = append(why, says)
		}
	}
	return why
}

// doubts gives the reasons of the label's doubt.
func (c *conclusion) doubts() []string {
	reason := c.flow.Label.Reason
	if slices.Contains(c.verdict.Doubts, reason) {
		return c.verdict.Doubts
	}
	return append([]string{reason}, c.verdict.Doubts...)
}

func (c *conclusion) doubt(reason string) string {
	switch {
	case reason == "not-assessed" || reason == "stale-assessment":
		return c.noLook()
	case reason == "monitor-area-unknown" && c.code(sayMonitorArea) == string(measure.AreaNo):
		reason = "monitor-area-excludes-lungs" // known, and a sign that is not answered speaks of it
	}
	words := doubtWords[reason]
	if words.says == (wording{}) {
		return c.reason(reason)
	}
	for _, level := range words.levels {
		if slices.Contains(words.states, c.shunts.At(level)) {
			return c.in(words.says) + c.fill(words.open, c.ofLevel(level)...)
		}
	}
	return c.in(words.says)
}

// noLook says at which levels no look holds, and how old the last one is.
func (c *conclusion) noLook() string {
	stale := c.levelsIn(spokenLevels, measure.StateStale)
	missing := append(c.levelsIn(spokenLevels, measure.StateNotSeen), stale...)
	says := c.in(say.notAssessed)
	if len(missing) < len(spokenLevels) {
		var names []string
		for _, level := range spokenLevels {
			if slices.Contains(missing, level) {
				names = append(names, c.in(wordsOfLevels[level].looked))
			}
		}
		says = c.fill(say.notAssessedLevels, "levels", c.list(names))
	}
	if len(stale) > 0 {
		says += " (" + c.lapse(stale) + ")"
	}
	return says
}

// ofUnknown says what else is open, and what a flow without a name may be mistaken
// for.
func (c *conclusion) ofUnknown() {
	if !c.shows() || c.flow.Label.IsZero() || c.flow.Label.Determined() {
		return
	}
	c.openToo()
	switch c.shunts.At(measure.Ductal) {
	case measure.StateNotSeen, measure.StateStale:
		c.add(say.ifDuct)
	}
	c.add(say.doNotCompare)
}

// openToo names what is open and was not named yet.
func (c *conclusion) openToo() {
	phrase := say.open
	if len(c.named) > 0 {
		phrase = say.openToo
	}
	var items []string
	for _, level := range spokenLevels {
		if isOpen(c.shunts.At(level)) && !slices.Contains(c.named, level) {
			items = append(items, c.fill(say.openItem, c.ofLevel(level)...))
		}
	}
	if len(items) > 0 {
		c.add(phrase, "items", strings.Join(items, "; "))
	}
}
