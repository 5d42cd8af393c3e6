package r4_test

import (
	"slices"
	"strings"
	"testing"

	"saltmark/internal/r4"
	"saltmark/internal/source"
)

func tree(t *testing.T, text string) *source.Node {
	t.Helper()
	doc, faults := source.ReadJSON("test.json", []byte(text), source.ResourceLimits())
	if len(faults) > 0 {
		t.Fatal(faults[0].Text(true))
	}
	return doc.Root
}

func TestAChoiceIsFoundByItsStem(t *testing.T) {
	for _, c := range []struct{ text, stem, want string }{
		{`{"valueString":"a"}`, "value", "valueString=a"},
		{`{"valueDateTime":"2031","_valueDateTime":{}}`, "value", "valueDateTime=2031"},
		{`{"_valueString":{}}`, "value", "valueString"},
		{`{"valueSet":"a","values":"b","value":"c"}`, "value", ""},
		{`{"effectivePeriod":{}}`, "value", ""},
		{`{"effectiveInstant":"2031"}`, "effective", "effectiveInstant=2031"},
		{`"valueString"`, "value", ""},
		{`{"valueString":"a","_valueString":{},"valueCode":"b","_valueBoolean":{}}`, "value", "valueString=a valueCode=b valueBoolean"},
	} {
		var all []string
		for name, value := range r4.Choices(tree(t, c.text), c.stem) {
			if value != nil {
				name += "=" + value.Text
			}
			all = append(all, name)
		}
		if got := strings.Join(all, " "); got != c.want {
			t.Errorf("%s: %s, want %s", c.text, got, c.want)
		}
	}
	for name := range r4.Choices(nil, "value") {
		t.Errorf("nothing has the choice %s", name)
	}
}

func TestCodesAreFoundByTheirSystem(t *testing.T) {
	n := tree(t, `{"coding":[{"system":"a","code":"1"},{"system":"b","code":"2"},{"system":"a","code":"3"},{"code":"4"}],"text":"t"}`)
	var got []string
	for coding := range r4.Codings(n, "a") {
		got = append(got, r4.Text(coding, "code"))
	}
	if want := []string{"1", "3"}; !slices.Equal(got, want) || r4.Code(n, "b") != "2" || r4.Code(n, "c") != "" || r4.Code(nil, "a") != "" {
		t.Errorf("codings %q; b %q", got, r4.Code(n, "b"))
	}
	if got := r4.ReferenceText(tree(t, `{"reference":"Device/1"}`)); got != "Device/1" {
		t.Errorf("reference %q", got)
	}
	if got := r4.Text(tree(t, `{"a":{"b":1}}`), "a", "b"); got != "" {
		t.Errorf("a number was taken for text: %q", got)
	}
}
