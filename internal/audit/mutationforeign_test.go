package audit_test

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/finding"
	"saltmark/mapping"
)

const foreignFolder = "testdata/foreign"

// patched is a single fault of a document that this program did not write: a row of
// testdata/foreign/mutations.tsv.
type patched struct {
	name, document, rule string
	patch                []operation
}

// operation is one of JSON Patch (RFC 6902).
type operation struct {
	Op, Path, From string
	Value          any
}

func patchedMutations(t testing.TB) []patched {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(foreignFolder, "mutations.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	var all []patched
	for line := range strings.Lines(string(text)) {
		if strings.HasPrefix(line, "#") || strings.HasPrefix(line, "name\t") {
			continue
		}
		cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		if len(cells) != 4 {
			t.Fatalf("mutations.tsv: %q has not four cells", line)
		}
		p := patched{name: cells[0], document: cells[1], rule: cells[2]}
		d := json.NewDecoder(strings.NewReader(cells[3]))
		d.UseNumber()
		if err := d.Decode(&p.patch); err != nil {
			t.Fatalf("mutations.tsv: %s: %v", p.name, err)
		}
		all = append(all, p)
	}
	return all
}

// foreignDocument gives a good document of others.
func foreignDocument(t testing.TB, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(foreignFolder, name+".json"))
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// text gives the document with the fault.
func (p patched) text(t testing.TB) []byte {
	t.Helper()
	var v any = parse(t, foreignDocument(t, p.document))
	for _, o := range p.patch {
		var err error
		if v, err = o.apply(v); err != nil {
			t.Fatalf("%s: %s %s: %v", p.name, o.Op, o.Path, err)
		}
	}
	return format(t, v.(node))
}

func (o operation) apply(v any) (any, error) {
	switch o.Op {
	case "add", "replace", "remove":
		return edit(v, pointerParts(o.Path), o.Op, o.Value)
	case "move", "copy":
		moved := v
		for _, part := range pointerParts(o.From) {
			moved = memberOf(moved, part)
		}
		if o.Op == "move" {
			var err error
			if v, err = edit(v, pointerParts(o.From), "remove", nil); err != nil {
				return nil, err
			}
		}
		return edit(v, pointerParts(o.Path), "add", moved)
	}
	return nil, fmt.Errorf("no operation of this table")
}

func pointerParts(path string) []string {
	parts := strings.Split(path, "/")[1:]
	for i := range parts {
		parts[i] = strings.NewReplacer("~1", "/", "~0", "~").Replace(parts[i])
	}
	return parts
}

// memberOf gives the member or the item of a tree, nil where it has none.
func memberOf(v any, part string) any {
	switch v := v.(type) {
	case node:
		return v[part]
	case []any:
		if i, err := strconv.Atoi(part); err == nil && i >= 0 && i < len(v) {
			return v[i]
		}
	}
	return nil
}

// edit does one operation at the end of a path and gives the tree with it.
func edit(v any, path []string, op string, value any) (any, error) {
	part, last := path[0], len(path) == 1
	switch v := v.(type) {
	case node:
		is, there := v[part]
		switch {
		case !last && there:
			inner, err := edit(is, path[1:], op, value)
			v[part] = inner
			return v, err
		case !last || op != "add" && !there:
			return nil, fmt.Errorf("there is no %s", part)
		case op == "remove":
			delete(v, part)
		default:
			v[part] = value
		}
		return v, nil
	case []any:
		i, err := strconv.Atoi(part)
		switch {
		case last && op == "add" && part == "-":
			return append(v, value), nil
		case err != nil || i < 0 || i >= len(v):
			return nil, fmt.Errorf("there is no item %s", part)
		case !last:
			v[i], err = edit(v[i], path[1:], op, value)
			return v, err
		case op == "remove":
			return slices.Delete(v, i, i+1), nil
		case op == "add":
			return slices.Insert(v, i, value), nil
		}
		v[i] = value
		return v, nil
	}
	return nil, fmt.Errorf("%s is in nothing", part)
}

func TestGoodDocumentsOfOthersAuditClean(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join(foreignFolder, "*.json"))
	if err != nil || len(paths) < 8 {
		t.Fatalf("%d documents, %v", len(paths), err)
	}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range audit.Check(filepath.Base(path), text, audit.Options{}) {
			if f.Severity != finding.Info {
				t.Error(f.Text(true))
			}
		}
	}
}

func TestEachFaultOfADocumentOfOthersIsCaughtByTheRuleMeantForIt(t *testing.T) {
	for _, m := range patchedMutations(t) {
		t.Run(m.name, func(t *testing.T) {
			t.Parallel()
			judgeMutation(t, m.rule, m.text(t), mapping.Transaction)
		})
	}
}

// fewestMutations is how many single faults of good documents the audit is shown.
const fewestMutations = 300

var emit = flag.String("emit", "", "a folder into which every mutation is written, with index.tsv, for other programs to judge")

// TestMutationsAreMany counts the table, and writes it out where that is asked for:
// index.tsv has the file, the rule meant for it, how the rule calls it, and the name.
func TestMutationsAreMany(t *testing.T) {
	type written struct {
		rule, name, ending string
		text               func() []byte
	}
	var all []written
	for _, m := range mutations {
		ending := ".json"
		if formOf(m.bundle) == mapping.NDJSON {
			ending = ".ndjson"
		}
		all = append(all, written{m.rule, m.name, ending, func() []byte { return mutated(t, m) }})
	}
	for _, m := range textMutations {
		all = append(all, written{m.rule, m.name, ".json", func() []byte { return m.change(golden(t, "01-plain-infant")) }})
	}
	for _, m := range patchedMutations(t) {
		all = append(all, written{m.rule, m.name, ".json", func() []byte { return m.text(t) }})
	}
	rules := map[string]bool{}
	for _, m := range all {
		rules[m.rule] = true
	}
	t.Logf("%d mutations, %d rules", len(all), len(rules))
	if len(all) < fewestMutations {
		t.Errorf("%d mutations; at least %d are wanted", len(all), fewestMutations)
	}
	if *emit == "" {
		return
	}
	if err := os.MkdirAll(*emit, 0o755); err != nil {
		t.Fatal(err)
	}
	index := "file\trule\tseverity\tname\n"
	for i, m := range all {
		file := fmt.Sprintf("%03d%s", i+1, m.ending)
		if err := os.WriteFile(filepath.Join(*emit, file), m.text(), 0o644); err != nil {
			t.Fatal(err)
		}
		rule, _ := finding.RuleOf(m.rule)
		index += file + "\t" + m.rule + "\t" + rule.Severity.String() + "\t" + m.name + "\n"
	}
	if err := os.WriteFile(filepath.Join(*emit, "index.tsv"), []byte(index), 0o644); err != nil {
		t.Fatal(err)
	}
}
