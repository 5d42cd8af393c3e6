package audit

import (
	"maps"
	"slices"
	"strings"
	"testing"
)

func TestTimesAreThoseOfTheCalendarAndTheClock(t *testing.T) {
	for _, row := range []struct {
		text string
		form timeForm
		want bool
	}{
		{"2031", aDate, true},
		{"2031-05", aDate, true},
		{"2031-05-03", aDate, true},
		{"2031-13", aDate, false},
		{"2031-02-29", aDate, false},
		{"2032-02-29", aDate, true},
		{"0000", aDate, false},
		{"31-05-03", aDate, false},
		{"2031-05-03T14:30:00Z", aDate, false},
		{"2031-05-03", aDateTime, true},
		{"2031-05-03T14:30:00Z", aDateTime, true},
		{"2031-05-03T14:30:00.123+02:00", aDateTime, true},
		{"2031-05-03T14:30:00.+02:00", aDateTime, false},
		{"2031-05-03T14:30+02:00", aDateTime, false},
		{"2031-05-03T14:30:00", aDateTime, false},
		{"2031-05-03T24:00:00Z", aDateTime, false},
		{"2031-05-03T14:60:00Z", aDateTime, false},
		// FHIR R4 allows a leap second and offsets up to 14:00 in its regular
		// expression of dateTime.
		{"2031-06-30T23:59:60Z", aDateTime, true},
		{"2031-05-03T14:30:00+14:00", aDateTime, true},
		{"2031-05-03T14:30:00+14:01", aDateTime, false},
		{"2031-05-03T14:30:00-05:60", aDateTime, false},
		{"2031-05T14:30:00Z", aDateTime, false},
		{"2031-05-03", anInstant, false},
		{"2031-05-03T14:30:00Z", anInstant, true},
		{"", aDateTime, false},
		{"T", aDateTime, false},
		{"yesterday", aDateTime, false},
	} {
		if got := realTime(row.text, row.form); got != row.want {
			t.Errorf("%q as form %d: %v", row.text, row.form, got)
		}
	}
}

func TestPeriodsOfDatesAreBackwardOnlyWhereNoClockSavesThem(t *testing.T) {
	for _, row := range []struct {
		start, end string
		want       bool
	}{
		{"2031-05-03T14:00:00+02:00", "2031-05-03T13:59:59+02:00", true},
		{"2031-05-03T14:00:00+02:00", "2031-05-03T12:30:00Z", false},
		{"2031-05-03", "2031-05-03", false},
		{"2031-05-03", "2031-05-02", true},
		{"2031-05-03T23:59:60Z", "2031-05-03T23:59:58Z", true},
		{"2031-05-03T14:00:00Z", "soon", false},
		{"2031-05-03T23:00:00Z", "2031-05-03", false},
		{"2031", "2030", true},
		{"2031-02", "2031", false},
	} {
		if backward(row.start, row.end) != row.want {
			t.Errorf("%s to %s: backward %v", row.start, row.end, !row.want)
		}
	}
}

func TestEveryNameOfATimeHasItsForm(t *testing.T) {
	names := strings.Fields(timeNames)
	slices.Sort(names)
	if want := slices.Sorted(maps.Keys(timeForms)); !slices.Equal(names, want) {
		t.Errorf("%v, want %v", names, want)
	}
}
