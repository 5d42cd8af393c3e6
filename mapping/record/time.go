package record

import (
	"fmt"
	"time"
)

// Time is a FHIR dateTime as it is written: a moment with seconds and an offset
// ("2031-05-03T14:30:00+02:00"), or a date alone ("2031-05-03"). It is text, so
// that offset and digits stay as they were; "" is none.
type Time string

const (
	moment = "2006-01-02T15:04:05.999999999Z07:00"
	date   = "2006-01-02"
)

// At gives the Time of a moment, with seconds and offset.
func At(t time.Time) Time { return Time(t.Format(moment)) }

// ParseTime reads a moment or a date strictly: it must be one that exists.
func ParseTime(s string) (Time, error) {
	if _, err := Time(s).Parse(); err != nil {
		return "", err
	}
	return Time(s), nil
}

// Parse gives the moment; a date alone is midnight UTC.
func (t Time) Parse() (time.Time, error) {
	if len(t) == len(date) {
		return time.Parse(date, string(t))
	}
	v, err := time.Parse(time.RFC3339Nano, string(t))
	if err != nil || !t.strict() {
		return time.Time{}, fmt.Errorf("%q is not a time with seconds and an offset", string(t))
	}
	return v, nil
}

// furthestOffset is the greatest offset from UTC that FHIR allows, either way.
const furthestOffset = 14 * 60 // minutes

// strict tells whether a moment that Go's time package reads is one of FHIR: the package
// also reads an hour of one digit, a comma before the fraction, and an offset of a day or of sixty
// minutes.
func (t Time) strict() bool {
	const hourEnd, fraction = len("2031-05-03T14"), len("2031-05-03T14:30:00")
	if t[hourEnd] != ':' || t[fraction] == ',' {
		return false
	}
	if t[len(t)-1] == 'Z' {
		return true
	}
	offset := t[len(t)-len("02:00"):] // digits, as the package has seen
	hours, minutes := offset.twoDigits(0), offset.twoDigits(len("02:"))
	return minutes < 60 && hours*60+minutes <= furthestOffset
}

func (t Time) twoDigits(at int) int { return 10*int(t[at]-'0') + int(t[at+1]-'0') }

// Go gives the moment of a Time that was parsed before; the zero time for none.
func (t Time) Go() time.Time {
	v, err := t.Parse()
	if err != nil {
		return time.Time{}
	}
	return v
}

// IsDate tells that only a date is given.
func (t Time) IsDate() bool { return len(t) == len(date) }

// Sub gives the time from u to t.
func (t Time) Sub(u Time) time.Duration { return t.Go().Sub(u.Go()) }

// Before tells whether t lies before u.
func (t Time) Before(u Time) bool { return t.Go().Before(u.Go()) }
