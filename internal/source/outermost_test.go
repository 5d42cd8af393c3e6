package source_test

import (
	"strings"
	"testing"

	"saltmark/internal/source"
)

// What a broken text is about is known as far as it could be read.
func TestTheOutermostTextsAreKnownOfABrokenText(t *testing.T) {
	for _, c := range []struct{ name, text, want, pointer string }{
		{"a whole text", `{"k":"x"}`, "x", ""},
		{"no text", `{"k":1}`, "", ""},
		{"a list", `["k","x"]`, "", ""},
		{"cut short", `{"k":"x","a":{"k":"y"`, "x", "/a"},
		{"cut short inside the name", `{"k":"x`, "", "/k"},
		{"a key twice, the name behind it", `{"a":1,"a":2,"k":"x"}`, "x", "/a"},
		{"the name twice", `{"k":"x","k":"y"}`, "x", "/k"},
		{"inside alone", `{"a":{"k":"x"},}`, "", ""},
		{"a number of no JSON, the name behind it", `{"a":01,"k":"x"}`, "", "/a"},
		{"bytes that are not UTF-8", "{\"k\":\"x\",\"a\":[0,{\"b\":\"M\xfcller\"}]}", "x", "/a/1/b"},
		{"bytes that are not UTF-8 in a name", "{\"k\":\"x\",\"a\":{\"b\xfc\":1}}", "x", "/a"},
		{"bytes that are not UTF-8 behind it all", "{\"k\":\"x\"}\xfc", "x", ""},
		{"bytes that are not UTF-8 behind another fault", "{\"k\":\"x\",,\"a\":\"\xfc\"}", "x", ""},
		{"a lone carriage return in a list", "{\"k\":\"x\",\"a\":[1,\r2]}", "x", "/a/1"},
		{"UTF-16", "\xff\xfe{\x00", "", ""},
		{"a byte order mark and bytes that are not UTF-8", "\uFEFF{\"k\":\"x\",\"a\":\"\xfc\"}", "x", "/a"},
	} {
		doc, found := source.ReadJSON("t.json", []byte(c.text), source.ResourceLimits())
		if got := doc.Outermost("k"); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
		pointer := ""
		if len(found) > 0 {
			pointer = found[len(found)-1].Place.Pointer
		}
		if pointer != c.pointer {
			t.Errorf("%s: at %q, want %q", c.name, pointer, c.pointer)
		}
	}
}

// A text that is all brackets before a broken byte costs no more than another.
func TestAPlaceIsNotLookedForInATextThatIsTooMuch(t *testing.T) {
	text := "[" + strings.Repeat("1,", 8<<20) + "\xff"
	_, found := source.ReadJSON("t.json", []byte(text), source.ResourceLimits())
	if len(found) != 1 || found[0].Rule != "text-encoding" || found[0].Place.Pointer != "" {
		t.Errorf("%q", told(found))
	}
}
