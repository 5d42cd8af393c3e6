package source_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"saltmark/internal/source"
)

func TestTheSameFaultHasTheSameRuleInBothFormats(t *testing.T) {
	for _, c := range []struct{ rule, json, yaml, pointer string }{
		{"duplicate-key", `{"a":{"b":1,"b":2}}`, "a:\n  b: 1\n  b: 2\n", "/a/b"},
		{"number-size", `{"a":[1e61]}`, "a:\n- 1e61\n", "/a/0"},
		{"number-size", `{"a":` + strings.Repeat("1", 41) + `}`, "a: " + strings.Repeat("1", 41) + "\n", "/a"},
		{"number-form", `{"a":0x1F}`, "a: 0x1F\n", "/a"},
		{"number-form", `{"a":[1,-017]}`, "a: [1, -017]\n", "/a/1"},
		{"number-form", `017`, "017\n", ""},
		{"number-form", `{"a":+1}`, "a: +1\n", "/a"},
		{"number-form", `{"a":.5}`, "a: .5\n", "/a"},
		{"number-form", `{"a":.inf}`, "a: .inf\n", "/a"},
		{"escape", `{"a":"\q"}`, `a: "\q"`, "/a"},
		{"escape", `{"a":"\ud800"}`, `a: "\ud800"`, "/a"},
		{"null-character", `{"a":"\u0000"}`, `a: "\u0000"`, "/a"},
		{"control-character", "[\"\x01\"]", "['\x01']", "*"},
		{"unclosed-text", "{\"a\":\"x\n\"}", "a: \"x\n", "/a"},
		{"one-document", `{} {}`, "a: 1\n---\na: 2\n", ""},
		{"text-encoding", "[\"\xff\"]", "- \xff", "*"},
		{"line-end", "[1,\r2]", "- 1\r- 2", "*"},
		{"text-empty", " ", " ", ""},
		{"text-size", strings.Repeat(" ", 1<<20) + "1", strings.Repeat(" ", 1<<20) + "1", ""},
		{"key-size", `{"a":{"` + strings.Repeat("k", 257) + `":1}}`, "a:\n  " + strings.Repeat("k", 257) + ": 1\n", "/a"},
		{"nesting", strings.Repeat("[", 33) + strings.Repeat("]", 33), strings.Repeat("- ", 33) + "1\n", "*"},
		{"too-many-values", "[" + strings.Repeat("1,", 50_000) + "1]", strings.Repeat("- 1\n", 50_001), "*"},
		{"syntax", `{"a":[1}`, "a: [1}\n", "*"},
		{"syntax", `{"a":[1`, "a: [1\n", "*"},
	} {
		_, inJSON := source.ReadJSON("t", []byte(c.json), source.SheetLimits())
		_, inYAML := source.ReadYAML("t", []byte(c.yaml), source.SheetLimits())
		if len(inJSON) != 1 || len(inYAML) != 1 {
			t.Errorf("%s: %q and %q", c.rule, told(inJSON), told(inYAML))
			continue
		}
		if inJSON[0].Rule != c.rule || inYAML[0].Rule != c.rule {
			t.Errorf("%s: %q and %q", c.rule, told(inJSON), told(inYAML))
		}
		if c.pointer != "*" && (inJSON[0].Place.Pointer != c.pointer || inYAML[0].Place.Pointer != c.pointer) {
			t.Errorf("%s: %q and %q, want %s", c.rule, told(inJSON), told(inYAML), c.pointer)
		}
	}
}

// sameTree compares trees without what the notation alone decides.
var sameTree = cmp.Options{cmpopts.IgnoreFields(source.Node{}, "Offset", "Quoted"), cmpopts.IgnoreFields(source.Member{}, "Offset")}

// value draws a JSON value as its text.
func value(depth int) *rapid.Generator[string] {
	text := rapid.Custom(func(t *rapid.T) string {
		b, err := json.Marshal(rapid.String().Draw(t, "text"))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	})
	number := rapid.StringMatching(`-?(0|[1-9][0-9]{0,5})(\.[0-9]{1,6})?([eE][-+]?[0-5]?[0-9])?`)
	kinds := []*rapid.Generator[string]{text, number, rapid.SampledFrom([]string{"null", "true", "false", "[]", "{}"})}
	space := rapid.SampledFrom([]string{"", "", " ", "\n", "\r\n  ", "\t"})
	if depth > 0 {
		kinds = append(kinds, rapid.Custom(func(t *rapid.T) string {
			s := space.Draw(t, "space")
			return "[" + s + strings.Join(rapid.SliceOfN(value(depth-1), 1, 4).Draw(t, "items"), s+","+s) + s + "]"
		}), rapid.Custom(func(t *rapid.T) string {
			s := space.Draw(t, "space")
			var members []string
			for _, name := range rapid.SliceOfNDistinct(text, 1, 4, rapid.ID).Draw(t, "names") {
				members = append(members, name+s+":"+s+value(depth-1).Draw(t, "value"))
			}
			return "{" + s + strings.Join(members, s+","+s) + s + "}"
		}))
	}
	return rapid.OneOf(kinds...)
}

func TestYAMLThatIsJSONReadsToTheSameTree(t *testing.T) {
	read := 0
	rapid.Check(t, func(t *rapid.T) {
		text := []byte(value(3).Draw(t, "value"))
		fromJSON, inJSON := source.ReadJSON("t", text, source.SheetLimits())
		fromYAML, inYAML := source.ReadYAML("t", text, source.SheetLimits())
		if !inJSON.HasErrors() {
			// Raw DEL and C1 characters are JSON and no YAML text of ours.
			for _, f := range inYAML {
				if f.Rule != "control-character" {
					t.Fatalf("%q: %q", text, told(inYAML))
				}
			}
		}
		if inJSON.HasErrors() || inYAML.HasErrors() {
			return
		}
		read++
		if diff := cmp.Diff(fromJSON.Root, fromYAML.Root, sameTree); diff != "" {
			t.Fatalf("%q: %s", text, diff)
		}
	})
	if read == 0 {
		t.Error("no text was read by both")
	}
}
