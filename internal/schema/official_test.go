package schema

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/xeipuuv/gojsonschema"
	"pgregory.net/rapid"

	"saltmark/internal/source"
)

// official gives the official R4 JSON Schema (testdata; fhir.schema.cut.md says
// where it is from), from the file that SALTMARK_OFFICIAL_SCHEMA names if it does.
func official(t testing.TB) map[string]any {
	t.Helper()
	packed, err := os.ReadFile("testdata/fhir.schema.json.gz")
	if path := os.Getenv("SALTMARK_OFFICIAL_SCHEMA"); path != "" {
		packed, err = os.ReadFile(path)
	}
	if err != nil {
		t.Fatal(err)
	}
	if bytes.HasPrefix(packed, []byte{0x1f, 0x8b}) {
		r, err := gzip.NewReader(bytes.NewReader(packed))
		if err != nil {
			t.Fatal(err)
		}
		if packed, err = io.ReadAll(r); err != nil {
			t.Fatal(err)
		}
	}
	root, err := decode(packed)
	if err != nil {
		t.Fatal(err)
	}
	return root
}

// officialWhole is the official schema as it is, which tries every resource type.
func officialWhole(t testing.TB) *gojsonschema.Schema {
	t.Helper()
	s, err := gojsonschema.NewSchema(gojsonschema.NewRawLoader(official(t)))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// officialFor gives the official schema of one type at a time, which is fast.
func officialFor(t testing.TB) func(name string) *gojsonschema.Schema {
	compiled := map[string]*gojsonschema.Schema{}
	var lock sync.Mutex
	return func(name string) *gojsonschema.Schema {
		lock.Lock()
		defer lock.Unlock()
		if compiled[name] == nil {
			root := official(t)
			delete(root, "oneOf")
			root["allOf"] = []any{reference(name)}
			s, err := gojsonschema.NewSchema(gojsonschema.NewRawLoader(root))
			if err != nil {
				t.Fatal(err)
			}
			compiled[name] = s
		}
		return compiled[name]
	}
}

func accepts(t testing.TB, s *gojsonschema.Schema, value any) bool {
	t.Helper()
	result, err := s.Validate(gojsonschema.NewRawLoader(value))
	if err != nil {
		t.Fatal(err)
	}
	return result.Valid()
}

func TestWhatTheOfficialSchemaRefusesIsRefused(t *testing.T) {
	whole := officialWhole(t)
	for _, m := range mutations {
		doc := read(t, mutate(t, m.old, m.new))
		if ours := CheckFHIR(doc, nil); len(ours) == 0 && !accepts(t, whole, doc.Root.Any()) {
			t.Errorf("%s: the official schema refuses it, the cut does not", m.name)
		}
	}
}

// TestWhatPassesIsGoodForTheOfficialSchema holds but for null beside a twin, which
// the standard allows (R4, JSON representation of primitive elements) and the
// official schema does not.
func TestWhatPassesIsGoodForTheOfficialSchema(t *testing.T) {
	whole := officialWhole(t)
	for name, text := range good {
		if got := accepts(t, whole, read(t, text).Root.Any()); got != (name != "null beside its twin") {
			t.Errorf("%s: the official schema says %v", name, got)
		}
	}
}

// strange are values to put in the place of others, as JSON: each time another one, since
// what is put in is disturbed further.
var strange = []string{`null`, `true`, `""`, `" "`, `"x"`, `"a b"`, `"2031-02-30"`, `"2031-13-01"`, `"2031-04-02T14:30:00Z"`, `"\f"`, `0`, `-1`,
	`1.5`, `{}`, `[]`, `[null]`, `["x"]`, `{"id":"x"}`, `{"reference":"x"}`}

// aStrangeValue draws one of them.
func aStrangeValue(r *rapid.T, label string) any {
	text := rapid.SampledFrom(strange).Draw(r, label)
	d := json.NewDecoder(strings.NewReader(text))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		r.Fatal(err)
	}
	return v
}

// toDisturb gives good resources by a name that begins with their type: some of ours,
// and official examples that hold no other resource.
func toDisturb(t *testing.T) map[string]string {
	t.Helper()
	resources := map[string]string{}
	for _, name := range []string{"Observation", "Patient", "Provenance", "Device", "Encounter"} {
		resources[name] = good[name]
	}
	paths, err := filepath.Glob("../../testdata/examples/subset/*.json")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no official examples: %v", err)
	}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if bytes.Count(text, []byte(`"resourceType"`)) == 1 {
			resources[filepath.Base(path)] = string(text)
		}
	}
	return resources
}

// notLooser changes good resources at random: what the official schema refuses, the
// other judge, which is called by this name, refuses.
func notLooser(t *testing.T, name string, refuses func(text []byte, doc *source.Document) bool) {
	t.Helper()
	judge := officialFor(t)
	resources := toDisturb(t)
	files := slices.Sorted(maps.Keys(resources))
	rapid.Check(t, func(r *rapid.T) {
		file := rapid.SampledFrom(files).Draw(r, "resource")
		kind, _, _ := strings.Cut(file, "-")
		value := read(t, resources[file]).Root.Any()
		for range rapid.IntRange(1, 3).Draw(r, "changes") {
			disturb(r, value)
		}
		text, err := json.Marshal(value)
		if err != nil {
			r.Fatal(err)
		}
		doc, faults := source.ReadJSON("r.json", text, source.ResourceLimits())
		if faults.HasErrors() {
			return
		}
		if m, ok := value.(map[string]any); !ok || m["resourceType"] != kind {
			return
		}
		if !refuses(text, doc) && !accepts(t, judge(kind), doc.Root.Any()) {
			r.Fatalf("the official schema refuses %s; %s does not", text, name)
		}
	})
}

func TestTheCutIsNowhereLooserThanTheOfficialSchema(t *testing.T) {
	notLooser(t, "the cut", func(_ []byte, doc *source.Document) bool { return len(CheckFHIR(doc, nil)) > 0 })
}

// disturb removes, renames, replaces or adds one member somewhere in a tree.
func disturb(r *rapid.T, v any) {
	switch v := v.(type) {
	case []any:
		if len(v) > 0 {
			disturb(r, v[rapid.IntRange(0, len(v)-1).Draw(r, "item")])
		}
	case map[string]any:
		if len(v) == 0 {
			return
		}
		names := make([]string, 0, len(v))
		for name := range v {
			names = append(names, name)
		}
		slices.Sort(names)
		name := rapid.SampledFrom(names).Draw(r, "member")
		switch rapid.IntRange(0, 6).Draw(r, "what") {
		case 0:
			delete(v, name)
		case 1:
			v[name] = aStrangeValue(r, "value")
		case 2:
			v[name+rapid.SampledFrom([]string{"x", "String", "Integer"}).Draw(r, "suffix")] = v[name]
		case 3:
			v["_"+name] = aStrangeValue(r, "twin")
		default:
			disturb(r, v[name])
		}
	}
}
