package sheet

import (
	"regexp"
	"strings"
	"time"
	_ "time/tzdata" // zones are known where the machine has none

	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping/record"
)

// clock is what a sheet says about its times: the zone of those without an
// offset, and the start that a time of day alone belongs to.
type clock struct {
	zone  *time.Location
	wrong string // name of a zone that is not known
	start record.Time
}

// clockOf reads the zone and the start. What is wrong with the start is found
// again, and reported, when it is read as a field.
func clockOf(doc *source.Document) clock {
	var c clock
	session := doc.Root.Get("session")
	if n := session.Get("zone"); n != nil && n.Kind == source.String {
		c.zone, c.wrong = zoneOf(n.Text)
	}
	if n := session.Get("start"); n != nil {
		c.start, _ = c.read(n.Text)
	}
	return c
}

// checkZone says once that a zone is not known, instead of at every time.
func (c *scalars) checkZone() {
	if c.clock.wrong == "" {
		return
	}
	at := source.Pointer("session", "zone")
	c.add("zone-unknown", c.doc.Find(at), at, finding.Say("{1} is {}", finding.Data("session.zone")), c.clock.wrong, `the name of a place in the time zone database is wanted, for example "Europe/Ljubljana", or "UTC"`)
}

// zoneOf gives the zone of an IANA name: of a place, or UTC.
func zoneOf(name string) (zone *time.Location, wrong string) {
	if name != "UTC" && !strings.Contains(name, "/") {
		return nil, name
	}
	zone, err := time.LoadLocation(name)
	if err != nil {
		return nil, name
	}
	return zone, ""
}

// timeFault is what is wrong with a time, as parts of a sentence.
type timeFault struct {
	rule           string
	found, allowed finding.Text
}

var (
	dayPattern    = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}$`)
	momentPattern = regexp.MustCompile(`^([0-9]{4}-[0-9]{2}-[0-9]{2})T([0-9]{2}:[0-9]{2})(:[0-9]{2}(?:\.[0-9]{1,9})?)?(Z|[+-][0-9]{2}:[0-9]{2})?$`)
	clockPattern  = regexp.MustCompile(`^([0-9]{2}:[0-9]{2})(:[0-9]{2})?$`)
)

const (
	local                 = "2006-01-02T15:04:05.999999999"
	anOffset finding.Text = "an offset is wanted (+02:00), or session.zone with the name of the time zone"
)

// moment reads a date, a date with a time of day or, where the spot allows it, a
// time of day.
func (c *scalars) moment(sp *spot, n *source.Node, pointer string) (record.Time, bool) {
	when, fault := c.clock.at(sp, n.Text)
	if n.Kind != source.String {
		fault = &timeFault{"time-form", "", formWanted(sp)}
	}
	if fault != nil {
		if fault.rule != "" {
			c.fault(sp, fault.rule, n, pointer, fault.found, fault.allowed)
		}
		return "", false
	}
	return when, true
}

func formWanted(sp *spot) finding.Text {
	switch {
	case sp.form == asDay:
		return "a date is wanted: YYYY-MM-DD"
	case sp.form == asMomentOrDay:
		return "a time is wanted, YYYY-MM-DDThh:mm with an offset such as +02:00, or a date alone"
	case sp.dayTime:
		return "a time is wanted: hh:mm, or YYYY-MM-DDThh:mm with an offset such as +02:00"
	}
	return "a time is wanted: YYYY-MM-DDThh:mm with an offset such as +02:00"
}

func (c clock) at(sp *spot, written string) (record.Time, *timeFault) {
	switch {
	case (sp.form == asDay || sp.form == asMomentOrDay) && dayPattern.MatchString(written):
		if _, err := time.Parse(time.DateOnly, written); err != nil {
			return "", notReal()
		}
		return record.Time(written), nil
	case sp.form != asDay && momentPattern.MatchString(written):
		return c.read(written)
	case sp.dayTime && clockPattern.MatchString(written):
		return c.onDay(written)
	}
	return "", &timeFault{"time-form", "", formWanted(sp)}
}

func notReal() *timeFault {
	return &timeFault{"time-not-on-calendar", "", "a day of the calendar and a time from 00:00 to 23:59 are wanted"}
}

// read reads a date with a time of day; seconds that were not written are 0.
func (c clock) read(written string) (record.Time, *timeFault) {
	p := momentPattern.FindStringSubmatch(written)
	if p == nil {
		return "", &timeFault{rule: "time-form"}
	}
	seconds := p[3]
	if seconds == "" {
		seconds = ":00"
	}
	clocktime := p[1] + "T" + p[2] + seconds
	wall, err := time.Parse(local, clocktime)
	if err != nil {
		return "", notReal()
	}
	if p[4] == "" {
		return c.resolve(wall, clocktime)
	}
	when := record.Time(clocktime + p[4])
	v, err := when.Parse()
	_, offset := v.Zone()
	if err != nil || offset < -12*3600 || offset > 14*3600 {
		return "", notReal()
	}
	if c.zone != nil {
		if _, there := v.In(c.zone).Zone(); there != offset {
			return "", &timeFault{"time-offset-differs", "", finding.Say("session.zone says {1}, where this moment is {2}", finding.Data(c.zone.String()), finding.Data(v.In(c.zone).Format(time.RFC3339)))}
		}
	}
	return when, nil
}

// resolve finds the moment of a local time in the zone of the session. A time
// that the zone skips or has twice is refused with both readings.
func (c clock) resolve(wall time.Time, written string) (record.Time, *timeFault) {
	if c.wrong != "" { // said once, at the zone
		return record.Time(written + "Z"), nil
	}
	if c.zone == nil {
		return "", &timeFault{"time-without-offset", "", anOffset}
	}
	var readings, real []string
	for _, offset := range c.offsetsAround(wall) {
		v := wall.Add(-time.Duration(offset) * time.Second).In(time.FixedZone("", offset))
		readings = append(readings, v.Format(time.RFC3339))
		if _, there := v.In(c.zone).Zone(); there == offset {
			real = append(real, written+v.Format("Z07:00"))
		}
	}
	both := finding.Or(finding.Datas(readings)...)
	switch len(real) {
	case 1:
		return record.Time(real[0]), nil
	case 0:
		return "", &timeFault{"time-skipped", finding.Say(", which the clocks of {1} skip", finding.Data(c.zone.String())), finding.Say("with its offset it would be {1}", both)}
	}
	return "", &timeFault{"time-doubled", finding.Say(", which the clocks of {1} show twice", finding.Data(c.zone.String())), finding.Say("write which of both it is: {1}", both)}
}

// offsetsAround gives the offsets of the zone about a local time, earlier moments
// first: more than one where the clocks are changed that day.
func (c clock) offsetsAround(wall time.Time) []int {
	var offsets []int
	_, guess := wall.In(c.zone).Zone()
	near := wall.Add(-time.Duration(guess) * time.Second)
	for _, shift := range []time.Duration{-24 * time.Hour, 0, 24 * time.Hour} {
		_, offset := near.Add(shift).In(c.zone).Zone()
		if len(offsets) == 0 || offsets[len(offsets)-1] != offset {
			offsets = append(offsets, offset)
		}
	}
	return offsets
}

// onDay gives the first moment at or after the start of the session, within 24
// hours, at which it is the time of day that was written.
func (c clock) onDay(written string) (record.Time, *timeFault) {
	if c.start == "" {
		return "", &timeFault{} // the start has its own finding
	}
	start := c.start.Go()
	if c.zone != nil {
		start = start.In(c.zone)
	}
	zone := clock{zone: c.zone}
	for days := range 2 {
		text := start.AddDate(0, 0, days).Format(time.DateOnly) + "T" + written
		earlier := text < start.Format(local)
		if c.zone == nil {
			text += start.Format("Z07:00")
		}
		when, fault := zone.read(text)
		switch {
		case fault != nil && !earlier:
			return "", fault
		case fault == nil && !when.Before(c.start):
			return when, nil
		}
	}
	return "", notReal()
}
