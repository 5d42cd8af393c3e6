package report_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"strings"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/report"
)

func TestAPageIsWrappedAtItsWidth(t *testing.T) {
	for _, width := range []int{30, 50, 80} {
		var b bytes.Buffer
		if err := report.Pages(&b, report.PageText, finding.Rules(), width); err != nil {
			t.Fatal(err)
		}
		example := false
		for line := range strings.Lines(b.String()) {
			line = strings.TrimRight(line, "\n")
			example = example && (line == "" || strings.HasPrefix(line, "    ")) || line == "Example"
			words := strings.Fields(line)
			if len([]rune(line)) > width && !example && len(words) > 2 && !strings.HasSuffix(line, ")") {
				t.Errorf("width %d: %q", width, line)
			}
			if strings.TrimRight(line, " ") != line {
				t.Errorf("spaces end the line %q", line)
			}
		}
	}
}

func TestPagesInJSONHoldEveryRuleOnce(t *testing.T) {
	var b bytes.Buffer
	if err := report.Rules(&b, report.PageJSON, finding.Layers()); err != nil {
		t.Fatal(err)
	}
	var pages []map[string]string
	if err := json.Unmarshal(b.Bytes(), &pages); err != nil {
		t.Fatal(err)
	}
	rules := finding.Rules()
	if len(pages) != len(rules) {
		t.Fatalf("%d pages, %d rules", len(pages), len(rules))
	}
	for i, r := range rules {
		if pages[i]["rule"] != r.ID || pages[i]["says"] != r.Says || pages[i]["severity"] != r.Severity.String() || pages[i]["mend"] == "" {
			t.Errorf("%s: %v", r.ID, pages[i])
		}
	}
}

// The Markdown that is printed is the file, but for where its lines break, its
// introduction, and ways to mend that are written out.
func TestPagesInMarkdownAreTheFile(t *testing.T) {
	file, err := os.ReadFile("../finding/rules.md")
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := report.Rules(&b, report.PageMarkdown, finding.Layers()); err != nil {
		t.Fatal(err)
	}
	flat := func(text string) string { return strings.Join(strings.Fields(text), " ") }
	printed := flat(b.String())
	for paragraph := range strings.SplitSeq(string(file[bytes.Index(file, []byte("\n## ")):]), "\n\n") {
		if want := flat(paragraph); !strings.HasPrefix(want, "**Mend:** As for") && !strings.Contains(printed, want) {
			t.Errorf("not printed: %s", want)
		}
	}
}

func TestAPageThatCannotBeWrittenIsAnError(t *testing.T) {
	if err := report.Pages(full{}, report.PageText, finding.Rules()[:1], 80); !errors.Is(err, errFull) {
		t.Errorf("got %v", err)
	}
}

type full struct{}

var errFull = errors.New("no room")

func (full) Write([]byte) (int, error) { return 0, errFull }
