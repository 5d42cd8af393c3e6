package schema

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/xeipuuv/gojsonschema"

	fhirshape "saltmark/internal/shape"
	"saltmark/internal/shape/archive"
	"saltmark/internal/source"
)

// The official schema is the second opinion on what internal/shape says.

// opinionsFile lists the official examples on which the two differ.
const opinionsFile = "../../testdata/examples/opinions.tsv"

// officialAlone gives the official schema of one type, in which resources inside another
// are not looked at: each is judged for itself.
func officialAlone(t testing.TB) func(name string) *gojsonschema.Schema {
	root := official(t)
	delete(root, "oneOf")
	root["definitions"].(map[string]any)[anyResource] = true
	text, err := json.Marshal(root)
	if err != nil {
		t.Fatal(err)
	}
	compiled := map[string]*gojsonschema.Schema{}
	return func(name string) *gojsonschema.Schema {
		if compiled[name] == nil {
			one, err := decode(text)
			if err != nil {
				t.Fatal(err)
			}
			one["allOf"] = []any{reference(name)}
			if compiled[name], err = gojsonschema.NewSchema(gojsonschema.NewRawLoader(one)); err != nil {
				t.Fatal(err)
			}
		}
		return compiled[name]
	}
}

// opinion is a reason for which one of the two refuses an example alone: its rule, or the
// kind of error of the library, and the element, without indices.
type opinion struct{ by, what, element string }

// opinions judges a document by both, by the official schema each resource in it, and
// gives their reasons where only one of them refuses it.
func opinions(t testing.TB, judge func(string) *gojsonschema.Schema, doc *source.Document) (differ []opinion) {
	var byShape, bySchema []opinion
	found := fhirshape.Check(doc, fhirshape.Options{Each: func(kind string, n *source.Node, _ func() string) {
		result, err := judge(kind).Validate(gojsonschema.NewRawLoader(emptied(n)))
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range result.Errors() {
			if summaries[e.Type()] {
				continue
			}
			at := kind + strings.TrimPrefix(e.Context().String("."), "(root)")
			bySchema = append(bySchema, opinion{"schema", e.Type(), strings.TrimSuffix(unnumbered(at+"."+text(e.Details()["property"])), ".")})
		}
	}})
	for _, f := range found {
		at := doc.Root.Get("resourceType").Text + strings.ReplaceAll(f.Place.Pointer, "/", ".")
		byShape = append(byShape, opinion{"shape", f.Rule, unnumbered(at)})
	}
	if len(byShape) == 0 {
		return bySchema
	}
	if len(bySchema) == 0 {
		return byShape
	}
	return nil
}

// unnumbered takes the indices out of a path.
func unnumbered(path string) string {
	return regexp.MustCompile(`\.\d+`).ReplaceAllString(path, "")
}

// emptied gives a resource for the official schema, without the content of the resources
// in it.
func emptied(n *source.Node) any {
	m, ok := n.Any().(map[string]any)
	if !ok {
		return nil
	}
	if list, ok := m["contained"].([]any); ok {
		for i := range list {
			list[i] = true
		}
	}
	if list, ok := m["entry"].([]any); ok && m["resourceType"] == "Bundle" {
		for _, e := range list {
			if e, ok := e.(map[string]any); ok && e["resource"] != nil {
				e["resource"] = true
			}
		}
	}
	return m
}

// TestTwoOpinionsOnEveryExample: on every official example shape and the official schema
// say the same, or the list says why not. make examples fetches them.
func TestTwoOpinionsOnEveryExample(t *testing.T) {
	packed := os.Getenv("SALTMARK_EXAMPLES")
	if packed == "" {
		t.Skip("SALTMARK_EXAMPLES names no package; make examples does")
	}
	judge := officialAlone(t)
	files, both, seen := 0, 0, map[opinion]int{}
	err := archive.Each(packed, func(name string, text []byte) error {
		if !archive.IsResource(name) {
			return nil
		}
		doc, found := source.ReadJSON(name, text, source.ResourceLimits())
		if found.HasErrors() {
			t.Errorf("%s: %v", name, found)
			return nil
		}
		files++
		differ := opinions(t, judge, doc)
		if len(differ) == 0 {
			both++
		}
		slices.SortFunc(differ, compareOpinions)
		for _, o := range slices.Compact(differ) {
			seen[o]++
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	listed := listedOpinions(t)
	for _, o := range slices.SortedFunc(maps.Keys(seen), compareOpinions) {
		if listed[o] != seen[o] {
			t.Errorf("%s\t%s\t%s\t%d files; the list has %d", o.by, o.what, o.element, seen[o], listed[o])
		}
		delete(listed, o)
	}
	for o, n := range listed {
		t.Errorf("%v: the list has %d files, and there is none", o, n)
	}
	fmt.Printf("\n%d official examples, %d on which shape and official schema agree, %d on which the list says why not\n", files, both, files-both)
}

func compareOpinions(a, b opinion) int {
	return cmp.Or(cmp.Compare(a.by, b.by), cmp.Compare(a.what, b.what), cmp.Compare(a.element, b.element))
}

// listedOpinions reads the list: who refuses, by which rule or kind of error, the element,
// how many files, why.
func listedOpinions(t *testing.T) map[opinion]int {
	t.Helper()
	text, err := os.ReadFile(opinionsFile)
	if err != nil {
		t.Fatal(err)
	}
	listed := map[opinion]int{}
	for line := range strings.Lines(string(text)) {
		cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		if strings.HasPrefix(line, "#") || cells[0] == "refused by" {
			continue
		}
		if len(cells) != 5 || slices.Contains(cells, "") {
			t.Errorf("opinions.tsv: %q", line)
			continue
		}
		n, err := strconv.Atoi(cells[3])
		if err != nil {
			t.Errorf("opinions.tsv: %q", line)
		}
		listed[opinion{cells[0], cells[1], cells[2]}] = n
	}
	return listed
}

// canonicals are elements of type canonical in the examples that are disturbed: R4 has
// twins for them, the official schema has none.
var canonicals = []string{"_profile", "_instantiatesCanonical"}

func TestShapeIsNowhereLooserThanTheOfficialSchema(t *testing.T) {
	notLooser(t, "shape", func(text []byte, doc *source.Document) bool {
		return len(fhirshape.Check(doc, fhirshape.Options{})) > 0 ||
			slices.ContainsFunc(canonicals, func(twin string) bool { return bytes.Contains(text, []byte(`"`+twin+`"`)) })
	})
}

// TestShapeSeesWhatTheCutSees: every fault for which the gate of what we write has words
// is one for shape too.
func TestShapeSeesWhatTheCutSees(t *testing.T) {
	for _, m := range mutations {
		doc := read(t, mutate(t, m.old, m.new))
		if cut, ours := CheckFHIR(doc, nil), fhirshape.Check(doc, fhirshape.Options{}); cut.HasErrors() && !ours.HasErrors() {
			t.Errorf("%s: the cut refuses it (%s), shape does not", m.name, cmp.Or(lines(cut), "?"))
		}
	}
	for name, text := range good {
		if list := fhirshape.Check(read(t, text), fhirshape.Options{}); len(list) > 0 {
			t.Errorf("%s: %s", name, lines(list))
		}
	}
}
