package audit_test

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"saltmark/internal/audit"
	"saltmark/internal/finding"
	"saltmark/internal/shape"
	"saltmark/internal/shape/archive"
	"saltmark/internal/source"
)

const (
	examplesFolder = "../../testdata/examples"

	// mostFaulty is the ceiling of the list of official examples that break R4, by
	// files. It may fall, and rises only with a new rule that finds what is truly wrong.
	mostFaulty = 62

	// unjudged is the rule that says that the content of another type was not judged.
	unjudged = "schema-resource-unchecked"
)

// exampleTypes are the resource types that saltmark writes or audits, with the number
// of official examples of each in the package hl7.fhir.r4.examples 4.0.1.
var exampleTypes = map[string]int{
	"Bundle": 44, "Composition": 2, "Device": 2, "DiagnosticReport": 6, "Encounter": 10, "Observation": 64,
	"OperationOutcome": 6, "Patient": 22, "Practitioner": 14, "Procedure": 16, "Provenance": 5,
}

// brokenRule is a rule that an example breaks.
type brokenRule struct{ file, rule string }

// faultyExamples reads a list of the examples that break R4 themselves, with how often each
// breaks a rule, and of how many files it tells.
func faultyExamples(t *testing.T, list string) (times map[brokenRule]int, files int) {
	t.Helper()
	times = map[brokenRule]int{}
	named := map[string]bool{}
	for _, cells := range cellsOf(t, list, 5)[1:] {
		n, err := strconv.Atoi(cells[2])
		b := brokenRule{cells[0], cells[1]}
		if err != nil || n < 1 || times[b] > 0 {
			t.Errorf("%s: %q has no count, or says a thing twice", list, cells)
		}
		times[b], named[b.file] = n, true
	}
	return times, len(named)
}

// cellsOf reads the lines of a table of testdata/examples, whose cells are all filled; one
// that begins with # is a comment.
func cellsOf(t *testing.T, table string, want int) [][]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(examplesFolder, table))
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]string
	for line := range strings.Lines(string(text)) {
		cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		if strings.HasPrefix(line, "#") {
			continue
		}
		if len(cells) != want || slices.Contains(cells, "") {
			t.Fatalf("%s: %q has not %d filled cells", table, line, want)
		}
		rows = append(rows, cells)
	}
	return rows
}

// examples is a run over examples.
type examples struct {
	t      *testing.T
	list   string
	left   map[brokenRule]int // of the list, what was not found yet
	counts map[string]*exampleCount
}

// exampleCount is what came out of the examples of one type.
type exampleCount struct {
	files, bytes, shapely, faulty int
	took, longest                 time.Duration
}

func newExamples(t *testing.T, list string) *examples {
	left, _ := faultyExamples(t, list)
	return &examples{t: t, list: list, left: left, counts: map[string]*exampleCount{}}
}

// newOfficialExamples is one over those of FHIR R4, whose list has a ceiling.
func newOfficialExamples(t *testing.T) *examples {
	const list = "findings.tsv"
	if _, files := faultyExamples(t, list); files > mostFaulty {
		t.Errorf("%s names %d files; it may name %d and only get shorter", list, files, mostFaulty)
	}
	return newExamples(t, list)
}

// judge audits one example. What is found must be on the list.
func (e *examples) judge(name string, text []byte) {
	kind, _, _ := strings.Cut(name, "-")
	if exampleTypes[kind] == 0 {
		kind = "(other types)"
	}
	if e.counts[kind] == nil {
		e.counts[kind] = &exampleCount{}
	}
	c := e.counts[kind]
	from := time.Now()
	found := audit.Check(name, text, audit.Options{})
	took := time.Since(from)
	c.files, c.bytes, c.took, c.longest = c.files+1, c.bytes+len(text), c.took+took, max(c.longest, took)
	if e.shapely(name, text) {
		c.shapely++
	}
	faulty := 0
	for _, f := range found {
		if f.Rule == unjudged || f.Severity == finding.Info {
			continue
		}
		faulty = 1
		b := brokenRule{name, f.Rule}
		if e.left[b]--; e.left[b] < 0 {
			e.t.Errorf("not on the list of %s, or more often than there: %s", e.list, f.Text(true))
		}
	}
	c.faulty += faulty
}

// shapely tells whether an example passes the layers of text and shape. That all of
// them but those on the list do is what judge holds.
func (e *examples) shapely(name string, text []byte) bool {
	doc, found := source.ReadJSON(name, text, source.ResourceLimits())
	return !found.HasErrors() && len(shape.Check(doc, shape.Options{})) == 0
}

// stale names the lines of the list whose file was judged and whose fault was not found.
func (e *examples) stale(judged func(file string) bool) {
	for b, n := range e.left {
		if n > 0 && judged(b.file) {
			e.t.Errorf("%s: %s was found in %s %d times fewer than it says; shorten the list", e.list, b.rule, b.file, n)
		}
	}
}

// print tells the counts, type by type.
func (e *examples) print() {
	const form = "%-18s %6v %8v %8v %8v %10v %9v %9v\n"
	fmt.Printf("\n"+form, "type", "files", "schema:", "", "audit:", "kB", "ms", "longest")
	fmt.Printf(form, "", "", "passed", "invalid", "listed", "", "", "")
	all := exampleCount{}
	row := func(name string, c *exampleCount) {
		fmt.Printf(form, name, c.files, c.shapely, c.files-c.shapely, c.faulty, c.bytes/1000, c.took.Milliseconds(), c.longest.Milliseconds())
	}
	for _, name := range slices.Sorted(maps.Keys(e.counts)) {
		c := e.counts[name]
		row(name, c)
		all = exampleCount{all.files + c.files, all.bytes + c.bytes, all.shapely + c.shapely, all.faulty + c.faulty, all.took + c.took, max(all.longest, c.longest)}
	}
	row("together", &all)
}

func TestOfficialExamplesAreNotAccused(t *testing.T) {
	e := newOfficialExamples(t)
	paths, err := filepath.Glob(filepath.Join(examplesFolder, "subset", "*.json"))
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{}
	for _, p := range paths {
		text, err := os.ReadFile(p)
		if err != nil {
			t.Fatal(err)
		}
		names[filepath.Base(p)] = true
		e.judge(filepath.Base(p), text)
	}
	e.stale(func(file string) bool { return names[file] })
	for kind := range exampleTypes {
		if e.counts[kind] == nil {
			t.Errorf("the subset has no example of %s", kind)
		}
	}
}

// TestEveryOfficialExample audits the whole package, which SALTMARK_EXAMPLES names; make
// examples fetches it.
func TestEveryOfficialExample(t *testing.T) {
	packed := os.Getenv("SALTMARK_EXAMPLES")
	if packed == "" {
		t.Skip("SALTMARK_EXAMPLES names no package; make examples does")
	}
	e := newOfficialExamples(t)
	err := archive.Each(packed, func(name string, text []byte) error {
		if archive.IsResource(name) {
			e.judge(name, text)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	e.stale(func(string) bool { return true })
	e.print()
	for kind, n := range exampleTypes {
		if c := e.counts[kind]; c == nil || c.files != n {
			t.Errorf("%s: not the %d examples that there are", kind, n)
		}
	}
}
