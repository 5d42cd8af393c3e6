package report

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/finding"
	"saltmark/mapping/record"
)

// ward is an invented run: what became of each of many sheets.
func ward() []Item {
	var items []Item
	add := func(n int, i Item) {
		for range n {
			i.Name = fmt.Sprintf("ward/%03d.yaml", len(items))
			var found finding.List
			for _, f := range i.Findings {
				f.Place.File = i.Name
				found = append(found, f)
			}
			one := i
			one.Findings = found
			items = append(items, one)
		}
	}
	refused := func(rules ...string) Item {
		i := Item{Outcome: Refused}
		for n, rule := range rules {
			i.Findings = append(i.Findings, finding.Finding{Rule: rule, Severity: finding.Error, Place: finding.Place{Line: n + 1, Column: 3}, Found: "wrong"})
		}
		return i
	}
	add(5, Item{Outcome: Charted, Status: record.Final, Flow: "Qs-LVO-RVO-Qp"})
	add(1, Item{Outcome: Charted, Status: record.Partial, Flow: "Qs", Findings: finding.List{{Rule: "a-warning", Severity: finding.Warning, Found: "odd"}}})
	add(2, Item{
		Outcome: Charted, Status: record.Preliminary, Flow: "not-determined",
		Held:     []Reason{{"stale-assessment", "enter the shunt findings to complete it"}},
		Withheld: map[string]int{"shunt-rule": 3, "input-missing": 1},
	})
	add(1, Item{
		Outcome: Charted, Status: record.Preliminary,
		Held:     []Reason{{"single-injection", "one injection alone"}, {"stale-assessment", "enter the shunt findings to complete it"}},
		Withheld: map[string]int{"input-missing": 1},
	})
	add(4, refused("unit-missing", "unit-missing", "unknown-key"))
	add(1, refused("syntax"))
	add(1, Item{Outcome: Failed, Failure: errors.New("cannot open it")})
	return items
}

func closing(t *testing.T, items []Item, given int, took time.Duration) string {
	t.Helper()
	var tally Tally
	for n, i := range items {
		tally.Add(i, time.Duration(n+1)*time.Millisecond)
	}
	var b bytes.Buffer
	if err := tally.Closing(&b, Course{Given: given, Took: took}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestTheClosingWordsTellARunAtAGlance(t *testing.T) {
	want := `15 sheets: 9 charted, 5 refused, 1 not read or written
  1 partial: not verified
  3 preliminary: verified, but held back until more is known
    3 stale-assessment: enter the shunt findings to complete it
    1 single-injection: one injection alone
  5 final
The flow is:
  5 blood flow to the body = output of the left ventricle = output of the right ventricle = blood flow through the lungs
  2 which flow is not known
  1 blood flow to the body
Withheld or missing:
  3 sheets, 3 values, input-missing: an input is missing
  2 sheets, 6 values, shunt-rule: a shunt makes this value meaningless
Refused, by rule:
  4 unit-missing: ward/009.yaml:1:3, ward/010.yaml:1:3, ward/011.yaml:1:3 and 1 more
  4 unknown-key: ward/009.yaml:3:3, ward/010.yaml:3:3, ward/011.yaml:3:3 and 1 more
  1 syntax: ward/013.yaml:1:3
14 sheets in 1.4 s, 10 a second; half of them within 7.08 ms each, 95 of 100 within 14 ms, the slowest in 14 ms
`
	if diff := cmp.Diff(want, closing(t, ward(), 15, 1400*time.Millisecond)); diff != "" {
		t.Error(diff)
	}
}

// The same with the text that files of a person's making may be named by.
func TestTheClosingWordsLetNoControlCharacterOut(t *testing.T) {
	i := Item{Outcome: Refused, Findings: finding.List{{Rule: "syntax", Severity: finding.Error, Place: finding.Place{File: "a\x1b[31m\u202e.yaml", Line: 1}, Found: "wrong"}}}
	words := closing(t, []Item{i, i}, 2, 0)
	if at := strings.IndexFunc(strings.ReplaceAll(words, "\n", ""), unprintable); at >= 0 {
		t.Errorf("byte %d of %q", at, words)
	}
}

func TestOneSheetHasShortWordsAndNoPace(t *testing.T) {
	if diff := cmp.Diff("1 sheet: 1 charted, 0 refused, 0 not read or written\n  1 final\n", closing(t, ward()[:1], 1, time.Second)); diff != "" {
		t.Error(diff)
	}
}

func TestARunThatWasStoppedSaysHowFarItCame(t *testing.T) {
	for _, c := range []struct {
		items []Item
		want  string
	}{
		{nil, "0 of 900 sheets: 0 charted, 0 refused, 0 not read or written\n"},
		{ward()[:2], "2 of 900 sheets: 2 charted, 0 refused, 0 not read or written\n"},
	} {
		if got := closing(t, c.items, 900, time.Second); !strings.HasPrefix(got, c.want) {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestOnlyTheRulesOfTheMostSheetsAreNamed(t *testing.T) {
	var items []Item
	for n := range mostRules + 2 {
		items = append(items, Item{Outcome: Refused, Findings: finding.List{{Rule: fmt.Sprintf("rule-%02d", n), Severity: finding.Error, Found: "wrong"}}})
	}
	words := closing(t, items, len(items), 0)
	if !strings.Contains(words, "\n  1 rule-11\n  and 2 rules more\n") || strings.Contains(words, "rule-12") {
		t.Error(words)
	}
}

func TestTheClosingWordsOfAnAudit(t *testing.T) {
	var tally Tally
	fault := finding.List{{Rule: "unit-code", Severity: finding.Error, Place: finding.Place{File: "a.json", Pointer: "/code"}, Found: "wrong"}}
	for _, i := range []Item{{Outcome: Passed}, {Outcome: Faulty, Findings: fault}, {Outcome: Failed}} {
		tally.Add(i, 2*time.Millisecond)
	}
	var b bytes.Buffer
	if err := tally.ClosingOfAudit(&b, AuditCourse{Took: 2 * time.Second}); err != nil {
		t.Fatal(err)
	}
	want := `2 documents judged: 1 with errors; 1 file not read
With errors, by rule:
  1 unit-code: a.json#/code
2 documents in 2 s, 1 a second; half of them within 2 ms each, 95 of 100 within 2 ms, the slowest in 2 ms
`
	if diff := cmp.Diff(want, b.String()); diff != "" {
		t.Error(diff)
	}
}

func TestTimesAreSaidWithThreeDigits(t *testing.T) {
	for _, c := range []struct {
		d    time.Duration
		want string
	}{
		{1234 * time.Nanosecond, "0.00123 ms"}, {12345 * time.Microsecond, "12.3 ms"}, {580 * time.Millisecond, "580 ms"},
		{1629 * time.Millisecond, "1.63 s"}, {95 * time.Second, "95 s"}, {599 * time.Second, "599 s"}, {25 * time.Minute, "25 min"},
	} {
		if got := inShort(c.d); got != c.want {
			t.Errorf("%v: %q, want %q", c.d, got, c.want)
		}
	}
}
