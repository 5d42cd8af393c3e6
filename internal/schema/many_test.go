package schema

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"saltmark/internal/source"
)

// A document with any number of unknown members is judged soon, the first faults
// told and the others counted.
func TestManyFaultsAreCountedAndNotToldOneByOne(t *testing.T) {
	var b strings.Builder
	b.WriteString(`{"resourceType":"Observation","status":"final","code":{"text":"x"}`)
	for i := range 20_000 {
		fmt.Fprintf(&b, `,"unknown%d":1`, i)
	}
	b.WriteString("}")
	doc, found := source.ReadJSON("o.json", []byte(b.String()), source.ResourceLimits())
	if found.HasErrors() {
		t.Skip("the text is refused before: " + found[0].Text(false))
	}
	begun := time.Now()
	list := CheckFHIR(doc)
	if took := time.Since(begun); took > 20*time.Second {
		t.Errorf("it took %v", took)
	}
	if len(list) != mostFaults+1 {
		t.Errorf("%d findings, want %d", len(list), mostFaults+1)
	}
	if again := CheckFHIR(doc); len(again) != len(list) || again[5] != list[5] {
		t.Error("the findings differ from run to run")
	}
}
