package source_test

import (
	"strings"
	"testing"

	"saltmark/internal/source"
)

func TestNoFindingShowsAValue(t *testing.T) {
	const value = "Quimby"
	for _, text := range []string{
		"a: @v\na: @v\n", "a: *@v\n", "a: &@v 1\nb: &@v 2\n", "a: !@v x\n", "a: \"@v\n", "a: '@v' @v\n", "a: @v\n  @v\n", "a: [@v @v]\n", "a: @v: @v\n", "- @v\n@v\n", "a: %@v\n",
		"a: |@v\n", "a: \"\\@v\"\n", "- &x @v\n- &x/ @v\n", "a: {b: [@v]: 1}\n", "a: \"@v\"@v\n",
		`{"a":@v}`, `{"a":"@v" "@v"}`, `{"a":"@v","a":"@v"}`, `{"a":"\@v"}`, `{"a":"@v`, `["@v"`, `{"a":"@v"}"@v"`, "[\"@v\n\"]", `{"a":"@v\u0000"}`, `[@v]`,
	} {
		text = strings.ReplaceAll(text, "@v", value)
		_, inJSON := source.ReadJSON("t", []byte(text), source.SheetLimits())
		_, inYAML := source.ReadYAML("t", []byte(text), source.SheetLimits())
		all := append(inJSON, inYAML...)
		if len(all) == 0 {
			t.Errorf("%q has no fault", text)
		}
		for _, f := range all {
			if line := f.Text(true); strings.Contains(line, value) {
				t.Errorf("%q: %s", text, line)
			}
		}
	}
}
