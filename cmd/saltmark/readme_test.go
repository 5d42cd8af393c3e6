package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
)

const readme = "../../README.md"

// madeBlock is a block of the README between its marks.
var madeBlock = regexp.MustCompile(`(?s)<!-- made: ([a-z-]+) -->\n(.*?)<!-- end -->`)

// What the README shows of the program is what the program does: each block between
// marks is made here. With -update the test writes the blocks anew.
func TestTheReadmeShowsWhatTheProgramDoes(t *testing.T) {
	refused, mended := wardBlocks(t)
	makers := map[string]func(*testing.T) string{
		"summary":           summaryBlock,
		"conclusion":        conclusionBlock,
		"german-conclusion": germanConclusionBlock,
		"flow":              flowBlock,
		"bad-sheet":         badSheetBlock,
		"bad-sheet-german":  germanBlock,
		"ward":              func(*testing.T) string { return refused },
		"ward-mended":       func(*testing.T) string { return mended },
		"minimal-sheet":     minimalSheetBlock,
		"codings":           codingsBlock,
		"measures":          measuresBlock,
		"accuracy":          accuracyBlock,
	}
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	want := madeBlock.ReplaceAllStringFunc(string(text), func(block string) string {
		name := madeBlock.FindStringSubmatch(block)[1]
		maker, ok := makers[name]
		if !ok {
			t.Errorf("nothing makes the block %q", name)
			return block
		}
		seen[name] = true
		return fmt.Sprintf("<!-- made: %s -->\n%s<!-- end -->", name, maker(t))
	})
	for name := range makers {
		if !seen[name] {
			t.Errorf("README.md has no block %q", name)
		}
	}
	if *update {
		if err := os.WriteFile(readme, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if diff := cmp.Diff(want, string(text)); diff != "" {
		t.Errorf("README.md (- made, + as it stands); go test ./cmd/saltmark -run Readme -update\n%s", diff)
	}
}

// A command line or a path that the README names is there.
func TestTheReadmeNamesOnlyFilesThatExist(t *testing.T) {
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	paths := regexp.MustCompile(`\b(?:testdata|internal|mapping|cmd)/[A-Za-z0-9_./-]*[A-Za-z0-9]`).FindAllString(string(text), -1)
	if len(paths) == 0 {
		t.Fatal("the README names no path")
	}
	for _, path := range paths {
		if _, err := os.Stat("../../" + path); err != nil {
			t.Errorf("README.md names %s, which is not there", path)
		}
	}
}

func fenced(language, text string) string {
	return "```" + language + "\n" + strings.TrimRight(text, "\n") + "\n```\n"
}

// exampleRun charts the sheet of the README's first command.
func exampleRun(t *testing.T) (bundle, words string) {
	t.Helper()
	e, stdout, stderr := trial("chart", plainSheet)
	if code := follow(e, newRootCmd(e)); code != exitFine {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	return stdout.String(), stderr.String()
}

func summaryBlock(t *testing.T) string {
	_, words := exampleRun(t)
	return fenced("", words)
}

// wardFaults are slips in three sheets of a ward: what stood there, and what stands there.
var wardFaults = map[string][2]string{
	"ward/000017.yaml": {"volume: 2.5 mL", "volume: 2.5"},
	"ward/000054.yaml": {"patient:", "pateint:"},
	"ward/000081.yaml": {"blood-flow: 0.6", "blood-flow: 6"},
}

// wardBlocks shows a ward with three bad sheets charted, and once more when they are
// mended. The clock stands still, so that the pace is not told.
func wardBlocks(t *testing.T) (refused, mended string) {
	const sheets, charted, ward = 100, "charted/", "ward/"
	from, home := manySheets(t, sheets), workingFolder(t)
	t.Chdir(t.TempDir())
	defer t.Chdir(home)
	if err := os.Rename(from, ward); err != nil {
		t.Fatal(err)
	}
	run := func(want int) string {
		e, _, stderr := trial("chart", "--out", charted, ward)
		if code := follow(e, newRootCmd(e)); code != want {
			t.Fatalf("exit code %d: %s", code, stderr)
		}
		return fenced("", "$ saltmark chart --out charted/ ward/\n"+stderr.String())
	}
	exchange(t, 0, 1)
	refused = run(exitFinding)
	exchange(t, 1, 0)
	return refused, run(exitFine)
}

// exchange makes the slips, or mends them.
func exchange(t *testing.T, from, to int) {
	t.Helper()
	for path, words := range wardFaults {
		text, err := os.ReadFile(path)
		if err != nil || !strings.Contains(string(text), words[from]) {
			t.Fatalf("%s: no %q, error %v", path, words[from], err)
		}
		if err := os.WriteFile(path, []byte(strings.Replace(string(text), words[from], words[to], 1)), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

func workingFolder(t *testing.T) string {
	t.Helper()
	folder, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	return folder
}

// badSheetBlock shows a sheet with one fault, from the top of the repository.
func badSheetBlock(t *testing.T) string {
	return refusedBlock(t, "testdata/bad/unit-missing.yaml")
}

// germanBlock shows the same in German, without the summary.
func germanBlock(t *testing.T) string {
	return refusedBlock(t, "--quiet", "--language", "de", "testdata/bad/unit-missing.yaml")
}

func refusedBlock(t *testing.T, args ...string) string {
	t.Chdir("../..")
	defer t.Chdir("cmd/saltmark")
	e, stdout, stderr := trial(append([]string{"chart"}, args...)...)
	if code := follow(e, newRootCmd(e)); code != exitFinding || stdout.Len() > 0 {
		t.Fatalf("exit code %d, %s", code, stdout)
	}
	return fenced("", "$ saltmark chart "+strings.Join(args, " ")+"\n"+stderr.String())
}

// shownResource is the part of a resource that the README shows.
type shownResource struct {
	Type       string          `json:"resourceType"`
	Identifier json.RawMessage `json:"identifier"`
	Status     string          `json:"status"`
	Code       json.RawMessage `json:"code"`
	Value      json.RawMessage `json:"valueQuantity"`
	Extension  []struct {
		URL string `json:"url"`
	} `json:"extension"`
	Conclusion string `json:"conclusion"`
}

// exampleResource gives the resource of the example whose identifier ends so, as it
// is read and as it is written.
func exampleResource(t *testing.T, ending string) (shownResource, map[string]json.RawMessage) {
	t.Helper()
	text, _ := exampleRun(t)
	var bundle struct {
		Entry []struct{ Resource json.RawMessage }
	}
	if err := json.Unmarshal([]byte(text), &bundle); err != nil {
		t.Fatal(err)
	}
	for _, entry := range bundle.Entry {
		var shown shownResource
		members := map[string]json.RawMessage{}
		if json.Unmarshal(entry.Resource, &members) != nil || json.Unmarshal(entry.Resource, &shown) != nil {
			t.Fatal("an entry is no resource")
		}
		if strings.Contains(string(shown.Identifier), ending+`"`) {
			return shown, members
		}
	}
	t.Fatalf("no resource of the example ends in %s", ending)
	return shownResource{}, nil
}

func conclusionBlock(t *testing.T) string {
	report, _ := exampleResource(t, "/report")
	return quoted(report.Conclusion)
}

// germanConclusionBlock charts a sheet under the demo settings with another language.
func germanConclusionBlock(t *testing.T) string {
	settings, err := os.ReadFile("../../internal/site/demo.yaml")
	if err != nil {
		t.Fatal(err)
	}
	german := strings.Replace(string(settings), "language: en", "language: de", 1)
	path := filepath.Join(t.TempDir(), "site.yaml")
	if err := os.WriteFile(path, []byte(german), 0o600); err != nil {
		t.Fatal(err)
	}
	e, stdout, stderr := trial("chart", "--site", path, "../../testdata/sheets/03-term-duct-area-counted.yaml")
	if code := follow(e, newRootCmd(e)); code != exitFine {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	conclusion := regexp.MustCompile(`"conclusion":"([^"]*)"`).FindStringSubmatch(stdout.String())
	if conclusion == nil {
		t.Fatalf("no conclusion in %s", stdout)
	}
	return quoted(conclusion[1])
}

// quoted sets a text as a quotation in lines of the README.
func quoted(text string) string {
	var lines []string
	line := ">"
	for _, word := range strings.Fields(text) {
		if utf8.RuneCountInString(line+word)+1 > 80 {
			lines = append(lines, line)
			line = ">"
		}
		line += " " + word
	}
	return strings.Join(append(lines, line), "\n") + "\n"
}

// flowBlock shows of the flow's Observation its identity, code, value and label.
func flowBlock(t *testing.T) string {
	shown, members := exampleResource(t, "/session/blood-flow/derived")
	var label json.RawMessage
	var extensions []json.RawMessage
	if err := json.Unmarshal(members["extension"], &extensions); err != nil {
		t.Fatal(err)
	}
	for i, ext := range shown.Extension {
		if strings.HasSuffix(ext.URL, "/flow-label") {
			label = extensions[i]
		}
	}
	if label == nil {
		t.Fatal("the flow of the example has no label")
	}
	text, err := json.MarshalIndent(struct {
		Type       string            `json:"resourceType"`
		Identifier json.RawMessage   `json:"identifier"`
		Status     string            `json:"status"`
		Code       json.RawMessage   `json:"code"`
		Value      json.RawMessage   `json:"valueQuantity"`
		Extension  []json.RawMessage `json:"extension"`
	}{shown.Type, shown.Identifier, shown.Status, shown.Code, shown.Value, []json.RawMessage{label}}, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	return fenced("json", string(text))
}

func minimalSheetBlock(t *testing.T) string {
	text, err := os.ReadFile("../../testdata/sheets/02-minimal.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return fenced("yaml", string(text))
}

func codingsBlock(t *testing.T) string {
	text, err := os.ReadFile("../../testdata/sites/codings.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return fenced("yaml", string(text))
}

// measuresBlock is the table that saltmark measures --format markdown prints.
func measuresBlock(t *testing.T) string {
	e, stdout, stderr := trial("measures", "--format", "markdown")
	if code := follow(e, newRootCmd(e)); code != exitFine {
		t.Fatalf("exit code %d: %s", code, stderr)
	}
	return stdout.String()
}
