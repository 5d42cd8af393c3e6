package audit

import (
	"strings"
	"time"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
)

// timeForm is how precise a time must be.
type timeForm uint8

const (
	aDate     timeForm = iota + 1 // year, month or day
	aDateTime                     // the same, or a moment with an offset
	anInstant                     // a moment with an offset
)

// timeForms are the elements of type date, dateTime and instant in the types that
// are judged. A text under such a name is one wherever it stands in them.
var timeForms = map[string]timeForm{
	"birthDate": aDate, "valueDate": aDate,
	"effectiveDateTime": aDateTime, "valueDateTime": aDateTime, "performedDateTime": aDateTime, "occurredDateTime": aDateTime,
	"deceasedDateTime": aDateTime, "start": aDateTime, "end": aDateTime, "date": aDateTime, "time": aDateTime, "event": aDateTime,
	"manufactureDate": aDateTime, "expirationDate": aDateTime,
	"issued": anInstant, "recorded": anInstant, "timestamp": anInstant, "lastUpdated": anInstant, "effectiveInstant": anInstant,
	"valueInstant": anInstant, "lastModified": anInstant,
}

// timeNames are the names of timeForms.
const timeNames = `birthDate valueDate effectiveDateTime valueDateTime performedDateTime occurredDateTime deceasedDateTime
	start end date time event manufactureDate expirationDate
	issued recorded timestamp lastUpdated effectiveInstant valueInstant lastModified`

// timeNotReal: a date is one of the calendar, a time of day has seconds and an
// offset.
func timeNotReal(w *walk, name string, _, n *source.Node) {
	form := timeForms[name]
	if n.Kind != source.String || realTime(n.Text, form) {
		return
	}
	allowed := map[timeForm]finding.Text{
		aDate:     "a date of the calendar is wanted, such as 2031-05-03",
		aDateTime: "a date of the calendar is wanted, or a time with seconds and offset, such as 2031-05-03T14:30:00+02:00",
		anInstant: "a time with seconds and offset is wanted, such as 2031-05-03T14:30:00+02:00",
	}[form]
	w.report("time-not-real", n, finding.Say("{1} is {}", finding.Data(name)), n.Text, allowed)
}

// realTime tells whether a text is a time of FHIR R4 that the calendar has.
func realTime(s string, form timeForm) bool {
	date, clock, timed := strings.Cut(s, "T")
	if timed {
		return form != aDate && len(date) == len(wholeDate) && realDate(date) && realClock(clock)
	}
	return form != anInstant && realDate(s)
}

const wholeDate = "2006-01-02"

func realDate(s string) bool {
	if len(s) != 4 && len(s) != 7 && len(s) != len(wholeDate) || s[:4] == "0000" {
		return false
	}
	_, err := time.Parse(wholeDate[:len(s)], s)
	return err == nil
}

// realClock judges 14:30:00+02:00: a leap second may be told, an offset goes up to
// 14 hours.
func realClock(s string) bool {
	if len(s) < len("15:04:05Z") || !upTo(s[:2], 23) || s[2] != ':' || !upTo(s[3:5], 59) || s[5] != ':' || !upTo(s[6:8], 60) {
		return false
	}
	offset := s[8:]
	if offset[0] == '.' {
		digits := len(offset) - len(strings.TrimLeft(offset[1:], "0123456789"))
		if digits < 2 {
			return false
		}
		offset = offset[digits:]
	}
	if offset == "Z" {
		return true
	}
	if len(offset) != len("+02:00") || offset[0] != '+' && offset[0] != '-' || offset[3] != ':' {
		return false
	}
	return upTo(offset[1:3], 13) && upTo(offset[4:], 59) || offset[1:] == "14:00"
}

// upTo tells whether a text is two digits that are at most most.
func upTo(s string, most int) bool {
	if s[0] < '0' || s[0] > '9' || s[1] < '0' || s[1] > '9' {
		return false
	}
	return int(s[0]-'0')*10+int(s[1]-'0') <= most
}

// periodBackward (per-1): a period does not end before it starts.
func periodBackward(w *walk, _ string, holder, n *source.Node) {
	if n.Kind == source.String && backward(r4.Text(holder, "start"), n.Text) {
		w.about("period-backward", holder, "the period ends before it starts", "", "start is at or before end")
	}
}

// backward compares two times. A date stands for the whole of its day, month or
// year; beside a moment it may be that of any place, since it has no offset.
func backward(start, end string) bool {
	if !realTime(start, aDateTime) || !realTime(end, aDateTime) {
		return false
	}
	if !strings.Contains(start, "T") && !strings.Contains(end, "T") {
		n := min(len(start), len(end))
		return end[:n] < start[:n]
	}
	from, _ := spanOf(start)
	_, to := spanOf(end)
	return to.Before(from)
}

// spanOf gives the first and the last moment that a time may mean.
func spanOf(s string) (from, to time.Time) {
	if strings.Contains(s, "T") {
		at, _ := time.Parse(time.RFC3339, strings.Replace(s, ":60", ":59", 1))
		return at, at
	}
	from, _ = time.Parse(wholeDate[:len(s)], s)
	switch len(s) {
	case 4:
		to = from.AddDate(1, 0, 0)
	case 7:
		to = from.AddDate(0, 1, 0)
	default:
		to = from.AddDate(0, 0, 1)
	}
	return from.Add(-14 * time.Hour), to.Add(14 * time.Hour)
}
