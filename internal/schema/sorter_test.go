package schema

import (
	"testing"

	"saltmark/internal/source"
)

// A fault in what stands in many resources alike is told of each.
func TestARepeatedFaultIsToldEachTime(t *testing.T) {
	const text = `{"resourceType":"Bundle","type":"collection","entry":[
	{"resource":{"resourceType":"Observation","status":"final","code":{"text":"a"},"device":{"refrence":"x"}}},
	{"resource":{"resourceType":"Observation","status":"final","code":{"text":"b"},"device":{"refrence":"x"}}}]}`
	doc, found := source.ReadJSON("b.json", []byte(text), source.ResourceLimits())
	if found.HasErrors() {
		t.Fatal(found)
	}
	var at []string
	for _, f := range CheckFHIR(doc, nil) {
		at = append(at, f.Place.Pointer)
	}
	if len(at) != 2 || at[0] != "/entry/0/resource/device/refrence" || at[1] != "/entry/1/resource/device/refrence" {
		t.Errorf("findings at %q", at)
	}
}
