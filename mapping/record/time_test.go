package record_test

import (
	"regexp"
	"testing"

	"saltmark/mapping/record"
)

// FHIR R4, data type dateTime: its regular expression, of which a Time may be a whole date or a
// moment with seconds.
var dateTime = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}(T([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9](\.[0-9]+)?(Z|[+-]((0[0-9]|1[0-3]):[0-5][0-9]|14:00)))?$`)

func TestATimeIsOneOfFHIR(t *testing.T) {
	for text, good := range map[string]bool{
		"2031-05-03":                  true,
		"2031-05-03T14:30:00+02:00":   true,
		"2031-05-03T14:30:00.250Z":    true,
		"2031-05-03T14:30:00-14:00":   true,
		"2031-05-03T14:30:00,5+02:00": false,
		"2031-05-03T4:30:00+02:00":    false,
		"2031-05-03T14:30:00+14:01":   false,
		"2031-05-03T14:30:00+01:60":   false,
		"2031-05-03T24:00:00Z":        false,
		"2031-05-03T14:30:00":         false,
		"2031-02-29":                  false,
		"2031-05-03t14:30:00z":        false,
		"2031-05-03T14:30:00.+02:00":  false,
		"":                            false,
	} {
		if _, err := record.ParseTime(text); (err == nil) != good {
			t.Errorf("%q: %v", text, err)
		}
	}
}

// What is read as a time is one by the expression of FHIR, and is the moment that it
// says.
func FuzzParseTime(f *testing.F) {
	for _, text := range []string{"2031-05-03", "2031-05-03T14:30:00+02:00", "2031-05-03T14:30:00.25Z", "2031-05-03T4:30:00,5-23:59", "2031-05-23T14:30:00+00:60"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		read, err := record.ParseTime(text)
		if err != nil {
			return
		}
		if string(read) != text || !dateTime.MatchString(text) {
			t.Fatalf("%q is read as %q", text, read)
		}
		if !read.IsDate() && !record.At(read.Go()).Go().Equal(read.Go()) {
			t.Fatalf("%q is written as another moment", text)
		}
	})
}
