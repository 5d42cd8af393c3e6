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
	for _, c := range []struct{ text, stem, name, value string }{
		{`{"valueString":"a"}`, "value", "valueString", "a"},
		{`{"valueDateTime":"2031","_valueDateTime":{}}`, "value", "valueDateTime", "2031"},
		{`{"_valueString":{}}`, "value", "valueString", ""},
		{`{"valueSet":"a","values":"b","value":"c"}`, "value", "", ""},
		{`{"effectivePeriod":{}}`, "value", "", ""},
		{`{"effectiveInstant":"2031"}`, "effective", "effectiveInstant", "2031"},
		{`"valueString"`, "value", "", ""},
	} {
		name, value := r4.Choice(tree(t, c.text), c.stem)
		text := ""
		if value != nil {
			text = value.Text
		}
		if name != c.name || text != c.value {
			t.Errorf("%s: %q %q, want %q %q", c.text, name, text, c.name, c.value)
		}
	}
	var all []string
	for name := range r4.Choices(tree(t, `{"valueString":"a","_valueString":{},"valueQuantity":{},"_valueBoolean":{}}`), "value") {
		all = append(all, name)
	}
	if got := strings.Join(all, " "); got != "valueString valueQuantity valueBoolean" {
		t.Errorf("choices: %s", got)
	}
	if name, value := r4.Choice(nil, "value"); name != "" || value != nil {
		t.Error("a choice of nothing was found")
	}
}

func TestPrimitivesComeWithTheirTwins(t *testing.T) {
	n := tree(t, `{"given":["a",null,"c"],"_given":[null,{"id":"x"}],"_birthDate":{"id":"y"}}`)
	var got []string
	for value, twin := range r4.Pairs(n, "given") {
		text := "-"
		if value != nil {
			text = value.Text
		}
		got = append(got, text+"/"+r4.Text(twin, "id"))
	}
	if want := []string{"a/", "-/x", "c/"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if value, twin := r4.Pair(n, "birthDate"); value != nil || r4.Text(twin, "id") != "y" {
		t.Errorf("got %v, %v", value, twin)
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

func TestResourcesInsideAreGivenWithTheirPointers(t *testing.T) {
	n := tree(t, `{"resourceType":"Bundle","entry":[
		{"resource":{"resourceType":"Patient","contained":[{"resourceType":"Device"}]}},
		{"fullUrl":"x"},
		{"resource":{"resourceType":"Bundle","entry":[{"resource":{"resourceType":"Observation","entry":[{"resource":{}}]}}]}}]}`)
	var got []string
	for pointer, resource := range r4.Resources(n, "/x") {
		got = append(got, pointer+" "+r4.Text(resource, "resourceType"))
	}
	want := []string{
		"/x Bundle", "/x/entry/0/resource Patient", "/x/entry/0/resource/contained/0 Device",
		"/x/entry/2/resource Bundle", "/x/entry/2/resource/entry/0/resource Observation",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
	for pointer := range r4.Resources(n, "") {
		if pointer != "" {
			t.Errorf("went on to %s", pointer)
		}
		break
	}
}
