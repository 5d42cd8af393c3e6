package schema

import (
	"fmt"
	"strings"
	"testing"

	"saltmark/internal/source"
)

// Of any number of unknown members the first are told and the others counted, the
// same in each run.
func TestManyFaultsAreCountedAndNotToldOneByOne(t *testing.T) {
	var b strings.Builder
	b.WriteString(`{"resourceType":"Observation","status":"final","code":{"text":"x"}`)
	for i := range 900 {
		fmt.Fprintf(&b, `,"unknown%d":1`, i)
	}
	b.WriteString("}")
	doc, found := source.ReadJSON("o.json", []byte(b.String()), source.ResourceLimits())
	if found.HasErrors() {
		t.Fatal(found[0].Text(false))
	}
	list := CheckFHIR(doc, nil)
	if len(list) != mostFaults+1 {
		t.Errorf("%d findings, want %d", len(list), mostFaults+1)
	}
	if again := CheckFHIR(doc, nil); len(again) != len(list) || again[5] != list[5] {
		t.Error("the findings differ from run to run")
	}
}
