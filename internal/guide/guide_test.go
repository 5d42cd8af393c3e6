package guide_test

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"saltmark/internal/guide"
	"saltmark/internal/profile"
	"saltmark/internal/terms"
	"saltmark/mapping"
	"saltmark/mapping/measure"
)

func make1(t *testing.T, o guide.Options) map[string]string {
	t.Helper()
	files, err := guide.Make(o)
	if err != nil {
		t.Fatal(err)
	}
	byName := map[string]string{}
	for _, f := range files {
		if _, twice := byName[f.Name]; twice {
			t.Errorf("%s is made twice", f.Name)
		}
		byName[f.Name] = string(f.Text)
	}
	return byName
}

func TestTheSameTablesGiveTheSameBytes(t *testing.T) {
	first, second := make1(t, guide.Options{}), make1(t, guide.Options{})
	if len(first) != len(second) {
		t.Fatalf("%d files, then %d", len(first), len(second))
	}
	for name, text := range first {
		if second[name] != text {
			t.Errorf("%s differs", name)
		}
	}
}

// definition is what the tests look at.
type definition struct {
	ResourceType, ID, URL, Type string
	Snapshot, Differential      struct{ Element []element }
	Concept                     []struct{ Code, Display string }
	Group                       []struct {
		Target  string
		Element []struct {
			Code   string
			Target []struct{ Code, Equivalence, Comment string }
		}
	}
	Definition struct {
		Resource []struct {
			Reference struct{ Reference string }
		}
	}
}

type element struct {
	ID, Path, SliceName, Max string
	Min                      *int
	MustSupport              bool
	Base                     *struct{ Path string }
	Binding                  *struct{ Strength, ValueSet string }
	Constraint               []struct{ Key string }
	Type                     []struct {
		Code    string
		Profile []string
	}
}

func parse(t *testing.T, text string) definition {
	t.Helper()
	var d definition
	if err := json.Unmarshal([]byte(text), &d); err != nil {
		t.Fatal(err)
	}
	return d
}

func TestEveryProfileHasItsDefinitionAndItsPageInEveryLanguage(t *testing.T) {
	files := make1(t, guide.Options{})
	for _, p := range profile.All() {
		d := parse(t, files["resources/StructureDefinition-"+p.ID+".json"])
		if d.URL != measure.DefaultBase+"/StructureDefinition/"+p.ID || d.Type != p.Resource || len(d.Differential.Element) < 5 {
			t.Errorf("%s: %s of %s with %d elements", p.ID, d.URL, d.Type, len(d.Differential.Element))
		}
		for _, page := range []string{"pages/" + p.ID + ".md", "pages/de/" + p.ID + ".md"} {
			for i := range p.Elements {
				l := measure.English
				if strings.Contains(page, "/de/") {
					l = measure.German
				}
				if w := p.Elements[i].Words.In(l); w == "" || !strings.Contains(files[page], w) {
					t.Errorf("%s does not explain %s", page, p.Elements[i].Name)
				}
			}
		}
	}
}

// A snapshot is all that FHIR has, in its order, with what the differential says.
func TestASnapshotHoldsTheTypeAndTheDifferential(t *testing.T) {
	files := make1(t, guide.Options{})
	extension := parse(t, files["resources/StructureDefinition-flow-label.json"])
	if n := len(extension.Snapshot.Element); n != 5 { // FHIR R4 4.0.1, Extension
		t.Errorf("an extension has %d elements", n)
	}
	for name, text := range files {
		if !strings.HasPrefix(name, "resources/StructureDefinition-") {
			continue
		}
		d := parse(t, text)
		known := map[string]element{}
		for _, e := range d.Snapshot.Element {
			if _, twice := known[e.ID]; twice || e.Base == nil || e.Min == nil || e.Max == "" {
				t.Errorf("%s: %s is there twice, or lacks a base or how often it may be", name, e.ID)
			}
			known[e.ID] = e
		}
		for _, e := range d.Differential.Element {
			in, there := known[e.ID]
			if !there || e.Min != nil && *e.Min != *in.Min || e.Max != "" && e.Max != in.Max || e.MustSupport != in.MustSupport || len(e.Constraint) > len(in.Constraint) {
				t.Errorf("%s: the snapshot does not say of %s what the differential says", name, e.ID)
			}
		}
	}
}

// What a profile binds to is in the guide.
func TestEveryAddressOfOursInTheGuideLeadsSomewhere(t *testing.T) {
	files := make1(t, guide.Options{})
	known := map[string]bool{}
	for name, text := range files {
		if strings.HasPrefix(name, "resources/") {
			known[parse(t, text).URL] = true
		}
	}
	for name, text := range files {
		if !strings.HasPrefix(name, "resources/StructureDefinition-") {
			continue
		}
		for _, e := range parse(t, text).Differential.Element {
			if e.Binding != nil && !known[e.Binding.ValueSet] {
				t.Errorf("%s: %s is bound to %s", name, e.ID, e.Binding.ValueSet)
			}
			for _, k := range e.Type {
				for _, address := range k.Profile {
					if !known[address] {
						t.Errorf("%s: %s is a %s", name, e.ID, address)
					}
				}
			}
		}
	}
}

func TestEveryPublishedCodeOfAMeasureIsInTheMap(t *testing.T) {
	files := make1(t, guide.Options{})
	d := parse(t, files["resources/ConceptMap-measures-to-published.json"])
	mapped := map[string]map[string]string{}
	for _, g := range d.Group {
		mapped[g.Target] = map[string]string{}
		for _, e := range g.Element {
			for _, target := range e.Target {
				mapped[g.Target][target.Code] = target.Equivalence + " " + target.Comment
			}
		}
	}
	for i := range measure.All() {
		for _, c := range mapping.CodingsOf(&measure.All()[i], mapping.Options{}) {
			if c.System == terms.SystemLOINC && mapped[c.System][c.Code] == "" {
				t.Errorf("%s has no place in the map", c.Code)
			}
		}
	}
	if got := mapped[terms.SystemLOINC]["8737-9"]; got != "narrower only where the flow label contains LVO" {
		t.Error(got)
	}
	for _, code := range []string{"150276", "149772", "150408", "150636", "149760"} {
		if _, used := terms.Lookup(terms.SystemMDC, code); !used || mapped[terms.SystemMDC][code] == "" {
			t.Errorf("%s of ISO/IEEE 11073 has no place in the map, or is not in use", code)
		}
	}
	values := parse(t, files["resources/ConceptMap-values-to-published.json"])
	if len(values.Group) != 2 { // DICOM and SNOMED CT
		t.Errorf("coded values map to %d systems", len(values.Group))
	}
}

func TestThePackageHoldsEveryDefinitionWithItsLineInTheIndex(t *testing.T) {
	example := guide.Example{Type: "Basic", ID: "x", Text: []byte(`{"resourceType":"Basic","id":"x"}`)}
	files := make1(t, guide.Options{Examples: []guide.Example{example}})
	packed := unpacked(t, files["example.saltmark.fhir-"+guide.Version+".tgz"])
	var manifest struct {
		Name, Version string
		FhirVersions  []string
		Dependencies  map[string]string
	}
	if err := json.Unmarshal([]byte(packed["package/package.json"]), &manifest); err != nil {
		t.Fatal(err)
	}
	if manifest.Name != "example.saltmark.fhir" || manifest.Version != guide.Version || !slices.Equal(manifest.FhirVersions, []string{"4.0.1"}) || manifest.Dependencies["hl7.fhir.r4.core"] != "4.0.1" {
		t.Errorf("%+v", manifest)
	}
	var listed struct {
		Files []struct{ Filename, ResourceType, ID, URL string }
	}
	if err := json.Unmarshal([]byte(packed["package/.index.json"]), &listed); err != nil {
		t.Fatal(err)
	}
	for _, f := range listed.Files {
		d := parse(t, packed["package/"+f.Filename])
		if d.ResourceType != f.ResourceType || d.ID != f.ID || d.URL != f.URL {
			t.Errorf("the index says %+v of %+v", f, d.URL)
		}
	}
	loose := 0
	for name, text := range files {
		if plain, ok := strings.CutPrefix(name, "resources/"); ok {
			loose++
			if packed["package/"+plain] != text {
				t.Errorf("%s is not in the package as it lies beside it", plain)
			}
		}
	}
	if len(listed.Files) != loose || packed["package/example/Basic-x.json"] == "" {
		t.Errorf("%d definitions in the index, %d beside the package", len(listed.Files), loose)
	}
}

func unpacked(t *testing.T, text string) map[string]string {
	t.Helper()
	z, err := gzip.NewReader(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{}
	for r := tar.NewReader(z); ; {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			return files
		}
		if err != nil {
			t.Fatal(err)
		}
		inside, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		files[h.Name] = string(inside)
	}
}

func TestAddressesAndTheNameOfThePackageFollowTheBaseOfTheSite(t *testing.T) {
	for _, c := range []struct{ base, name string }{
		{"https://codes.hospital.example/fhir", "example.hospital.codes.fhir"},
		{"https://Codes.Hospital.example:8443/Fhir/R4", "example.hospital.codes.fhir.r4"},
		{"urn:oid:2.999.1", "saltmark.guide"},
		{"http://localhost", "localhost.guide"},
	} {
		files := make1(t, guide.Options{Base: c.base})
		if _, there := files[c.name+"-"+guide.Version+".tgz"]; !there {
			t.Errorf("%s: no package %s", c.base, c.name)
		}
		for name, text := range files {
			if strings.Contains(text, measure.DefaultBase) && !strings.HasSuffix(name, ".tgz") {
				t.Errorf("%s: %s still has the usual base", c.base, name)
			}
		}
	}
}

// The examples are charted from a demo sheet, of which the guide has a copy.
func TestTheExampleIsTheDemoSheet(t *testing.T) {
	for _, name := range []string{guide.ExampleSheet, "traces/22-injection-1.csv"} {
		want, err := os.ReadFile(filepath.Join("../../testdata/sheets", name))
		if err != nil {
			t.Fatal(err)
		}
		got, err := guide.ExampleFile(name)
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not that of testdata/sheets (%v); copy it", name, err)
		}
	}
}
