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

// brokenRule is a rule that an official example breaks.
type brokenRule struct{ file, rule string }

// faultyExamples reads the list of the examples that break R4 themselves, with how
// often each breaks a rule.
func faultyExamples(t *testing.T) map[brokenRule]int {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(examplesFolder, "findings.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	times, files, headed := map[brokenRule]int{}, map[string]bool{}, false
	for line := range strings.Lines(string(text)) {
		cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		switch {
		case strings.HasPrefix(line, "#"):
		case !headed:
			headed = true
		case len(cells) != 5 || slices.Contains(cells, ""):
			t.Errorf("findings.tsv: %q has not five filled cells", line)
		default:
			n, err := strconv.Atoi(cells[2])
			b := brokenRule{cells[0], cells[1]}
			if err != nil || n < 1 || times[b] > 0 {
				t.Errorf("findings.tsv: %q has no count, or says a thing twice", line)
			}
			times[b], files[b.file] = n, true
		}
	}
	if len(files) > mostFaulty {
		t.Errorf("findings.tsv names %d files; it may name %d and only get shorter", len(files), mostFaulty)
	}
	return times
}

// examples is a run over official examples.
type examples struct {
	t      *testing.T
	left   map[brokenRule]int // of the list, what was not found yet
	counts map[string]*exampleCount
}

// exampleCount is what came out of the examples of one type.
type exampleCount struct {
	files, bytes, shapely, faulty int
	took, longest                 time.Duration
}

func newExamples(t *testing.T) *examples {
	return &examples{t: t, left: faultyExamples(t), counts: map[string]*exampleCount{}}
}

// judge audits one example. What is found must be on the list.
func (e *examples) judge(name string, text []byte) {
	kind, _, _ := strings.Cut(name, "-")
	if exampleTypes[kind] == 0 {
		kind = "(not judged)"
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
			e.t.Errorf("not on the list of findings.tsv, or more often than there: %s", f.Text(true))
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
			e.t.Errorf("findings.tsv: %s was found in %s %d times fewer than it says; shorten the list", b.rule, b.file, n)
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
	e := newExamples(t)
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
	e := newExamples(t)
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
