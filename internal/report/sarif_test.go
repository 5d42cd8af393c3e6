package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xeipuuv/gojsonschema"

	"saltmark/internal/finding"
)

var update = flag.Bool("update", false, "update the goldens")

// golden compares a text with a file of testdata.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := "testdata/" + name
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Error(diff)
	}
}

// readAudit is an invented run of an audit, with inputs.
func readAudit() (Head, []Item, End) {
	head := Head{Command: "audit", Version: "1.2.3", MeasuresHash: "aa", FailOn: finding.Error, Tables: []Table{{Name: "loinc", SHA256: "cc"}}}
	items := []Item{
		{Name: "in/a b.json", Outcome: Faulty, Findings: finding.List{
			{Rule: "flow-without-label", Severity: finding.Error, Root: "Bundle", Found: "the flow has no label", Allowed: "a label",
				Place:  finding.Place{File: "in/a b.json", Line: 1, Column: 300, Pointer: "/entry/3/resource/valueQuantity"},
				Origin: finding.Place{File: "sheets/a.yaml", Line: 20, Column: 5}},
			{Rule: "loinc-display-elsewhere", Severity: finding.Info, Root: "Bundle", Found: "it is {}", Value: "x", Place: finding.Place{File: "in/a b.json", Line: 1, Column: 2, Pointer: "/entry/0/resource/code/coding/0/display"}},
		}},
		{Name: "in/b.json", Outcome: Passed},
		{Name: "in/c.ndjson", Line: 7, Outcome: Faulty, Findings: finding.List{{Rule: "text-empty", Severity: finding.Error, Found: "x", Place: finding.Place{File: "in/c.ndjson", Line: 7}}}},
		{Name: "d", Outcome: Failed, Failure: errors.New("cannot open d")},
	}
	return head, items, End{Inputs: []Input{{"in/a b.json", 1234, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"}, {"in/b.json", 5, "00"}}}
}

func TestAnAuditInSARIF(t *testing.T) {
	head, items, end := readAudit()
	golden(t, "audit.sarif", runText(t, "run.sarif", head, end, items...))
}

// Whatever is reported, the official schema of OASIS takes it.
func TestSARIFHasTheShapeOfItsSchema(t *testing.T) {
	text, err := os.ReadFile("testdata/sarif-schema-2.1.0.json")
	if err != nil {
		t.Fatal(err)
	}
	schema, err := gojsonschema.NewSchema(gojsonschema.NewBytesLoader(text))
	if err != nil {
		t.Fatal(err)
	}
	head, items, end := readAudit()
	stopped := End{Stopped: "interrupted", Missed: []string{"x", "-", "/abs/y"}, Inputs: end.Inputs}
	for name, report := range map[string]string{
		"an audit":            runText(t, "run.sarif", head, end, items...),
		"nothing":             runText(t, "run.sarif", head, End{}),
		"sheets":              runText(t, "run.sarif", someHead, stopped, append(fewItems(), ward()...)...),
		"strange characters":  runText(t, "run.sarif", someHead, End{}, Item{Name: "C:\\a\x00", Outcome: Refused, Findings: invented()}),
		"no severity, nobody": runText(t, "run.sarif", someHead, End{}, Item{Outcome: Refused, Findings: finding.List{{Rule: "x"}}}),
	} {
		result, err := schema.Validate(gojsonschema.NewStringLoader(report))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, e := range result.Errors() {
			t.Errorf("%s: %s", name, e)
		}
	}
	// The test can fail.
	if result, err := schema.Validate(gojsonschema.NewStringLoader(`{"version":"2.1.0","runs":[{"tool":{"driver":{"name":"x"}},"results":[{"message":{}}]}]}`)); err != nil || result.Valid() {
		t.Error("a result without words passes")
	}
}

func TestAFindingKeepsItsFingerprintWhenItsLineMoves(t *testing.T) {
	f := finding.Finding{Rule: "r", Place: finding.Place{File: "a.json", Line: 3, Column: 4, Pointer: "/x"}}
	moved, other := f, f
	moved.Place.Line, moved.Place.Column, moved.Found = 9, 1, "other words"
	other.Place.Pointer = "/y"
	if fingerprint(f) != fingerprint(moved) || fingerprint(f) == fingerprint(other) {
		t.Error(fingerprint(f), fingerprint(moved), fingerprint(other))
	}
}

func TestSARIFHoldsEveryFinding(t *testing.T) {
	_, items, end := readAudit()
	var log struct {
		Runs []struct {
			Results []json.RawMessage
			Tool    struct {
				Driver struct{ Rules []struct{ ID string } }
			}
		}
	}
	if err := json.NewDecoder(bytes.NewReader([]byte(runText(t, "run.sarif", someHead, end, items...)))).Decode(&log); err != nil {
		t.Fatal(err)
	}
	if n, rules := len(log.Runs[0].Results), len(log.Runs[0].Tool.Driver.Rules); n != 3 || rules != 3 {
		t.Errorf("%d results, %d rules", n, rules)
	}
}
