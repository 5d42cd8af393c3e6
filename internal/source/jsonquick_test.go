package source

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// bothWays reads a text quickly and slowly. What the quick way reads, the slow way reads
// too, and finds nothing wrong with it.
func bothWays(t *testing.T, text string, lim Limits) (quick bool) {
	t.Helper()
	newReader := func() jsonReader {
		doc := &Document{Name: "t.json", Text: []byte(text), Format: JSON}
		return jsonReader{faults: &faults{doc: doc, lim: lim.orSheet()}, text: text}
	}
	r := newReader()
	if !r.checkBytes() {
		return false
	}
	root, ok := r.quickly()
	if !ok {
		return false
	}
	slow := newReader()
	want := slow.slowly()
	if len(slow.list) > 0 {
		t.Errorf("%q is read quickly, but: %v", text, slow.list)
	} else if at := differs(want, root); at != "" {
		t.Errorf("%q: what is read quickly differs at %q", text, at)
	}
	return true
}

// differs gives the pointer of the first place where two trees differ, "" for none; the
// root is "/".
func differs(a, b *Node) string {
	if a.Kind != b.Kind || a.Quoted != b.Quoted || a.Text != b.Text || a.Offset != b.Offset || len(a.Members) != len(b.Members) || len(a.Items) != len(b.Items) {
		return "/"
	}
	for i, m := range a.Members {
		if n := b.Members[i]; m.Name != n.Name || m.Offset != n.Offset {
			return "/" + m.Name
		} else if at := differs(m.Value, n.Value); at != "" {
			return "/" + m.Name + at
		}
	}
	for i := range a.Items {
		if at := differs(a.Items[i], b.Items[i]); at != "" {
			return "/" + strconv.Itoa(i) + at
		}
	}
	return ""
}

func TestGoodTextsAreReadQuicklyAndTheSame(t *testing.T) {
	for _, pattern := range []string{"../../testdata/bundles/*.json", "../../testdata/examples/subset/*.json"} {
		paths, err := filepath.Glob(pattern)
		if err != nil || len(paths) < 20 {
			t.Fatal(pattern, err)
		}
		for _, path := range paths {
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if !bothWays(t, string(text), ResourceLimits()) {
				t.Errorf("%s is not read quickly", path)
			}
		}
	}
	for _, text := range []string{
		"{}", " [ ] ", "\t{ \"a\" : [ ] }\r\n", `""`, `"\u00e4\n\"\\\/"`, "0", "-0.10e+2", "[1,-1.0,1E5,0.000]", "true", "[false,null]",
		`{"a":{"b":[{"c":1},[2]]},"d":"ä"}`,
	} {
		if !bothWays(t, text, Limits{}) {
			t.Errorf("%q is not read quickly", text)
		}
	}
}

func TestWhatIsNotKnownToBeRightIsLeftToTheDecoder(t *testing.T) {
	deep := strings.Repeat("[", 33) + strings.Repeat("]", 33)
	for _, text := range []string{
		"", "{", "[1", `{"a"}`, `{"a":1,}`, "[1,]", "[,1]", "[1 2]", "{} {}", `{"a":1,"a":2}`, `{"a":1,"\u0061":2}`, `"\ud83d\ude00"`, `"\u0000"`,
		"\"\x01\"", "\"a\nb\"", `"open`, `"\q"`, "01", "1.", ".5", "+1", "1e", "-", "tru", "nul", "NaN", "[1e61]", strings.Repeat("1", 41), deep,
		`{"` + strings.Repeat("k", 257) + `":1}`, "'a'", "// a\n1", "\ufeff1",
	} {
		if bothWays(t, text, Limits{}) {
			t.Errorf("%q is read quickly", text)
		}
	}
}

func FuzzReadingQuicklyIsReadingSlowly(f *testing.F) {
	for _, text := range []string{`{"a":[1.50,"x\n",null,true],"b":{}}`, `"\u00e4\ud83d\ude00"`, `[1e5, -0.0]`, "{\"a\":1,\"a\":2}"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) { bothWays(t, text, Limits{}) })
}

func TestANameTwiceIsSeenAmongAnyOthers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOfN(rapid.StringMatching(`[ab]{0,4}|[a-z]{1,8}`), 0, 80).Draw(t, "names")
		members, seen, twice := make([]Member, len(names)), map[string]bool{}, false
		for i, name := range names {
			members[i].Name, twice = name, twice || seen[name]
			seen[name] = true
		}
		if got := nameTwice(members); got != twice {
			t.Fatalf("it is %v, want %v", got, twice)
		}
	})
}
