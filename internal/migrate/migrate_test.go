package migrate_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"saltmark/internal/chart"
	"saltmark/internal/finding"
	"saltmark/internal/migrate"
	"saltmark/internal/sheet"
	"saltmark/internal/sheet/sheettest"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

func bring(t *testing.T, text string, test string) (string, finding.List) {
	t.Helper()
	r, list, err := migrate.File("old.yaml", []byte(text), migrate.Answers{Test: test})
	if err != nil {
		t.Fatal(err)
	}
	return string(r.Text), list
}

func TestOnlyWhatTheNewVersionWantsIsChanged(t *testing.T) {
	for _, c := range []struct{ name, test, text, want string }{
		{"block", "yes",
			"# Head.\nsaltmark: 1   # the version\n\nsession:  # ours\n    # its name\n    id: a\n    start: b\npatient: P\n",
			"# Head.\nsaltmark: 2   # the version\n\nsession:  # ours\n    test: \"yes\"\n    # its name\n    id: a\n    start: b\npatient: P\n"},
		{"no test data", "no",
			"saltmark: 1\nsession:\n  id: a\n",
			"saltmark: 2\nsession:\n  id: a\n"},
		{"in braces", "yes",
			"saltmark: 1\nsession: {id: a, start: b}\n",
			"saltmark: 2\nsession: {test: \"yes\", id: a, start: b}\n"},
		{"in braces over lines", "yes",
			"session: {\n  id: a,\n}\nsaltmark: 1",
			"session: {test: \"yes\", \n  id: a,\n}\nsaltmark: 2"},
		{"JSON", "yes",
			`{"saltmark":1,"session":{"id":"a"}}`,
			`{"saltmark":2,"session":{"test": "yes", "id":"a"}}`},
		{"line ends of Windows", "yes",
			"saltmark: 1\r\nsession:\r\n  id: a\r\n",
			"saltmark: 2\r\nsession:\r\n  test: \"yes\"\r\n  id: a\r\n"},
		{"an anchor", "yes",
			"saltmark: 1\nsession: &s\n  id: a\n",
			"saltmark: 2\nsession: &s\n  test: \"yes\"\n  id: a\n"},
		{"a byte order mark", "yes",
			"\uFEFFsaltmark: 1\nsession:\n  id: ä\n",
			"\uFEFFsaltmark: 2\nsession:\n  test: \"yes\"\n  id: ä\n"},
		{"no last line end", "yes",
			"saltmark: 1\nsession:\n  id: a",
			"saltmark: 2\nsession:\n  test: \"yes\"\n  id: a"},
		{"the newest", "", "saltmark: 2\nsession: {id: a}\n", "saltmark: 2\nsession: {id: a}\n"},
	} {
		got, list := bring(t, c.text, c.test)
		if diff := cmp.Diff(c.want, got); diff != "" || len(list) > 0 {
			t.Errorf("%s: %v\n%s", c.name, list, diff)
		}
		again, _ := bring(t, got, c.test)
		if again != got {
			t.Errorf("%s: the second time gives\n%s", c.name, again)
		}
	}
}

func TestWhatCannotBeBroughtUpIsRefusedWithItsPlace(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"no sheet", "a: b\n", "old.yaml:1:1 migration-unknown error: "},
		{"a list", "- saltmark: 1\n", "old.yaml:1:1 migration-unknown error: "},
		{"a newer version", "saltmark: 99\n", "old.yaml:1:11 migration-unknown error: "},
		{"a version that is none", "saltmark: one\n", "old.yaml:1:11 migration-unknown error: "},
		{"no grammar", "saltmark: [\n", "syntax error: "},
		{"no session", "saltmark: 1\npatient: P\n", "old.yaml:1:11 migration-by-hand error: "},
		{"an empty session", "saltmark: 1\nsession: {}\n", "old.yaml:1:11 migration-by-hand error: "},
		{"a label that version 1 does not have", "saltmark: 1\nsession: {id: a, test: \"yes\"}\n", "old.yaml:1:11 migration-by-hand error: "},
		{"a session by an alias", "x: &s {id: a}\nsaltmark: 1\nsession: *s\n", "old.yaml:2:11 migration-by-hand error: "},
	} {
		got, list := bring(t, c.text, "yes")
		if got != "" || !list.HasErrors() || !strings.Contains(list[0].Text(false), c.want) {
			t.Errorf("%s: %q, %v", c.name, got, list)
		}
	}
}

func TestWhatAFileCannotKnowIsAsked(t *testing.T) {
	for _, answer := range []string{"", "perhaps"} {
		_, _, err := migrate.File("old.yaml", []byte("saltmark: 1\nsession: {id: a}\n"), migrate.Answers{Test: answer})
		var open *migrate.Unanswered
		if !errors.As(err, &open) || open.Answer != "test" || open.Name != "old.yaml" {
			t.Errorf("answer %q: %v", answer, err)
		}
	}
}

// What a demo sheet of version 1 would not have had.
var (
	numberTwo = regexp.MustCompile(`(?m)^saltmark: 2`)
	testLabel = regexp.MustCompile(`(?m)^  test: "yes"\r?\n`)
)

func TestEverySheetOfTheDemoSurvivesItsYouth(t *testing.T) {
	files, err := filepath.Glob("../../testdata/sheets/*.yaml")
	if err != nil || len(files) < 20 {
		t.Fatalf("%d sheets, %v", len(files), err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		old := testLabel.ReplaceAll(numberTwo.ReplaceAll(text, []byte("saltmark: 1")), nil)
		if bytes.Equal(old, text) {
			t.Fatalf("%s was not made older", file)
		}
		got, list := bring(t, string(old), "yes")
		if list.HasErrors() {
			t.Errorf("%s: %v", file, list)
			continue
		}
		was, is := charted(file, old), charted(file, []byte(got))
		if diff := cmp.Diff(was, is); diff != "" {
			t.Errorf("%s: charts otherwise (- of version 1, + brought up)\n%s", file, diff)
		}
	}
}

// Whatever a sheet can carry, made older and brought up it says the same.
func TestAnySheetSaysTheSameWhenItIsBroughtUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := sheettest.Session().Draw(t, "session")
		text, err := sheet.Write(want)
		if err != nil {
			t.Fatal(err)
		}
		old := testLabel.ReplaceAll(numberTwo.ReplaceAll(text, []byte("saltmark: 1")), nil)
		answers := migrate.Answers{Test: "no"}
		if want.Test {
			answers.Test = "yes"
		}
		r, list, err := migrate.File("old.yaml", old, answers)
		if err != nil || list.HasErrors() || r.From != 1 || r.To != sheet.Version {
			t.Fatalf("%v, %v\n%s", err, list, old)
		}
		doc, list := source.Read("new.yaml", r.Text, source.SheetLimits())
		got, more := sheet.Read(doc)
		if list = append(list, more...); len(list) > 0 {
			t.Fatalf("%v\n%s", list, r.Text)
		}
		if diff := cmp.Diff(want, got, cmpopts.IgnoreFields(record.Session{}, "Places"), cmpopts.EquateEmpty()); diff != "" {
			t.Fatalf("- before, + brought up:\n%s\n%s", diff, r.Text)
		}
	})
}

// sheetHash is what the bundle says of the text of its sheet.
var sheetHash = regexp.MustCompile(`[0-9a-f]{64}|"hash": ?"[^"]*"`)

// charted gives the bundle, without the hash of the sheet, and the findings without
// the one on the version and without their lines.
func charted(file string, text []byte) []string {
	r := chart.Sheet(filepath.Base(file), text, chart.Options{
		Site: site.Demo(), Software: mapping.Software{Name: "saltmark", Version: "test"},
		Open: func(name string) ([]byte, error) { return os.ReadFile(filepath.Join(filepath.Dir(file), name)) },
	})
	out := []string{sheetHash.ReplaceAllString(string(r.Bundle), "HASH")}
	for _, f := range r.Findings {
		if f.Rule != "sheet-version-old" {
			out = append(out, f.Rule+": "+f.Sentence(true))
		}
	}
	return out
}

func TestTheSheetOfVersionOneThatIsKeptComesUp(t *testing.T) {
	text, err := os.ReadFile("../../testdata/released/0.0.0/sheets/02-minimal.yaml")
	if err != nil {
		t.Fatal(err)
	}
	got, list := bring(t, string(text), "yes")
	if list.HasErrors() {
		t.Fatal(list)
	}
	doc, _ := source.Read("new.yaml", []byte(got), source.SheetLimits())
	if sheet.VersionOf(doc) != sheet.Version {
		t.Errorf("it is of version %d", sheet.VersionOf(doc))
	}
	if r := chart.Sheet("new.yaml", []byte(got), chart.Options{Site: site.Demo(), Software: mapping.Software{Name: "saltmark", Version: "test"}}); r.Bundle == nil {
		t.Errorf("it does not chart: %v", r.Findings)
	}
}

// Whatever the text, bringing it up does not panic; what comes out reads, is of the
// newest version, and comes out the same again.
func FuzzFile(f *testing.F) {
	for _, text := range []string{
		"saltmark: 1\nsession:\n  id: a\n", "saltmark: 1\nsession: {id: a}\n", `{"saltmark":1,"session":{"id":"a"}}`,
		"saltmark-site: 1\nname: a\n", "x: &s {id: a}\nsaltmark: 1\nsession: *s\n", "saltmark: 1\nsession: &s\n\n  # a\n  id: |\n    b\n",
	} {
		f.Add([]byte(text), true)
	}
	f.Fuzz(func(t *testing.T, text []byte, test bool) {
		answers := migrate.Answers{Test: map[bool]string{true: "yes", false: "no"}[test]}
		r, list, err := migrate.File("old.yaml", text, answers)
		if err != nil || list.HasErrors() {
			return
		}
		if _, found := source.Read("old.yaml", r.Text, source.SheetLimits()); found.HasErrors() {
			t.Fatalf("%q became %q: %v", text, r.Text, found)
		}
		again, list, err := migrate.File("old.yaml", r.Text, migrate.Answers{})
		if err != nil || list.HasErrors() || again.From != again.To || !bytes.Equal(again.Text, r.Text) {
			t.Fatalf("%q became %q, and then %q: %v, %v", text, r.Text, again.Text, list, err)
		}
	})
}
