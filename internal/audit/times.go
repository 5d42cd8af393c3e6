package audit

import (
	"regexp"
	"strings"
	"time"

	"saltmark/internal/source"
)

// timeForm is how precise a time must be.
type timeForm uint8

const (
	aDate     timeForm = iota + 1 // year, month or day
	aDateTime                     // the same, or a moment with an offset
	anInstant                     // a moment with an offset
)

// timeNames are the elements of type date, dateTime and instant in the resources
// that this program writes or audits. "date" and "start" are such wherever they
// stand in these types.
var timeNames = map[string]timeForm{
	"birthDate": aDate, "valueDate": aDate,
	"effectiveDateTime": aDateTime, "valueDateTime": aDateTime, "performedDateTime": aDateTime, "occurredDateTime": aDateTime,
	"deceasedDateTime": aDateTime, "onsetDateTime": aDateTime, "start": aDateTime, "end": aDateTime, "date": aDateTime,
	"manufactureDate": aDateTime, "expirationDate": aDateTime, "authoredOn": aDateTime,
	"issued": anInstant, "recorded": anInstant, "timestamp": anInstant, "lastUpdated": anInstant, "effectiveInstant": anInstant,
	"valueInstant": anInstant, "lastModified": anInstant,
}

var dateForm = regexp.MustCompile(`^\d{4}(-\d{2}(-\d{2})?)?$`)
var momentForm = regexp.MustCompile(`^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d+)?(Z|[+-]\d{2}:\d{2})$`)

// timeNotReal: a date is one of the calendar, a time of day has seconds and an
// offset.
func timeNotReal(w *walk, name string, n *source.Node) {
	form := timeNames[name]
	if form == 0 || n.Kind != source.String || realTime(n.Text, form) {
		return
	}
	allowed := map[timeForm]string{
		aDate:     "a date of the calendar is wanted, such as 2031-05-03",
		aDateTime: "a date of the calendar is wanted, or a time with seconds and offset, such as 2031-05-03T14:30:00+02:00",
		anInstant: "a time with seconds and offset is wanted, such as 2031-05-03T14:30:00+02:00",
	}[form]
	w.report("time-not-real", n, name+" is {}", n.Text, allowed)
}

func realTime(s string, form timeForm) bool {
	if form != anInstant && dateForm.MatchString(s) {
		_, err := time.Parse("2006-01-02"[:len(s)], s)
		return err == nil && !strings.HasPrefix(s, "0000")
	}
	if form == aDate || !momentForm.MatchString(s) {
		return false
	}
	_, err := time.Parse(time.RFC3339, s)
	return err == nil && offsetWithin14(s)
}

// offsetWithin14 holds an offset to 14 hours, the bound of XML Schema's dateTime
// that FHIR takes over.
func offsetWithin14(s string) bool {
	if strings.HasSuffix(s, "Z") {
		return true
	}
	offset := s[len(s)-5:]
	return offset <= "14:00"
}

// periodBackward (per-1): a period does not end before it starts.
func periodBackward(w *walk, _ string, n *source.Node) {
	start, end := textAt(n, "start"), textAt(n, "end")
	if start == "" || end == "" {
		return
	}
	a, errA := time.Parse(time.RFC3339, start)
	b, errB := time.Parse(time.RFC3339, end)
	if errA == nil && errB == nil && b.Before(a) {
		w.report("period-backward", n, "the period ends before it starts", "", "start is at or before end")
	}
}
