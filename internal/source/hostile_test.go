package source_test

import (
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// build makes a text as testdata/hostile.txt tells.
func build(t *testing.T, recipe string) []byte {
	t.Helper()
	var b strings.Builder
	for recipe = strings.TrimSpace(recipe); recipe != ""; recipe = strings.TrimSpace(recipe) {
		times := 1
		if number, rest, ok := strings.Cut(recipe, "*\""); ok && !strings.Contains(number, `"`) {
			n, err := strconv.Atoi(number)
			if err != nil {
				t.Fatal(err)
			}
			times, recipe = n, `"`+rest
		}
		quoted, err := strconv.QuotedPrefix(recipe)
		if err != nil {
			t.Fatal(err)
		}
		part, err := strconv.Unquote(quoted)
		if err != nil {
			t.Fatal(err)
		}
		for i := range times {
			b.WriteString(strings.ReplaceAll(part, "§", strconv.Itoa(i)))
		}
		recipe = recipe[len(quoted):]
	}
	return []byte(b.String())
}

// TestHostileTextsEndSoonAndSmall reads each text of the corpus without much more
// memory than the limits grant. The time is that of a hang, on a machine however busy:
// each takes a fraction of a second.
func TestHostileTextsEndSoonAndSmall(t *testing.T) {
	const longest, most = time.Minute, 256 << 20
	corpus, err := os.ReadFile("testdata/hostile.txt")
	if err != nil {
		t.Fatal(err)
	}
	for entry := range strings.Lines(string(corpus)) {
		cells := strings.Split(strings.TrimRight(entry, "\n"), "\t")
		if len(cells) != 4 {
			continue
		}
		t.Run(cells[1]+" "+cells[0], func(t *testing.T) {
			text := build(t, cells[3])
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			began := time.Now()
			var list finding.List
			if cells[1] == "json" {
				_, list = source.ReadJSON("h.json", text, source.ResourceLimits())
			} else {
				_, list = source.ReadYAML("h.yaml", text, source.ResourceLimits())
			}
			took := time.Since(began)
			runtime.ReadMemStats(&after)
			if took > longest {
				t.Errorf("took %v", took)
			}
			if grown := after.TotalAlloc - before.TotalAlloc; grown > most {
				t.Errorf("allocated %d MB", grown>>20)
			}
			if cells[2] == "ok" && len(list) > 0 ||
				cells[2] != "ok" && !slices.ContainsFunc(list, func(f finding.Finding) bool { return f.Rule == cells[2] }) {
				t.Errorf("want %s, got %q", cells[2], told(list[:min(len(list), 3)]))
			}
			t.Logf("%d bytes, %v, %d MB", len(text), took, (after.TotalAlloc-before.TotalAlloc)>>20)
		})
	}
}

func TestReadingIsGivenUpAfterManyFindings(t *testing.T) {
	_, list := source.ReadYAML("t.yaml", []byte(strings.Repeat("- 0x1\n", 200)), source.SheetLimits())
	if len(list) != 101 {
		t.Fatalf("%d findings", len(list))
	}
	if got, want := list[100].Text(false), "t.yaml:100:3 number-form error: "; !strings.HasPrefix(got, want) {
		t.Errorf("%s, want %s", got, want)
	}
	if got, want := list[99].Text(false), "t.yaml:100:3 more-findings information: reading was given up after 100 findings; more may follow once these are mended"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

func TestALimitLeftAtZeroIsThatOfASheet(t *testing.T) {
	if _, list := source.ReadJSON("t", []byte("[[[1]]]"), source.Limits{}); len(list) > 0 {
		t.Errorf("%q", told(list))
	}
	if _, list := source.ReadJSON("t", []byte("[[[1]]]"), source.Limits{Depth: 2}); len(list) != 1 {
		t.Errorf("%q", told(list))
	}
}
