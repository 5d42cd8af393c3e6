package main

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "saltmark"

// layers are the floors of the house, from the ground up. A room may import every
// room of a lower layer, and of its own layer those that it names.
var layers = []struct {
	name  string
	rooms []room
}{
	{"leaves", []room{
		{path: "internal/language"},
		{path: "internal/finding", beside: []string{"internal/language"}}, // a message is said in each
		{path: "internal/ucum", beside: []string{"internal/finding"}},     // what is wrong with a unit is said in a finding
		{path: "internal/trace", beside: []string{"internal/finding"}},
		{path: "internal/dilution", numbersOnly: true},
		{path: "internal/circuit", numbersOnly: true},
		{path: "internal/hemo", beside: []string{"internal/finding"}}, // numbers only, but for the words of a refusal
		{path: "internal/terms"},
		{path: "internal/outfile", beside: []string{"internal/finding"}}, // what could not be written is said in each language
	}},
	{"nouns", []room{
		{path: "internal/source"},
		{path: "mapping/measure", beside: []string{"internal/source"}}, // its table is YAML, and source alone reads YAML
		{path: "mapping/record", beside: []string{"mapping/measure"}},
		{path: "internal/r4", beside: []string{"internal/source"}}, // its tree helpers read trees of source
		{path: "internal/schema", beside: []string{"internal/source"}},
		{path: "internal/shape", beside: []string{"internal/source"}},
	}},
	{"work", []room{
		{path: "mapping"},
		{path: "internal/sheet"},
		{path: "internal/derive"},
		{path: "internal/profile", beside: []string{"mapping"}}, // which resource is under which profile is told there
		{path: "internal/audit", beside: []string{"mapping", "internal/derive", "internal/profile"}},
		{path: "internal/guide", beside: []string{"mapping", "internal/profile"}},
		{path: "internal/picture", numbersOnly: true},
		{path: "internal/report", beside: []string{"internal/derive"}},    // shows what was computed from curves beside what was reported
		{path: "internal/selection", beside: []string{"internal/report"}}, // a pattern is held against the expression that reports show
	}},
	{"jobs", []room{
		{path: "internal/site"},
		{path: "internal/chart", beside: []string{"internal/site", "internal/illustrate"}}, // a report may bring a picture
		{path: "internal/migrate", beside: []string{"internal/site"}},                      // the newest version of the settings is told there
		{path: "internal/review", beside: []string{"internal/site"}},                       // shows the mapping under a site's settings
		{path: "internal/repeatability"},
		{path: "internal/rehearsal", beside: []string{"internal/site"}}, // invents sheets for the demo settings
		{path: "internal/agree"},
		{path: "internal/cohort"},
		{path: "internal/fhirrest"},
		{path: "internal/store"},
		{path: "internal/illustrate"},
		{path: "internal/relay", beside: []string{"internal/chart", "internal/fhirrest", "internal/store"}},
		{path: "internal/desk", beside: []string{"internal/chart", "internal/store"}},
	}},
	{"commands", []room{
		{path: "cmd/saltmark"},
		{path: "internal/release"},  // makes releases; no room imports it
		{path: "internal/accuracy"}, // tries the estimator on circuits; no room imports it, but tests do
	}},
}

type room struct {
	path string
	// beside are the rooms of the same layer that it may import.
	beside []string
	// numbersOnly rooms import no room at all.
	numbersOnly bool
}

// outside lists the libraries of others and the rooms that use each: few, so that it
// can be left. One without a room is for tests alone; tests may use every one.
var outside = []struct {
	library string
	rooms   []string
}{
	{"github.com/xeipuuv/gojsonschema", []string{"internal/schema", "internal/release"}}, // release: its test judges bills of materials
	{"github.com/cockroachdb/apd/v3", []string{"internal/ucum"}},
	{"github.com/samply/golang-fhir-models/fhir-models", []string{"internal/r4", "mapping"}},
	{"github.com/spf13/cobra", []string{"cmd/saltmark"}},
	{"github.com/spf13/pflag", []string{"cmd/saltmark"}},
	{"github.com/vbauerster/mpb/v8", []string{"cmd/saltmark"}},
	{"github.com/vbauerster/cupwriter", []string{"cmd/saltmark"}},
	{"github.com/goccy/go-yaml", []string{"internal/source"}},
	{"golang.org/x/image", []string{"internal/picture"}},
	{"github.com/go-json-experiment/json", []string{"internal/source"}},
	{"gonum.org/v1/gonum", []string{"internal/accuracy", "internal/circuit", "internal/hemo", "internal/dilution"}}, // distributions; a fast Fourier transform
	{"github.com/google/go-cmp", nil},
	{"github.com/rogpeppe/go-internal", nil},
	{"pgregory.net/rapid", nil},
}

// roomOf gives the room that a package of the module belongs to: the one with the
// longest path that the package's is or lies below.
func roomOf(pkg string) (layer int, found room, ok bool) {
	for l := range layers {
		for _, r := range layers[l].rooms {
			if (pkg == r.path || strings.HasPrefix(pkg, r.path+"/")) && len(r.path) > len(found.path) {
				layer, found, ok = l, r, true
			}
		}
	}
	return layer, found, ok
}

// forTests tells whether a package only serves tests: its name ends in "test".
func forTests(pkg string) bool { return strings.HasSuffix(path.Base(pkg), "test") }

// whyNot tells what forbids an import, "" when nothing does.
func whyNot(importer, imported string, test bool) string {
	if target, ours := strings.CutPrefix(imported, module+"/"); ours {
		return whyNotRoom(importer, target, test)
	}
	if first, _, _ := strings.Cut(imported, "/"); !strings.Contains(first, ".") {
		return "" // the standard library
	}
	for _, o := range outside {
		if imported != o.library && !strings.HasPrefix(imported, o.library+"/") {
			continue
		}
		_, r, _ := roomOf(importer)
		switch {
		case slices.Contains(o.rooms, r.path), test, o.rooms == nil && forTests(importer):
			return ""
		case o.rooms == nil:
			return "only tests import " + o.library
		}
		return "only " + strings.Join(o.rooms, " and ") + " may import " + o.library
	}
	return "it is in no line of the table of libraries"
}

// whyNotRoom: tests may look into every room, as far as the language lets them.
func whyNotRoom(importer, imported string, test bool) string {
	from, r, ok := roomOf(importer)
	if !ok {
		return importer + " is in no room of the table"
	}
	to, target, ok := roomOf(imported)
	switch {
	case !ok:
		return imported + " is in no room of the table"
	case test, target.path == r.path, to < from && !r.numbersOnly, slices.Contains(r.beside, target.path):
		return ""
	case r.numbersOnly:
		return r.path + " knows numbers only and imports no room"
	}
	return fmt.Sprintf("%s is of the layer %s, %s of the layer %s", r.path, layers[from].name, target.path, layers[to].name)
}

// sources calls f for each Go file of the module with its path from the top.
func sources(t *testing.T, f func(file string, text []byte, parsed *ast.File, set *token.FileSet)) {
	t.Helper()
	top := os.DirFS("../..")
	set := token.NewFileSet()
	err := fs.WalkDir(top, ".", func(file string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && file != "." && (d.Name() == "testdata" || strings.HasPrefix(d.Name(), ".")):
			return fs.SkipDir
		case d.IsDir() || path.Ext(file) != ".go":
			return nil
		}
		text, err := fs.ReadFile(top, file)
		if err != nil {
			return err
		}
		parsed, err := parser.ParseFile(set, file, text, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		f(file, text, parsed, set)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func isTest(file string) bool { return strings.HasSuffix(file, "_test.go") }

func TestRoomsImportOnlyWhatTheTableAllows(t *testing.T) {
	sources(t, func(file string, _ []byte, parsed *ast.File, set *token.FileSet) {
		for _, spec := range parsed.Imports {
			imported, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				t.Fatal(err)
			}
			if why := whyNot(path.Dir(file), imported, isTest(file)); why != "" {
				t.Errorf("%s: %s -> %s: %s", set.Position(spec.Pos()), path.Dir(file), imported, why)
			}
		}
	})
}

func TestEveryPackageIsInARoom(t *testing.T) {
	sources(t, func(file string, _ []byte, _ *ast.File, _ *token.FileSet) {
		if _, _, ok := roomOf(path.Dir(file)); !ok {
			t.Errorf("%s: the table of rooms has no line for %s", file, path.Dir(file))
		}
	})
}

func TestWrongImportsAreSeen(t *testing.T) {
	for _, c := range []struct {
		importer, imported string
		test               bool
		want               string
	}{
		{"internal/finding", "saltmark/internal/source", false, "internal/finding is of the layer leaves, internal/source of the layer nouns"},
		{"internal/ucum", "saltmark/internal/outfile", false, "internal/ucum is of the layer leaves, internal/outfile of the layer leaves"},
		{"internal/dilution", "saltmark/internal/finding", false, "internal/dilution knows numbers only and imports no room"},
		{"internal/picture", "saltmark/internal/finding", false, "internal/picture knows numbers only and imports no room"},
		{"mapping/record", "saltmark/mapping", false, "mapping/record is of the layer nouns, mapping of the layer work"},
		{"internal/derive", "saltmark/mapping", false, "internal/derive is of the layer work, mapping of the layer work"},
		{"internal/attic", "saltmark/internal/finding", false, "internal/attic is in no room of the table"},
		{"internal/audit", "saltmark/internal/attic", false, "internal/attic is in no room of the table"},
		{"internal/audit", "github.com/spf13/cobra", false, "only cmd/saltmark may import github.com/spf13/cobra"},
		{"internal/audit", "github.com/samply/golang-fhir-models/fhir-models/fhir", false, "only internal/r4 and mapping may import github.com/samply/golang-fhir-models/fhir-models"},
		{"internal/audit", "github.com/google/go-cmp/cmp", false, "only tests import github.com/google/go-cmp"},
		{"internal/audit", "example.org/other", true, "it is in no line of the table of libraries"},
		{"internal/audit", "saltmark/internal/derive", false, ""},
		{"internal/schema/cut", "saltmark/internal/schema", false, ""},
		{"internal/trace", "saltmark/internal/finding", false, ""},
		{"internal/hemo", "saltmark/internal/circuit", true, ""},
		{"internal/audit", "github.com/google/go-cmp/cmp", true, ""},
		{"internal/source", "github.com/go-json-experiment/json/jsontext", false, ""},
		{"internal/audit", "encoding/json", false, ""},
	} {
		if got := whyNot(c.importer, c.imported, c.test); got != c.want {
			t.Errorf("%s -> %s: %q, want %q", c.importer, c.imported, got, c.want)
		}
	}
}

func TestTheTableOfRoomsNamesOnlyRooms(t *testing.T) {
	seen := map[string]bool{}
	for l := range layers {
		for _, r := range layers[l].rooms {
			if seen[r.path] {
				t.Errorf("%s stands twice in the table", r.path)
			}
			seen[r.path] = true
			for _, b := range r.beside {
				if at, target, _ := roomOf(b); at != l || target.path != b || b == r.path {
					t.Errorf("%s names %s, which is no other room of its layer", r.path, b)
				}
			}
		}
	}
}

// A name that fits every subject says of none where it is.
func TestNoFileOrFolderHasANameForEverything(t *testing.T) {
	banned := []string{"util", "utils", "common", "helper", "helpers", "types", "global", "globals", "misc"}
	sources(t, func(file string, _ []byte, _ *ast.File, _ *token.FileSet) {
		for _, part := range strings.Split(filepath.ToSlash(file), "/") {
			name := strings.TrimSuffix(strings.TrimSuffix(part, ".go"), "_test")
			if slices.Contains(banned, name) {
				t.Errorf("%s: %s is named for no subject", file, part)
			}
		}
	})
}

func TestNoFileIsPast600Lines(t *testing.T) {
	const most = 600
	sources(t, func(file string, text []byte, parsed *ast.File, _ *token.FileSet) {
		if lines := bytes.Count(text, []byte("\n")); lines > most && !isTest(file) && !ast.IsGenerated(parsed) {
			t.Errorf("%s has %d lines: past %d there is a second subject in it", file, lines, most)
		}
	})
}

// Exit codes are decided in one place, and a half-written file needs its deferred
// clean-up, which os.Exit and log.Fatal skip.
func TestOnlyMainEndsTheProcess(t *testing.T) {
	ends := map[string][]string{"os": {"Exit"}, "log": {"Fatal", "Fatalf", "Fatalln"}}
	sources(t, func(file string, _ []byte, parsed *ast.File, set *token.FileSet) {
		generator := parsed.Name.Name == "main" && path.Dir(file) != "cmd/saltmark"
		if isTest(file) || file == "cmd/saltmark/main.go" || generator {
			return
		}
		ast.Inspect(parsed, func(n ast.Node) bool {
			if sel, ok := n.(*ast.SelectorExpr); ok {
				if pkg, ok := sel.X.(*ast.Ident); ok && slices.Contains(ends[pkg.Name], sel.Sel.Name) {
					t.Errorf("%s: %s.%s; only cmd/saltmark/main.go ends the process", set.Position(n.Pos()), pkg.Name, sel.Sel.Name)
				}
			}
			return true
		})
	})
}

// The NOTICE goes with the program: it names each module that go.mod asks for.
func TestNoticeNamesEveryModule(t *testing.T) {
	notice, err := os.ReadFile("../../NOTICE")
	if err != nil {
		t.Fatal(err)
	}
	named := map[string]bool{}
	for line := range strings.Lines(string(notice)) {
		if words := strings.Fields(line); len(words) >= 2 {
			named[words[0]+" "+words[1]] = true
		}
	}
	mod, err := os.ReadFile("../../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	modules := 0
	for line := range strings.Lines(string(mod)) {
		words := strings.Fields(strings.TrimPrefix(line, "require "))
		if len(words) < 2 || !strings.HasPrefix(words[1], "v") {
			continue
		}
		if modules++; !named[words[0]+" "+words[1]] {
			t.Errorf("NOTICE does not name %s %s", words[0], words[1])
		}
	}
	if modules == 0 {
		t.Error("no module was found in go.mod")
	}
}
