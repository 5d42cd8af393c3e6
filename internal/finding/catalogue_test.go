package finding_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/language"
)

const (
	moduleRoot = "../.."
	thisRoom   = "saltmark/internal/finding"
	catalogue  = "german.tsv"
)

// goPackage is what the go command says of a package.
type goPackage struct {
	ImportPath, Dir, Export string
	GoFiles                 []string
	Module                  *struct{ Main bool }
}

// goPackages asks for the packages of the module, with all that they import and the
// files that tell a type checker what those export.
func goPackages(t *testing.T) []goPackage {
	t.Helper()
	cmd := exec.Command("go", "list", "-export", "-deps", "-json=ImportPath,Dir,Export,GoFiles,Module", "./...")
	cmd.Dir = moduleRoot
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []goPackage
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p goPackage
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

// saying is a template where the code has it.
type saying struct {
	template string
	at       token.Position
}

// sayings gives every constant of the module that becomes a Text, and what breaks
// the rules by which that is all that is said: a Text is never put together with +,
// and never made of a string that only runs tell.
func sayings(t *testing.T) (said []saying, broken []string) {
	t.Helper()
	all := goPackages(t)
	exports := map[string]string{}
	for _, p := range all {
		exports[p.ImportPath] = p.Export
	}
	fset := token.NewFileSet()
	checker := types.Config{Importer: importer.ForCompiler(fset, "gc", func(path string) (io.ReadCloser, error) {
		return os.Open(exports[path])
	})}
	for _, p := range all {
		if p.Module == nil || !p.Module.Main {
			continue
		}
		var files []*ast.File
		for _, name := range p.GoFiles {
			file, err := parser.ParseFile(fset, filepath.Join(p.Dir, name), nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			files = append(files, file)
		}
		r := reading{fset: fset, info: types.Info{Types: map[ast.Expr]types.TypeAndValue{}}, here: p.ImportPath == thisRoom}
		if _, err := checker.Check(p.ImportPath, fset, files, &r.info); err != nil {
			t.Fatal(err)
		}
		for _, file := range files {
			ast.Inspect(file, r.visit)
		}
		said, broken = append(said, r.said...), append(broken, r.broken...)
	}
	return said, broken
}

// reading goes through the files of one package.
type reading struct {
	fset   *token.FileSet
	info   types.Info
	here   bool
	said   []saying
	broken []string
}

func (r *reading) refuse(n ast.Node, what string) {
	r.broken = append(r.broken, fmt.Sprintf("%s: %s", r.fset.Position(n.Pos()), what))
}

func isText(t types.Type) bool {
	named, ok := t.(*types.Named)
	return ok && named.Obj().Name() == "Text" && named.Obj().Pkg() != nil && named.Obj().Pkg().Path() == thisRoom
}

func (r *reading) visit(n ast.Node) bool {
	if a, ok := n.(*ast.AssignStmt); ok && a.Tok == token.ADD_ASSIGN && isText(r.info.Types[a.Lhs[0]].Type) {
		r.refuse(n, "a Text is put together with +=")
	}
	e, ok := n.(ast.Expr)
	if !ok {
		return true
	}
	tv := r.info.Types[e]
	if tv.Value != nil && isText(tv.Type) {
		if s := constant.StringVal(tv.Value); s != "" && s[0] >= ' ' {
			r.said = append(r.said, saying{s, r.fset.Position(e.Pos())})
		}
		return false
	}
	switch e := e.(type) {
	case *ast.BinaryExpr:
		if e.Op == token.ADD && isText(tv.Type) && !r.here {
			r.refuse(e, "a Text is put together with +")
		}
	case *ast.CallExpr:
		r.call(e)
	}
	return true
}

// words looks like a part of a sentence.
var words = regexp.MustCompile(`[a-z]{2}.* [a-z]|[a-z] .*[a-z]{2}`)

func (r *reading) call(e *ast.CallExpr) {
	if len(e.Args) == 0 || r.here {
		return
	}
	if f := r.info.Types[e.Fun]; f.IsType() && isText(f.Type) {
		r.refuse(e, "a string that is no constant becomes a Text; finding.Data is for what belongs to no language")
	}
	sel, ok := e.Fun.(*ast.SelectorExpr)
	if !ok {
		return
	}
	if pkg, ok := sel.X.(*ast.Ident); !ok || pkg.Name != "finding" || sel.Sel.Name != "Data" {
		return
	}
	ast.Inspect(e.Args[0], func(n ast.Node) bool {
		if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING && words.MatchString(lit.Value) {
			r.refuse(lit, "words stand in finding.Data")
		}
		return true
	})
}

var slotPattern = regexp.MustCompile(`\{[1-9]?\}`)

// slotsOf gives the slots of a template in order, each as often as it stands there.
func slotsOf(template string) []string {
	slots := slotPattern.FindAllString(template, -1)
	slices.Sort(slots)
	return slots
}

// needsGerman tells whether a template has words.
func needsGerman(template string) bool {
	return regexp.MustCompile(`\pL`).MatchString(slotPattern.ReplaceAllString(template, ""))
}

// germanLines gives the catalogue, and tells that it is in order.
func germanLines(t *testing.T) map[string]string {
	t.Helper()
	text, err := os.ReadFile(catalogue)
	if err != nil {
		t.Fatal(err)
	}
	lines, before := map[string]string{}, ""
	for line := range strings.Lines(string(text)) {
		english, german, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "\t")
		switch {
		case !ok || german == "" || strings.Contains(german, "\t"):
			t.Errorf("%s: %q is no template, a tab and its German", catalogue, line)
		case english <= before:
			t.Errorf("%s: %q stands out of order or twice", catalogue, english)
		case !slices.Equal(slotsOf(english), slotsOf(german)):
			t.Errorf("%s: %q and %q have other slots", catalogue, english, german)
		}
		lines[english], before = german, english
	}
	return lines
}

// schemas are the files whose sentences beside a pattern are shown as templates
// (finding.Template), where every place with the pattern says the same.
var schemas = []string{"internal/schema/fhir.schema.cut.json", "internal/sheet/sheet.schema.json", "internal/site/site.schema.json"}

func patternSentences(t *testing.T) (said []saying) {
	t.Helper()
	for _, name := range schemas {
		text, err := os.ReadFile(filepath.Join(moduleRoot, name))
		if err != nil {
			t.Fatal(err)
		}
		var root any
		if err := json.Unmarshal(text, &root); err != nil {
			t.Fatal(err)
		}
		sentences := map[string]map[string]bool{} // by pattern
		gatherPatterns(root, sentences)
		for _, of := range sentences {
			for sentence := range of {
				if len(of) == 1 && sentence != "" {
					said = append(said, saying{sentence, token.Position{Filename: name}})
				}
			}
		}
	}
	return said
}

func gatherPatterns(v any, into map[string]map[string]bool) {
	switch v := v.(type) {
	case []any:
		for _, item := range v {
			gatherPatterns(item, into)
		}
	case map[string]any:
		if pattern, ok := v["pattern"].(string); ok {
			sentence, _ := v["description"].(string)
			if into[pattern] == nil {
				into[pattern] = map[string]bool{}
			}
			into[pattern][sentence] = true
		}
		for _, item := range v {
			gatherPatterns(item, into)
		}
	}
}

func TestAFindingSpeaksGerman(t *testing.T) {
	f := finding.New("unit-missing", finding.Place{File: "a.yaml", Line: 3},
		finding.Say("{1} is {}", finding.Data("loop.flow")), "12", finding.Say("{1} is wanted", finding.Or("a number", "a list", "null")))
	f.Origin = finding.Place{File: "b.yaml"}
	if got, want := f.TextIn(language.German, true), `a.yaml:3 unit-missing Fehler: loop.flow ist "12"; erwartet: eine Zahl, eine Liste oder null (aus b.yaml)`; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got, want := f.Hide().SentenceIn(language.German, false), `loop.flow ist (Wert nicht gezeigt); erwartet: eine Zahl, eine Liste oder null`; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got, want := finding.Both("weight", "Gewicht").In(language.German), "Gewicht"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

func TestEveryMessageHasItsGermanAndEveryGermanIsUsed(t *testing.T) {
	said, broken := sayings(t)
	for _, b := range broken {
		t.Error(b)
	}
	lines, used := germanLines(t), map[string]bool{}
	for _, s := range append(said, patternSentences(t)...) {
		if used[s.template] = true; needsGerman(s.template) && lines[s.template] == "" {
			t.Errorf("%s: no German for %q; it wants a line in internal/finding/%s", s.at, s.template, catalogue)
		}
	}
	for english := range lines {
		if !used[english] {
			t.Errorf("%s: nothing says %q", catalogue, english)
		}
	}
	if len(said) < 400 {
		t.Errorf("only %d messages were found", len(said))
	}
}
