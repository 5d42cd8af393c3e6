package audit_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"saltmark/internal/audit"
)

// repeated gives a text n times, "{}" standing for the number, with commas between.
func repeated(n int, text string) string {
	var b strings.Builder
	for i := range n {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(strings.ReplaceAll(text, "{}", fmt.Sprint(i)))
	}
	return b.String()
}

// hostiles are documents of a few megabytes that ask for more work than their size
// should cost; in a short run of a tenth of that.
func hostiles() map[string]string {
	repeated := func(n int, text string) string { return repeated(n/inShort(1, 10), text) }
	observation := func(inside string) string {
		return `{"resourceType":"Observation","status":"final","code":{"text":"x"},` + inside + `}`
	}
	bundle := func(kind, entries string) string {
		return `{"resourceType":"Bundle","type":"` + kind + `","entry":[` + entries + `]}`
	}
	const ours = `{"fullUrl":"urn:uuid:00000000-0000-4000-8000-{}","resource":{"resourceType":"Observation","identifier":[{"system":"s","value":"a/injection-{}/blood-flow/reported"}],"status":"final",` +
		`"code":{"coding":[{"system":"b/CodeSystem/measures","code":"blood-flow"}]},"valueQuantity":{"value":1,"unit":"L/min","system":"http://unitsofmeasure.org","code":"L/min"}}}`
	return map[string]string{
		"many members":        observation(repeated(100_000, `"_x{}":[]`)),
		"many values":         observation(repeated(100_000, `"valueString{}":"a"`)),
		"many contained":      observation(`"contained":[` + repeated(20_000, `{"resourceType":"Device","id":"d{}","parent":{"reference":"#d{}"}}`) + `]`),
		"many bad units":      observation(`"component":[` + repeated(20_000, `{"code":{"text":"x"},"valueQuantity":{"value":1,"unit":"x","system":"http://unitsofmeasure.org","code":"mL{}/mnu"}}`) + `]`),
		"many LOINC codes":    observation(`"component":[` + repeated(50_000, `{"code":{"coding":[{"system":"http://loinc.org","code":"{}-9"}]}}`) + `]`),
		"one circle":          bundle("collection", repeated(20_000, `{"fullUrl":"urn:uuid:{}","resource":{"resourceType":"Observation","status":"final","code":{"text":"x"},"derivedFrom":[{"reference":"urn:uuid:{}"},{"reference":"urn:uuid:1"}]}}`)),
		"many of ours":        bundle("transaction", repeated(10_000, ours)),
		"many subjects":       bundle("transaction", ours+","+repeated(20_000, `{"resource":{"resourceType":"Observation","subject":{"reference":"Patient/{}"}}}`)),
		"a wide narrative":    observation(`"text":{"status":"generated","div":"<div xmlns=\"http://www.w3.org/1999/xhtml\">` + strings.Repeat("<b>x</b>&amp;", 200_000) + `</div>"}`),
		"a deep narrative":    observation(`"text":{"status":"generated","div":"<div xmlns=\"http://www.w3.org/1999/xhtml\">` + strings.Repeat("<b>", 200_000) + `"}`),
		"a long recording":    observation(`"valueSampledData":{"origin":{"value":0},"period":1,"dimensions":1,"data":"` + strings.Repeat("X ", 1_000_000) + `"}`),
		"bundles in bundles":  strings.Repeat(`{"resourceType":"Bundle","type":"collection","entry":[{"resource":`, 20) + `{"resourceType":"Device"}` + strings.Repeat(`}]}`, 20),
		"a chain of sources":  bundle("collection", repeated(20_000, `{"fullUrl":"urn:uuid:{}","resource":{"resourceType":"Observation","status":"final","code":{"text":"x"},"derivedFrom":[{"reference":"urn:uuid:1{}"}]}}`)),
		"a long list of code": observation(`"category":[{"coding":[` + repeated(100_000, `{"system":"b/CodeSystem/measures","code":"x{}"}`) + `]}]`),
	}
}

// Whatever a few megabytes say, the audit is done with them in seconds. The limit is that
// of a hang, on a machine however busy.
func TestNoDocumentOfAFewMegabytesHoldsTheAudit(t *testing.T) {
	for name, text := range hostiles() {
		start := time.Now()
		found := audit.Check("h.json", []byte(text), audit.Options{})
		took := time.Since(start)
		t.Logf("%-20s %4d kB %7d findings %v", name, len(text)>>10, len(found), took.Round(time.Millisecond))
		if has(found, "audit-stopped") {
			t.Errorf("%s stopped the audit", name)
		}
		if took > time.Minute {
			t.Errorf("%s took %v", name, took)
		}
	}
}
