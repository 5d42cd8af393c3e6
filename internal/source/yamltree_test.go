package source_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/source"
)

// readYAML reads a text that must be without fault.
func readYAML(t *testing.T, text string) *source.Document {
	t.Helper()
	doc, list := source.ReadYAML("t.yaml", []byte(text), source.SheetLimits())
	if len(list) > 0 {
		t.Fatalf("%q: %q", text, told(list))
	}
	return doc
}

func TestPlainScalarsHaveOneReading(t *testing.T) {
	for _, c := range []struct {
		text, want string
		kind       source.Kind
	}{
		{"true", "true", source.Bool},
		{"false", "false", source.Bool},
		{"null", "", source.Null},
		{"~", "", source.Null},
		{"", "", source.Null},
		{"0.610", "0.610", source.Number},
		{"-0", "-0", source.Number},
		{"1e5", "1e5", source.Number},
		{"1.50E+05", "1.50E+05", source.Number},
		{"1e60", "1e60", source.Number},
		{strings.Repeat("9", 40), strings.Repeat("9", 40), source.Number},
		{"yes", "yes", source.String},
		{"no", "no", source.String},
		{"on", "on", source.String},
		{"Off", "Off", source.String},
		{"y", "y", source.String},
		{"True", "True", source.String},
		{"NULL", "NULL", source.String},
		{"2031-05-01", "2031-05-01", source.String},
		{"2031-05-01T10:00:00Z", "2031-05-01T10:00:00Z", source.String},
		{"12:30", "12:30", source.String},
		{"12:30:45", "12:30:45", source.String},
		{"1.2.3", "1.2.3", source.String},
		{"1,5", "1,5", source.String},
		{"2.5 mL", "2.5 mL", source.String},
		{"1e", "1e", source.String},
		{"--1", "--1", source.String},
		{"0x", "0x", source.String},
		{"0xG", "0xG", source.String},
		{"_1", "_1", source.String},
		{".", ".", source.String},
		{"NaN", "NaN", source.String},
		{"Infinity", "Infinity", source.String},
		{"e5", "e5", source.String},
		{"a  b   c   # comment", "a  b   c", source.String},
		{"a#b", "a#b", source.String},
		{"it's \"so\" [1]", "it's \"so\" [1]", source.String},
		{"a:b", "a:b", source.String},
		{"a\tb", "a\tb", source.String},
		{"-1x", "-1x", source.String},
		{"?x", "?x", source.String},
	} {
		n := readYAML(t, "key: "+c.text+"\n").Find("/key")
		if n.Kind != c.kind || n.Text != c.want || n.Quoted {
			t.Errorf("%q: %v %q, want %v %q", c.text, n.Kind, n.Text, c.kind, c.want)
		}
	}
}

func TestQuotesMakeAText(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{`'0x1F'`, "0x1F"},
		{`"true"`, "true"},
		{`"null"`, "null"},
		{`""`, ""},
		{`'it''s'`, "it's"},
		{`'\n'`, `\n`},
		{`"a: b # c"`, "a: b # c"},
		{`"\a\b\t\n\v\f\r\e\"\/\\\N\_\L\P\ \` + "\t" + `"`, "\a\b\t\n\v\f\r\x1b\"/\\\u0085\u00A0\u2028\u2029 \t"},
		{`"\xe9\u00e9\U0001F600\uD83D\uDE00"`, "éé😀😀"},
	} {
		n := readYAML(t, "key: "+c.text+"\n").Find("/key")
		if n.Kind != source.String || !n.Quoted || n.Text != c.want {
			t.Errorf("%s: %v %q, want %q", c.text, n.Kind, n.Text, c.want)
		}
	}
}

// TestBlockTextsFollowTheSpecification holds examples of chapter 8 of YAML 1.2.2
// (Ben-Kiki, Evans, döt Net: YAML Ain't Markup Language, 2021), reduced to what
// they show; each names its number there.
func TestBlockTextsFollowTheSpecification(t *testing.T) {
	for _, c := range []struct{ example, text, want string }{
		{"8.1 literal", "- |\n literal\n", "literal\n"},
		{"8.1 folded", "- >\n folded\n", "folded\n"},
		{"8.1 keep", "- |+\n keep\n\n", "keep\n\n"},
		{"8.1 strip with indentation", "- >1-\n  strip\n", " strip"},
		{"8.2 detected", "- |\n detected\n", "detected\n"},
		{"8.2 empty lines first", "- >\n \n  \n  # detected\n", "\n\n# detected\n"},
		{"8.2 explicit", "- |1\n  explicit\n", " explicit\n"},
		{"8.4 strip", "- |-\n  text\n", "text"},
		{"8.4 clip", "- |\n  text\n", "text\n"},
		{"8.4 keep", "- |+\n  text\n", "text\n"},
		{"8.5 strip before a comment", "- |-\n  # text\n\n # Clip\n", "# text"},
		{"8.6 empty strip", "- >-\n\n", ""},
		{"8.6 empty clip", "- >\n\n", ""},
		{"8.6 empty keep", "- |+\n\n", "\n"},
		{"8.7 literal", "- |\n literal\n \ttext\n", "literal\n\ttext\n"},
		{"8.8 literal content", "- |\n \n  \n  literal\n   \n  \n  text\n\n # Comment\n", "\n\nliteral\n \n\ntext\n"},
		{"8.9 folded", "- >\n folded\n text\n\n", "folded text\n"},
		{"8.10 folded lines", "- >\n\n folded\n line\n\n next\n line\n   * bullet\n\n   * list\n   * lines\n\n last\n line\n\n# Comment\n",
			"\nfolded line\nnext line\n  * bullet\n\n  * list\n  * lines\n\nlast line\n"},
	} {
		n := readYAML(t, c.text).Find("/0")
		if n.Kind != source.String || n.Quoted || n.Text != c.want {
			t.Errorf("%s: %q, want %q", c.example, n.Text, c.want)
		}
	}
}

func TestYAMLReadsToItsTree(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"objects and lists", "a:\n  b: 1\n  c:\n  - 2\n  - d: 3\n    e: 4\n  -\n    f: 5\n  - - 6\n    - 7\ng: 8\n",
			`{"a":{"b":1,"c":[2,{"d":3,"e":4},{"f":5},[6,7]]},"g":8}`},
		{"a list in the column of its key", "a:\n- 1\nb:\n- 2\n", `{"a":[1],"b":[2]}`},
		{"a list deep in a list entry", "- a:\n  - 1\n- b: 2\n", `[{"a":[1]},{"b":2}]`},
		{"empty values", "a:\nb: # nothing\nc:\n- \n-\nd: {e: , f: }\n", `{"a":null,"b":null,"c":[null,null],"d":{"e":null,"f":null}}`},
		{"a value on the next line", "a:\n  1\nb:\n  'c'\nd:\n  [1,\n2]\n", `{"a":1,"b":"c","d":[1,2]}`},
		{"brackets over lines", "a: [1, # one\n\n {b: 2,\n c: [ ]}, ]\nd: {}\n", `{"a":[1,{"b":2,"c":[]}],"d":{}}`},
		{"JSON inside", "a: {\"b\":1,\"c\":[true,null]}\n", `{"a":{"b":1,"c":[true,null]}}`},
		{"document marks", "--- # begin\na: 1\n... # end\n\n", `{"a":1}`},
		{"a scalar alone", "text: not\n", `{"text":"not"}`},
		{"anchors", "a: &x 1.50\nb: &y\n  c: *x\nd: &z [*x, *y]\ne:\n- *z\n- &w\n  f: 1\n- *w\n",
			`{"a":1.50,"b":{"c":1.50},"d":[1.50,{"c":1.50}],"e":[[1.50,{"c":1.50}],{"f":1},{"f":1}]}`},
		{"an anchor of nothing", "a: &x\nb: *x\n", `{"a":null,"b":null}`},
		{"line ends of two characters", "a: 1\r\nb: |\r\n  c\r\n  d\r\ne: 'f'\r\n", `{"a":1,"b":"c\nd\n","e":"f"}`},
		{"a byte order mark", "\xEF\xBB\xBFa: 1\n", `{"a":1}`},
		{"comments at any depth", "# x\na:\n # y\n  b: 1\n      # z\n  c: 2\n", `{"a":{"b":1,"c":2}}`},
		{"keys in quotes and with spaces", "'a b': 1\nc d: 2\n\"e: f\": 3\n'1': 4\n", `{"a b":1,"c d":2,"e: f":3,"1":4}`},
	} {
		doc := readYAML(t, c.text)
		var want any
		decoder := json.NewDecoder(strings.NewReader(c.want))
		decoder.UseNumber()
		if err := decoder.Decode(&want); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, doc.Root.Any()); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
}

func TestMembersKeepTheirOrder(t *testing.T) {
	for _, doc := range []*source.Document{
		readYAML(t, "z: 1\na: 2\nm: 3\n"),
		readJSON(t, `{"z":1,"a":2,"m":3}`),
	} {
		var names []string
		for _, m := range doc.Root.Members {
			names = append(names, m.Name)
		}
		if got := strings.Join(names, " "); got != "z a m" {
			t.Errorf("%v: %s", doc.Format, got)
		}
	}
}

func TestAnAliasSharesTheTreeOfItsAnchor(t *testing.T) {
	doc := readYAML(t, "a: &x [1]\nb: *x\n")
	if doc.Find("/a") != doc.Find("/b") {
		t.Error("two trees for one anchor")
	}
}

func TestPlacesOfValuesAndKeysInYAML(t *testing.T) {
	doc := readYAML(t, "\xEF\xBB\xBFé: ü\nb:\n  - x: 'y'\n    z: {w: [1,\n      22]}\n  - |\n    t\nc:\n")
	for pointer, want := range map[string]string{
		"":           "t.yaml:1:1",
		"/é":         "t.yaml:1:4",
		"/b":         "t.yaml:3:3",
		"/b/0":       "t.yaml:3:5",
		"/b/0/x":     "t.yaml:3:8",
		"/b/0/z":     "t.yaml:4:8",
		"/b/0/z/w":   "t.yaml:4:12",
		"/b/0/z/w/1": "t.yaml:5:7",
		"/b/1":       "t.yaml:6:5",
		"/c":         "t.yaml:8:3",
	} {
		if got := doc.Place(doc.Find(pointer), pointer); got.String() != want || got.Pointer != pointer {
			t.Errorf("%s: %v %s, want %s", pointer, got, got.Pointer, want)
		}
	}
	if got := doc.At(doc.Root.Members[1].Offset, "/b").String(); got != "t.yaml:2:1" {
		t.Errorf("key b: %s", got)
	}
}
