package finding_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"saltmark/internal/finding"
)

// TestEveryRuleIsListedAndUsed reads the program's own source: each string
// literal given as the rule of a finding, or in a table cell tagged as one, must
// stand in rules.md, and each line of rules.md must be used.
func TestEveryRuleIsListedAndUsed(t *testing.T) {
	listed := map[string]bool{}
	for _, r := range finding.Rules() {
		if listed[r.ID] {
			t.Errorf("rules.md lists %s twice", r.ID)
		}
		listed[r.ID] = true
		if r.Severity == 0 || r.Layer == "" || !strings.HasSuffix(r.Says, ".") {
			t.Errorf("rules.md: %s lacks a severity, a layer or a sentence", r.ID)
		}
	}
	literals := map[string]bool{}
	fset := token.NewFileSet()
	root := "../.."
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		file, err := parser.ParseFile(fset, path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
				if s, err := strconv.Unquote(lit.Value); err == nil {
					literals[s] = true
				}
			}
			call, ok := n.(*ast.CallExpr)
			if !ok || len(call.Args) == 0 {
				return true
			}
			sel, ok := call.Fun.(*ast.SelectorExpr)
			if !ok || sel.Sel.Name != "New" {
				return true
			}
			if pkg, ok := sel.X.(*ast.Ident); !ok || pkg.Name != "finding" {
				return true
			}
			if lit, ok := call.Args[0].(*ast.BasicLit); ok {
				if id, _ := strconv.Unquote(lit.Value); !listed[id] {
					t.Errorf("%s: rule %q is not in rules.md", fset.Position(lit.Pos()), id)
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for id := range listed {
		if !literals[id] {
			t.Errorf("rules.md: no code names %s", id)
		}
	}
}
