package audit

import "testing"

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
