package audit_test

import (
	"cmp"
	"encoding/json"
	"flag"
	"fmt"
	"iter"
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
const fewestMutations = 350

var emit = flag.String("emit", "", "a folder into which every mutation is written, with index.tsv, for other programs to judge")

// emitted is a mutation as other programs get it.
type emitted struct {
	name, rule string
	good       string // what it is a fault of
	lines      bool
	text       func(testing.TB) []byte
}

// everyMutation gives those of our own bundles, of their text, and of the documents of
// others.
func everyMutation() iter.Seq[emitted] {
	return func(yield func(emitted) bool) {
		for _, m := range mutations {
			e := emitted{m.name, m.rule, cmp.Or(m.bundle, "01-plain-infant"), formOf(m.bundle) == mapping.NDJSON, func(t testing.TB) []byte { return mutated(t, m) }}
			if !yield(e) {
				return
			}
		}
		for _, m := range textMutations {
			if !yield(emitted{m.name, m.rule, "01-plain-infant", false, func(t testing.TB) []byte { return m.change(golden(t, "01-plain-infant")) }}) {
				return
			}
		}
	}
}

// TestMutationsAreMany counts the table, and writes it out where that is asked for. The
// cells of index.tsv: the file, the good document that it has one fault more than, the
// rule meant for the fault, its severity, and the name of the fault.
func TestMutationsAreMany(t *testing.T) {
	all := slices.Collect(everyMutation())
	for _, m := range patchedMutations(t) {
		all = append(all, emitted{m.name, m.rule, foreignFolder + "/" + m.document, false, m.text})
	}
	rules := map[string]bool{}
	for _, m := range all {
		rules[m.rule] = true
	}
	t.Logf("%d mutations of %d rules", len(all), len(rules))
	if len(all) < fewestMutations {
		t.Errorf("%d mutations; at least %d are wanted", len(all), fewestMutations)
	}
	if *emit != "" {
		emitAll(t, *emit, all)
	}
}

func emitAll(t *testing.T, folder string, all []emitted) {
	put := func(name string, text []byte) {
		if err := os.WriteFile(filepath.Join(folder, name), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	index := "file\tgood\trule\tseverity\tname\n"
	written := map[string]bool{}
	for i, m := range all {
		ending := ".json"
		if m.lines {
			ending = ".ndjson"
		}
		good := "good-" + strings.TrimSuffix(filepath.Base(m.good), ending) + ending
		if !written[good] {
			written[good] = true
			if document, foreign := strings.CutPrefix(m.good, foreignFolder+"/"); foreign {
				put(good, foreignDocument(t, document))
			} else {
				put(good, golden(t, m.good))
			}
		}
		file := fmt.Sprintf("%03d%s", i+1, ending)
		put(file, m.text(t))
		rule, _ := finding.RuleOf(m.rule)
		index += strings.Join([]string{file, good, m.rule, rule.Severity.String(), m.name}, "\t") + "\n"
	}
	put("index.tsv", []byte(index))
}
