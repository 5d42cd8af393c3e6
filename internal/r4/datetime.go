package r4

import (
	"errors"
	"regexp"
	"strings"
	"time"
)

// The forms of R4's date, dateTime and instant (data types, 4.0.1): a year that is
// not 0000, month, day; or all of them with a time to the second, a fraction of any
// length, and an offset of at most 14 hours.
var (
	wholeTime   = regexp.MustCompile(`^\d{4}-\d\d-\d\dT([01]\d|2[0-3]):[0-5]\d:([0-5]\d|60)(\.\d+)?(Z|[+-]((0\d|1[0-3]):[0-5]\d|14:00))$`)
	partialDate = regexp.MustCompile(`^\d{4}(-\d\d(-\d\d)?)?$`)
)

const furthestOffset = 14 * 60 * 60 // seconds

// DateTime writes a time as FHIR's dateTime and instant, with seconds and offset; a
// fraction of a second is written only when there is one. A time in a zone whose
// offset FHIR cannot say (with seconds, or beyond 14 hours) is written in UTC.
func DateTime(t time.Time) string {
	if _, offset := t.Zone(); offset%60 != 0 || offset > furthestOffset || offset < -furthestOffset {
		t = t.UTC()
	}
	return t.Format("2006-01-02T15:04:05.999999999Z07:00")
}

// ParseDateTime reads a whole dateTime or an instant, and keeps its offset. A date
// without a time, which dateTime may also be, is an error, and so is a leap second,
// which a time.Time cannot hold.
func ParseDateTime(s string) (time.Time, error) {
	if err := CheckDateTime(s); err != nil {
		return time.Time{}, err
	}
	if !strings.Contains(s, "T") {
		return time.Time{}, errors.New("a date without a time; seconds and offset are wanted")
	}
	t, err := time.ParseInLocation(time.RFC3339Nano, s, time.UTC)
	if err != nil {
		return time.Time{}, errors.New("a leap second cannot be held as a time")
	}
	return t, nil
}

// ParseDate reads a whole date, as midnight UTC.
func ParseDate(s string) (time.Time, error) {
	t, err := time.ParseInLocation(time.DateOnly, s, time.UTC)
	if err != nil || t.Year() == 0 || len(s) != len(time.DateOnly) {
		return time.Time{}, errors.New("a date of the calendar is wanted: YYYY-MM-DD")
	}
	return t, nil
}

// CheckDateTime tells whether a text is a dateTime of R4 and names a day, month or
// year that the calendar has. Errors of this file do not repeat the text, which may
// be of a person.
func CheckDateTime(s string) error {
	date, _, whole := strings.Cut(s, "T")
	if (whole && !wholeTime.MatchString(s)) || !partialDate.MatchString(date) {
		return errors.New("a date is wanted, or a date and a time with seconds and offset, for example 2031-04-02T14:30:00+02:00")
	}
	const firstDay = "-01-01"
	if _, err := ParseDate(date + firstDay[len(date)-len("YYYY"):]); err != nil {
		return errors.New("the calendar has no such date")
	}
	return nil
}
