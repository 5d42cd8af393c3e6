package schema

import (
	"testing"

	"saltmark/internal/source"
)

// FuzzCheck gives any JSON that source reads to both ways in: no panic, no finding
// without rule, severity and place, and the same findings again,
// whatever was judged before.
func FuzzCheck(f *testing.F) {
	for _, text := range good {
		f.Add(text)
	}
	for _, m := range mutations {
		f.Add(mutate(f, m.old, m.new))
	}
	f.Add(`{"session":"S-1","injections":[{"number":1e60}],"value":{"amount":"x"},"when":{"a":null}}`)
	f.Add(`{"resourceType":"Bundle","entry":[{"resource":{"resourceType":"Bundle","entry":[{"resource":[1E-60]}]}}]}`)
	sheet, others := compiled(f), &Memory{}
	f.Fuzz(func(t *testing.T, text string) {
		doc, faults := source.ReadJSON("fuzz.json", []byte(text), source.ResourceLimits())
		if faults.HasErrors() {
			return
		}
		list := append(sheet.Check(doc), CheckFHIR(doc, nil)...)
		for _, found := range list {
			if found.Rule == "" || found.Severity == 0 || found.Place.Line == 0 || found.Rule == "schema-unreadable" || found.Rule == "schema-other" {
				t.Fatalf("%+v", found)
			}
			_ = found.Text(false)
		}
		if again := append(sheet.Check(doc), CheckFHIR(doc, others)...); lines(again) != lines(list) {
			t.Fatalf("first\n%s\nthen\n%s", lines(list), lines(again))
		}
	})
}
