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
	some      bool // how is not stated
}

func (l looking) String() string { return l.how + " " + l.when }

// look says how and when somebody looked at a level: by the clock on the day of the
// measurement, else by its age.
func (c *conclusion) look(level string) looking {
	l := looking{}
	how, stated := lookWords[c.codeOf(levelThing(level), sayLevelMethod)]
	if !stated {
		how, l.some = say.someLook, true
	}
	l.how = c.in(how)
	c.looked = true
	switch seen := c.seen(level); {
	case seen == "":
		l.when = c.in(say.someTime)
	case seen.IsDate():
		l.when = c.fill(say.ofDate, "date", string(seen))
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
	age, side := c.age(seen), say.ageBefore
	if seen.Go().After(c.used[0]) {
		side = say.ageAfter
	}
	return c.fill(side, "age", c.ageInWords(age))
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
func (c *conclusion) ageInWords(age time.Duration) string {
	const day = 24 * time.Hour
	hours, days := age.Round(time.Hour), age.Round(day)
	fits := func(rounded time.Duration) bool { return c.limit == 0 || (rounded > c.limit) == (age > c.limit) }
	switch {
	case hours > hoursSpoken*time.Hour && fits(days):
		return c.fill(say.days, "days", strconv.Itoa(int(days/day)))
	case fits(hours):
		return c.fill(say.hours, "hours", strconv.Itoa(int(hours/time.Hour)))
	}
	minutes := age.Truncate(time.Minute)
	if minutes < age && !fits(minutes) {
		minutes += time.Minute
	}
	return c.fill(say.hoursMinutes, "hours", strconv.Itoa(int(minutes/time.Hour)), "minutes", strconv.Itoa(int(minutes%time.Hour/time.Minute)))
}

// found says which looks found levels closed: one "echo at 13:40 found duct closed"
// for each look.
func (c *conclusion) found(levels []string) []string {
	var said []string
	for _, group := range c.byLook(levels) {
		how, when := group.look.how, group.look.when
		if group.look.some {
			how = c.in(say.aLook)
		}
		if group.look.clock {
			when = c.fill(say.lookAt, "clock", when)
		}
		said = append(said, c.fill(say.found, "look", how+" "+when, "what", c.closedWords(group.levels, say.closedAndNone)))
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
		what := c.closedWords(group.levels, say.closedBesideNone)
		if group.look != own {
			what += " (" + group.look.String() + ")"
		}
		said = append(said, what)
	}
	return strings.Join(said, ", ")
}

// closedWords says "duct, atrial and ventricular walls closed and no other
// connection" of levels.
func (c *conclusion) closedWords(levels []string, joint wording) string {
	named := slices.DeleteFunc(slices.Clone(levels), func(level string) bool { return level == measure.Aortopulmonary })
	i := slices.IndexFunc(closedRows, func(row closedRow) bool { return slices.Equal(row.levels, named) })
	switch {
	case i < 0:
		return c.in(say.none)
	case len(named) == len(levels):
		return c.in(closedRows[i].says)
	}
	return c.fill(joint, "closed", c.in(closedRows[i].says), "none", c.in(say.none))
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
	says := c.fill(say.last, "look", c.look(last).String())
	if seen != "" && c.age(seen) <= c.limit {
		if events := c.eventsSince(seen); len(events) > 0 {
			return says + "; " + c.list(events)
		}
	}
	if limit := c.value(sayLookLimit); limit != "" {
		return says + "; " + c.fill(say.limit, "limit", limit)
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
		c.add(say.lastLook, "look", c.look(last).String())
	}
}
