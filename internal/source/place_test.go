package source_test

import (
	"strings"
	"testing"

	"saltmark/internal/source"
)

// TestFindFollowsThePointerStandard holds the document and the pointers of
// section 5 of RFC 6901 (Bryan, Zyp, Nottingham: JavaScript Object Notation
// Pointer, 2013).
func TestFindFollowsThePointerStandard(t *testing.T) {
	doc := readJSON(t, `{"foo": ["bar", "baz"], "": 0, "a/b": 1, "c%d": 2, "e^f": 3, "g|h": 4, "i\\j": 5, "k\"l": 6, " ": 7, "m~n": 8}`)
	for _, c := range []struct{ pointer, want string }{
		{"/foo/0", "bar"}, {"/", "0"}, {"/a~1b", "1"}, {"/c%d", "2"}, {"/e^f", "3"},
		{"/g|h", "4"}, {`/i\j`, "5"}, {`/k"l`, "6"}, {"/ ", "7"}, {"/m~0n", "8"},
	} {
		if n := doc.Find(c.pointer); n == nil || n.Text != c.want {
			t.Errorf("%q: %+v, want %s", c.pointer, n, c.want)
		}
	}
	if doc.Find("") != doc.Root || len(doc.Find("/foo").Items) != 2 {
		t.Error("the whole document and its list are not found")
	}
	for _, pointer := range []string{"foo", "/foo/2", "/foo/-", "/foo/00", "/foo/+1", "/foo/0/0", "/foo/", "/none", "/foo/-1"} {
		if n := doc.Find(pointer); n != nil {
			t.Errorf("%q: %+v", pointer, n)
		}
	}
}

func TestPointerEscapesWhatFindReads(t *testing.T) {
	if got := source.Pointer("a/b", 0, "m~n", "~1", uint8(3)); got != "/a~1b/0/m~0n/~01/3" {
		t.Error(got)
	}
	if got := source.Pointer(); got != "" {
		t.Errorf("of nothing: %q", got)
	}
	if doc := readJSON(t, `{"~1":{"/":"x"}}`); doc.Find(source.Pointer("~1", "/")).Text != "x" {
		t.Error("not found again")
	}
}

func TestPlacesAreRightAcrossALongLineAndManyLines(t *testing.T) {
	long := `["` + strings.Repeat("é", 10_000) + `",` + strings.Repeat("\n", 10_000) + `  7]`
	doc := readJSON(t, long)
	if got := doc.Place(doc.Root.Items[1], "/1").String(); got != "t.json:10001:3" {
		t.Error(got)
	}
	if got := doc.At(strings.Index(long, ","), "").String(); got != "t.json:1:10004" {
		t.Error(got)
	}
	if got := doc.At(1<<30, "").String(); got != "t.json:10001:5" {
		t.Errorf("beyond the end: %s", got)
	}
}

func TestLocateFallsBackToWhatIsAround(t *testing.T) {
	doc := readJSON(t, "{\n\"a\":\n[1]}")
	for pointer, want := range map[string]string{
		"/a/0":     "t.json:3:2",
		"/a/7/x":   "t.json:3:1",
		"/b/c":     "t.json:1:1",
		"nonsense": "t.json#nonsense",
	} {
		if got := doc.Locate(pointer); got.String() != want || got.Pointer != pointer {
			t.Errorf("%s: %v", pointer, got)
		}
	}
	if got := doc.Place(nil, "/x").String(); got != "t.json#/x" {
		t.Errorf("no node: %s", got)
	}
}
