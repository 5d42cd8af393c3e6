package audit_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/audit"
	"saltmark/internal/language"
)

func gapsIn(t *testing.T, text string) map[audit.Gap]int {
	t.Helper()
	var got map[audit.Gap]int
	audit.Check("g.json", []byte(text), audit.Options{Gaps: func(gaps map[audit.Gap]int) { got = gaps }})
	for gap := range got {
		if words := gap.Words(); words == "" || words.In(language.German) == words.In(language.English) {
			t.Errorf("%+v has no words", gap)
		}
	}
	return got
}

// What the audit says nothing about is told.
func TestWhatIsNotJudgedIsCounted(t *testing.T) {
	foreign := `{"resourceType":"Bundle","type":"collection","entry":[
		{"fullUrl":"urn:uuid:0c6b7f4e-0000-4000-8000-000000000001","resource":{"resourceType":"Observation","meta":{"profile":["http://example.org/p","http://example.org/p"]},"status":"final",
			"code":{"coding":[{"system":"http://snomed.info/sct","code":"1"},{"system":"http://loinc.org","code":"8737-9"},{"system":"http://loinc.org","code":"2-7"}]},
			"subject":{"reference":"Patient/1"},"hasMember":[{"reference":"urn:uuid:0c6b7f4e-0000-4000-8000-000000000001"},{"reference":"Patient/2"},{"reference":"#in"}],
			"valueQuantity":{"value":1,"system":"http://unitsofmeasure.org","code":"L/min"}}},
		{"resource":{"resourceType":"NamingSystem","name":"x","status":"active","kind":"root","date":"2031","uniqueId":[{"type":"uri","value":"x"}]}},
		{"resource":{"resourceType":"MolecularSequence","coordinateSystem":0,"structureVariant":[{"variantType":{"coding":[{"system":"http://loinc.org","code":"LA9658-1"}]}}]}},
		{"resource":{"resourceType":"DiagnosticReport","status":"final","code":{"text":"x"},"presentedForm":[{"contentType":"text/plain","data":"eA=="}]}}]}`
	want := map[audit.Gap]int{
		{Code: "type", What: "NamingSystem"}: 1, {Code: "profile", What: "http://example.org/p"}: 2,
		{Code: "value-set", What: "LL379-9"}:           1,
		{Code: "code", What: "http://snomed.info/sct"}: 1, {Code: "code", What: "http://loinc.org"}: 2,
		{Code: "reference"}: 2, {Code: "attachment"}: 1,
	}
	if diff := cmp.Diff(want, gapsIn(t, foreign)); diff != "" {
		t.Error(diff)
	}
}

func TestAWholeSessionOfOursLeavesNothingUnjudged(t *testing.T) {
	if got := gapsIn(t, string(golden(t, "01-plain-infant"))); len(got) != 0 {
		t.Errorf("%+v", got)
	}
}

func TestAnAddressThatIsATextIsNotShown(t *testing.T) {
	for gap := range gapsIn(t, `{"resourceType":"Observation","status":"final","code":{"coding":[{"system":"Ada Lovelace","code":"x"}]}}`) {
		if gap.What != "" {
			t.Errorf("%+v", gap)
		}
	}
}
