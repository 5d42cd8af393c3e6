package shape

import "testing"

func TestTimesAreThoseOfTheCalendarAndTheClock(t *testing.T) {
	for _, row := range []struct {
		text string
		form form
		want bool
	}{
		{"2031", date, true},
		{"2031-05", date, true},
		{"2031-05-03", date, true},
		{"2031-13", date, false},
		{"2031-02-29", date, false},
		{"2032-02-29", date, true},
		{"0000", date, false},
		{"31-05-03", date, false},
		{"2031-05-03T14:30:00Z", date, false},
		{"2031-05-03", dateTime, true},
		{"2031-05-03T14:30:00Z", dateTime, true},
		{"2031-05-03T14:30:00.123+02:00", dateTime, true},
		{"2031-05-03T14:30:00.+02:00", dateTime, false},
		{"2031-05-03T14:30+02:00", dateTime, false},
		{"2031-05-03T14:30:00", dateTime, false},
		{"2031-05-03T24:00:00Z", dateTime, false},
		{"2031-05-03T14:60:00Z", dateTime, false},
		// FHIR R4 allows a leap second and offsets up to 14:00 in its regular
		// expression of dateTime.
		{"2031-06-30T23:59:60Z", dateTime, true},
		{"2031-05-03T14:30:00+14:00", dateTime, true},
		{"2031-05-03T14:30:00+14:01", dateTime, false},
		{"2031-05-03T14:30:00-05:60", dateTime, false},
		{"2031-05T14:30:00Z", dateTime, false},
		{"2031-05-03", instant, false},
		{"2031-05-03T14:30:00Z", instant, true},
		{"", dateTime, false},
		{"2031-02-30T14:30:00Z", instant, false},
		{"1900-02-29", date, false},
		{"2000-02-29", date, true},
		{"2031-04-31", date, false},
		{"2031-00-03", date, false},
		{"2031-05-3", date, false},
		{"2031/05/03", date, false},
		{"2031-05-03 14:30:00Z", dateTime, false},
		{"2031-05-03T14:30:00z", dateTime, false},
		{"2031-05-03T14:30:00Z ", instant, false},
		{"2031-05-03T14:30:00+02", instant, false},
		{"2031-05-03T14:30:00.1Z", instant, true},
		{"14:30:00", timeOfDay, true},
		{"23:59:60.25", timeOfDay, true},
		{"14:30", timeOfDay, false},
		{"14:30:00.", timeOfDay, false},
		{"14:30:00Z", timeOfDay, false},
		{"24:00:00", timeOfDay, false},
		{"1:30:00", timeOfDay, false},
		{"T", dateTime, false},
		{"yesterday", dateTime, false},
	} {
		if got := row.form.matches(row.text); got != row.want {
			t.Errorf("%q as form %d: %v", row.text, row.form, got)
		}
	}
}
