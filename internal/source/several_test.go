package source_test

import (
	"strings"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

func TestAPointerIntoSeveralDocumentsBeginsWithTheNumberOfOne(t *testing.T) {
	var several source.Several
	for line, err := range source.Lines("s", strings.NewReader("{\"a\":1}\n\n{\"a\":{\"b\":2}}\n"), source.ResourceLimits()) {
		if err != nil {
			t.Fatal(err)
		}
		several = append(several, line.Document)
	}
	b := several[1].Find("/a/b")
	for _, c := range []struct {
		name    string
		got     finding.Place
		pointer string
		line    int
	}{
		{"a value", several.Place(b, "/1/a/b"), "/a/b", 3},
		{"a value that is not there", several.Place(nil, "/1/a/c"), "/a/c", 3},
		{"the nearest around it", several.Locate("/1/a/c"), "/a/c", 3},
		{"a document", several.Place(nil, several.At(1)), "", 3},
		{"the whole of them", several.Place(several[0].Root, ""), "", 1},
		{"a number that none has", several.Place(several[0].Root, "/7/a"), "/7/a", 1},
		{"one document alone", several[:1].Place(several[0].Find("/a"), "/a"), "/a", 1},
	} {
		if c.got.Pointer != c.pointer || c.got.Line != c.line {
			t.Errorf("%s: %+v", c.name, c.got)
		}
	}
	if one := several[:1]; one.At(0) != "" {
		t.Error(one.At(0))
	}
}
