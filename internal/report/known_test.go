package report

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

func readReport(t *testing.T, text string) (*Known, error) {
	t.Helper()
	doc, found := source.ReadJSON("old.json", []byte(text), source.ResourceLimits())
	if found.HasErrors() {
		t.Fatal(found)
	}
	return ReadKnown(doc, func(name string) string { return name })
}

// A finding is the same when its line moves, and several that are alike are counted.
func TestFindingsAreKnownByRuleFileAndPointer(t *testing.T) {
	at := func(rule, file, pointer string, line int) finding.Finding {
		return finding.Finding{Rule: rule, Severity: finding.Error, Found: "x", Place: finding.Place{File: file, Line: line, Pointer: pointer}}
	}
	strange := "a\x1b\u202e \"<.json"
	old := finding.List{at("r", "a", "/x", 1), at("r", "a", "/x", 2), at("r", "a", "/y", 3), at("q", strange, "", 1), at("r", "b", "/x", 9)}
	k, err := readReport(t, runText(t, "old.json", someHead, End{}, Item{Name: "a", Outcome: Faulty, Findings: old}))
	if err != nil {
		t.Fatal(err)
	}
	now := finding.List{at("r", "a", "/x", 70), at("r", "a", "/x", 71), at("r", "a", "/x", 72), at("q", strange, "", 5), at("r", "c", "/x", 9)}
	if diff := cmp.Diff([]State{Remaining, Remaining, IsNew, Remaining, IsNew}, k.Compare(now)); diff != "" {
		t.Error(diff)
	}
	b := k.Baseline()
	want := []Gone{{"r", "error", "a", "/y"}, {"r", "error", "b", "/x"}}
	if diff := cmp.Diff(want, b.Gone); diff != "" || b.New != 2 || b.Remaining != 3 {
		t.Errorf("%+v %s", b, diff)
	}
}

func TestWhatIsNoReportIsNotComparedWith(t *testing.T) {
	for text, want := range map[string]string{
		`{}`:                                    "the file is no report of a run in JSON (--report FILE.json)",
		`[]`:                                    "the file is no report of a run in JSON (--report FILE.json)",
		`{"resourceType":"Bundle"}`:             "the file is no report of a run in JSON (--report FILE.json)",
		`{"report":"saltmark-run","version":2}`: "the report is of another version; 1 is read",
		`{"report":"saltmark-run"}`:             "the report is of another version; 1 is read",
	} {
		if _, err := readReport(t, text); err == nil || err.Error() != want {
			t.Errorf("%s: %v", text, err)
		}
	}
	// Members that are not there, or of another kind, are nothing.
	for _, text := range []string{
		`{"report":"saltmark-run","version":1}`,
		`{"report":"saltmark-run","version":1,"documents":"x"}`,
		`{"report":"saltmark-run","version":1,"documents":[1,{"findings":[null,{"place":3}]}]}`,
	} {
		if _, err := readReport(t, text); err != nil {
			t.Errorf("%s: %v", text, err)
		}
	}
}

func TestOnlyNewFindingsFailWhereThatIsAsked(t *testing.T) {
	item := Item{Outcome: Faulty, Findings: finding.List{{Severity: finding.Error}, {Severity: finding.Warning}}, States: []State{Remaining, IsNew}}
	for _, row := range []struct {
		newOnly bool
		want    finding.Severity
	}{{false, finding.Error}, {true, finding.Warning}} {
		if got := item.worst(row.newOnly); got != row.want {
			t.Errorf("new only %v: %v", row.newOnly, got)
		}
	}
}
