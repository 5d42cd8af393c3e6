package source_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// seeds are texts from which a fuzzer finds its way.
func seeds(f *testing.F, more ...string) {
	for _, s := range append(more,
		"", "{}", "[1,2.50,-3e5,null,true,\"x\\u00e9\\ud83d\\ude00\"]", "{\"a\":{\"b\":[{}]},\"a\":1}", "{\"a\":1} x", "[1,]", "[\"\\ud800\"]",
		"a: 1\nb:\n- c: &x {d: [e, *y]}\n  f: *x\n-\n  - |+1\n     g\n\n  - >-\n    h\n    i\n# j\n", "'k''l': \"\\x41\\U0001F600\"\r\n", "--- \na: ~\n...\n",
		"- - - a\n    - b\n", "? a\n: b\n", "!!map {<<: *a}", "a: 0x1F\n\tb: .inf\n", "\xEF\xBB\xBFa: \x00\xFF\r", "{a: [1, {b: }], \"c\":d}", "a: b: c\n d\n",
	) {
		f.Add([]byte(s))
	}
}

// sound holds what every reading must keep: a tree or an error, findings that are
// sorted, listed and placed within the text.
func sound(t *testing.T, doc *source.Document, list finding.List) {
	t.Helper()
	if (doc.Root == nil) != list.HasErrors() {
		t.Fatalf("tree %v and findings %q", doc.Root, told(list))
	}
	listed := map[string]bool{}
	for _, r := range finding.Rules() {
		listed[r.ID] = true
	}
	lines := bytes.Count(doc.Text, []byte{'\n'}) + 1
	for _, f := range list {
		if !listed[f.Rule] || f.Severity == 0 {
			t.Fatalf("rule %q is not listed", f.Rule)
		}
		if f.Place.Line > lines {
			t.Fatalf("%q in a text of %d lines", told(list), lines)
		}
	}
	sorted := append(finding.List(nil), list...)
	sorted.Sort()
	if diff := cmp.Diff(sorted, list); diff != "" {
		t.Fatal(diff)
	}
	if doc.Root != nil {
		inside(t, doc, doc.Root)
	}
}

// inside holds that every place of a tree lies in the text, and pointers find
// their way.
func inside(t *testing.T, doc *source.Document, n *source.Node) {
	t.Helper()
	if n.Kind == 0 || n.Offset < 0 || n.Offset > len(doc.Text) {
		t.Fatalf("%+v", n)
	}
	for _, m := range n.Members {
		if n.Get(m.Name) != m.Value || m.Offset < 0 || m.Offset > len(doc.Text) {
			t.Fatalf("%+v", m)
		}
		inside(t, doc, m.Value)
	}
	for _, item := range n.Items {
		inside(t, doc, item)
	}
}

func FuzzReadJSON(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, text []byte) {
		doc, list := source.ReadJSON("f.json", text, source.SheetLimits())
		sound(t, doc, list)
		if doc.Root == nil {
			return
		}
		if diff := cmp.Diff(standard(t, text), doc.Root.Any()); diff != "" {
			t.Fatal(diff)
		}
	})
}

// standard decodes a text as the standard library does, numbers as written.
func standard(t *testing.T, text []byte) any {
	t.Helper()
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.UseNumber()
	var v any
	if err := decoder.Decode(&v); err != nil {
		t.Fatalf("read here and refused there: %v", err)
	}
	return v
}

func FuzzReadYAML(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, text []byte) {
		doc, list := source.ReadYAML("f.yaml", text, source.SheetLimits())
		sound(t, doc, list)
		if doc.Root == nil {
			return
		}
		// What was read is JSON in other clothes.
		again, err := json.Marshal(doc.Root.Any())
		if err != nil {
			t.Fatal(err)
		}
		asJSON, list := source.ReadJSON("f.json", again, source.ResourceLimits())
		if list.HasErrors() {
			t.Fatalf("%q: %q", again, told(list))
		}
		if diff := cmp.Diff(doc.Root.Any(), asJSON.Root.Any()); diff != "" {
			t.Fatal(diff)
		}
	})
}

func FuzzLines(f *testing.F) {
	seeds(f, "{}\n\n[1]\r\n{\"a\":1,\"a\":2}\n", "\n \n\xEF\xBB\xBF{}", strings.Repeat("[", 70))
	f.Fuzz(func(t *testing.T, text []byte) {
		lim := source.ResourceLimits()
		lim.Bytes = 64
		lines, last := bytes.Count(text, []byte{'\n'})+1, 0
		for line, err := range source.Lines("f.ndjson", bytes.NewReader(text), lim) {
			if err != nil {
				t.Fatal(err)
			}
			if line.Number <= last || line.Number > lines {
				t.Fatalf("line %d after %d of %d", line.Number, last, lines)
			}
			last = line.Number
			for _, f := range line.Findings {
				if f.Place.Line != line.Number {
					t.Fatalf("%q in line %d", told(line.Findings), line.Number)
				}
			}
			if (line.Document.Root == nil) != line.Findings.HasErrors() {
				t.Fatalf("tree %v and findings %q", line.Document.Root, told(line.Findings))
			}
		}
	})
}
