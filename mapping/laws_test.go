package mapping_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"saltmark/mapping"
	"saltmark/mapping/record"
)

// everything writes what can be written.
var everything = mapping.Options{Curves: true, Comparators: true, Software: mapping.Software{Name: "saltmark", Version: "0.1"}}

var noPlaces = cmp.Options{cmpopts.IgnoreFields(record.Session{}, "Places"), cmpopts.EquateEmpty()}

func write(t interface{ Fatal(...any) }, s *record.Session, o mapping.Options) []byte {
	text, err := mapping.Write(s, o)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func TestLawWhatIsWrittenIsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := randomSession(t)
		if rapid.Bool().Draw(t, "withdrawn") {
			s.Withdrawal = record.Withdrawal{By: "demo-person-1", At: "2031-05-04T08:00:00Z", Reason: "wrong sheet", NeverMeasured: rapid.Bool().Draw(t, "never")}
		}
		if findings := mapping.Settle(s, nil, rapid.Bool().Draw(t, "held")); len(findings) > 0 {
			t.Fatal(findings)
		}
		text := write(t, s, everything)
		got, findings := mapping.Read("bundle.json", text)
		for _, f := range findings {
			t.Error(f.Text(true))
		}
		s.Sort()
		if diff := cmp.Diff(s, got, noPlaces); diff != "" {
			t.Fatalf("%s\n%s", diff, text)
		}
	})
}
