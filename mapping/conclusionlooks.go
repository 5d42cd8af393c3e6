package mapping

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// looking is how and when somebody looked at a level.
type looking struct {
	how, when string
	clock     bool // when is the time on the day of the measurement
}

func (l looking) String() string { return l.how + " " + l.when }

// look says how and when somebody looked at a level: by the clock on the day of the
// measurement, else by its age.
func (c *conclusion) look(level string) looking {
	l := looking{how: lookWords[c.codeOf(levelThing(level), sayLevelMethod)]}
	if l.how == "" {
		l.how = c.say.someLook
	}
	c.looked = true
	switch seen := c.seen(level); {
	case seen == "":
		l.when = c.say.someTime
	case seen.IsDate():
		l.when = fill(c.say.ofDate, "date", string(seen))
	case c.sameDay(seen):
		l.when, l.clock = c.clock(seen), true
	default:
		l.when = c.ago(seen)
	}
	return l
}

// seen gives the time of the look at a level, "" where it is not stated.
func (c *conclusion) seen(level string) record.Time {
	if f := c.get(levelThing(level), sayLevelSeen); f != nil {
		return f.Value.Time
	}
	return ""
}

// ago says how long before or after the nearest injection of the flow a time lies.
func (c *conclusion) ago(seen record.Time) string {
	age, side := c.age(seen), c.say.ageBefore
	if seen.Go().After(c.used[0]) {
		side = c.say.ageAfter
	}
	return fill(side, "age", ageInWords(age, c.limit))
}

// age gives how far a time lies from the nearest injection of the flow.
func (c *conclusion) age(seen record.Time) time.Duration { return c.session.LookAt(seen, c.used).Age() }

// timesUsed gives the times of the injections that the flow was made from, else the
// one time that it has.
func (c *conclusion) timesUsed() []time.Time {
	var times []time.Time
	for _, g := range c.given {
		if g.used {
			times = append(times, g.flow.At.Go())
		}
	}
	if len(times) == 0 {
		times = append(times, c.time.Go())
	}
	return times
}

// lookLimit gives how long a look holds, 0 where the record does not say.
func (c *conclusion) lookLimit() time.Duration {
	f := c.of(sayLookLimit)
	if f == nil || f.Value.IsAbsent() {
		return 0
	}
	seconds, err := ucum.Convert(f.Value.Quantity, "s")
	if err != nil {
		return 0
	}
	s, _ := seconds.Float64()
	return time.Duration(s * float64(time.Second))
}

// hoursSpoken is up to how many hours an age is spoken of in hours.
const hoursSpoken = 72

// ageInWords says an age in whole hours, a long one in whole days, but never so
// coarsely that it comes to lie on the other side of the limit: then in hours, or in
// hours and minutes.
func ageInWords(age, limit time.Duration) string {
	const day = 24 * time.Hour
	hours, days := age.Round(time.Hour), age.Round(day)
	fits := func(rounded time.Duration) bool { return limit == 0 || (rounded > limit) == (age > limit) }
	switch {
	case hours > hoursSpoken*time.Hour && fits(days):
		return strconv.Itoa(int(days/day)) + " days"
	case fits(hours):
		return strconv.Itoa(int(hours/time.Hour)) + " h"
	}
	minutes := age.Truncate(time.Minute)
	if minutes < age && !fits(minutes) {
		minutes += time.Minute
	}
	return strconv.Itoa(int(minutes/time.Hour)) + " h " + strconv.Itoa(int(minutes%time.Hour/time.Minute)) + " min"
}

// found says which looks found levels closed: one "echo at 13:40 found duct closed"
// for each look.
func (c *conclusion) found(levels []string) []string {
	var said []string
	for _, group := range c.byLook(levels) {
		how, when := group.look.how, group.look.when
		if how == c.say.someLook {
			how = c.say.aLook
		}
		if group.look.clock {
			when = fill(c.say.at, "clock", when)
		}
		said = append(said, fill(c.say.found, "look", how+" "+when, "what", c.closedWords(group.levels, " "+c.say.and+" ")))
	}
	return said
}

// seenTogether are levels of one look.
type seenTogether struct {
	look   looking
	levels []string
}

// byLook gathers levels by the look at them, in the order of the levels.
func (c *conclusion) byLook(levels []string) []seenTogether {
	var groups []seenTogether
	for _, level := range levels {
		look := c.look(level)
		i := slices.IndexFunc(groups, func(g seenTogether) bool { return g.look == look })
		if i < 0 {
			i = len(groups)
			groups = append(groups, seenTogether{look: look})
		}
		groups[i].levels = append(groups[i].levels, level)
	}
	return groups
}

// closedBeside says which levels were seen closed, each look with them that is not
// the look at this level.
func (c *conclusion) closedBeside(level string) string {
	own := c.look(level)
	var said []string
	for _, group := range c.byLook(c.levelsIn(spokenLevels, measure.StateClosed)) {
		what := c.closedWords(group.levels, ", ")
		if group.look != own {
			what += " (" + group.look.String() + ")"
		}
		said = append(said, what)
	}
	return strings.Join(said, ", ")
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

// lapse says of levels whose look holds no more which look was the last, and why it
// lapsed: what happened since, else the limit to its age.
func (c *conclusion) lapse(levels []string) string {
	last := levels[0]
	for _, level := range levels {
		if c.seen(last).Before(c.seen(level)) {
			last = level
		}
	}
	seen := c.seen(last)
	says := fill(c.say.last, "look", c.look(last).String())
	if seen != "" && c.age(seen) <= c.limit {
		if events := c.eventsSince(seen); len(events) > 0 {
			return says + "; " + c.list(events)
		}
	}
	if limit := c.value(sayLookLimit); limit != "" {
		return says + "; " + fill(c.say.limit, "limit", limit)
	}
	return says
}

// eventsSince says which events ended the look of a time.
func (c *conclusion) eventsSince(seen record.Time) []string {
	look := c.session.LookAt(seen, c.used)
	var events []string
	for i := range c.session.Facts {
		f := &c.session.Facts[i]
		if f.About.Kind == measure.Event && f.Value.Code != "" && look.EndedBy(f.At) {
			events = append(events, measure.WordsOf(measure.Get(f.Measure).Values, f.Value.Code, c.language)+" "+c.moment(f.At))
		}
	}
	return events
}

// lastLook says how old the last look is where nothing else has told.
func (c *conclusion) lastLook() {
	if c.looked || !c.shows() || c.contradicted() {
		return
	}
	last := ""
	for _, level := range spokenLevels {
		if c.shunts.At(level) != measure.StateNotSeen && (last == "" || c.seen(last).Before(c.seen(level))) {
			last = level
		}
	}
	if last != "" {
		c.add(c.say.lastLook, "look", c.look(last).String())
	}
}
