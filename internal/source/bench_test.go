package source_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"saltmark/internal/source"
)

// bundle makes a FHIR-like bundle of about 80 kB: invented, and formed like the
// bundles this program writes.
func bundle() []byte {
	var b strings.Builder
	b.WriteString(`{"resourceType":"Bundle","type":"transaction","entry":[`)
	for i := range 75 {
		if i > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, `{"fullUrl":"urn:uuid:00000000-0000-4000-8000-%012d","resource":{"resourceType":"Observation","id":"obs-%d",`+
			`"meta":{"profile":["https://example.org/StructureDefinition/measured-flow"]},`+
			`"text":{"status":"generated","div":"<div xmlns=\"http://www.w3.org/1999/xhtml\">Flow of injection %d</div>"},`+
			`"status":"final","category":[{"coding":[{"system":"http://terminology.hl7.org/CodeSystem/observation-category","code":"procedure"}]}],`+
			`"code":{"coding":[{"system":"http://loinc.org","code":"8741-1","display":"Left ventricular Cardiac output"}],"text":"flow"},`+
			`"subject":{"reference":"urn:uuid:00000000-0000-4000-8000-000000000001"},"effectiveDateTime":"2031-05-01T10:%02d:00+02:00",`+
			`"valueQuantity":{"value":0.%d0,"unit":"L/min","system":"http://unitsofmeasure.org","code":"L/min"},`+
			`"component":[{"code":{"text":"volume of indicator"},"valueQuantity":{"value":2.%d,"unit":"mL","system":"http://unitsofmeasure.org","code":"mL"}},`+
			`{"code":{"text":"temperature"},"valueQuantity":{"value":20.0,"unit":"Cel","system":"http://unitsofmeasure.org","code":"Cel"}}]},`+
			`"request":{"method":"POST","url":"Observation"}}`, i, i, i, i%60, 10+i%90, i%10)
	}
	b.WriteString(`]}`)
	return []byte(b.String())
}

// BenchmarkReadJSON stands beside its baseline, the standard library's decoding
// into any (numbers as floats, which is its faster way). Both run at once; compare
// their lines.
func BenchmarkReadJSON(b *testing.B) {
	text := bundle()
	b.Run("source", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			if _, list := source.ReadJSON("bundle.json", text, source.ResourceLimits()); len(list) > 0 {
				b.Fatal(list)
			}
		}
	})
	b.Run("encoding-json", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			var v any
			if err := json.Unmarshal(text, &v); err != nil {
				b.Fatal(err)
			}
		}
	})
}
