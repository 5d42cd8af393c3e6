package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"saltmark/internal/report"
)

// privateKeys are those of the sheet whose values tell who somebody is, or are free
// text in which anything may stand.
var privateKeys = []string{
	"patient", "encounter", "identifier", "operator", "by", "observer", "order", "unit", "birth-date", "age",
	"gestational-age", "birth-weight", "weight", "length", "reason", "rhythm", "anatomy-text", "answer", "why", "value",
}

var keyAndValue = regexp.MustCompile(`([a-z][a-z-]*): (?:\{value: )?("[^"]*"|[^,{}\[\]\n]+)`)

// planted gives the full sheet with another text in the place of one private value
// after the other.
func planted(t *testing.T, text string) []string {
	sheet, err := os.ReadFile("../../testdata/sheets/22-full.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, at := range keyAndValue.FindAllSubmatchIndex(sheet, -1) {
		if slices.Contains(privateKeys, string(sheet[at[2]:at[3]])) {
			all = append(all, string(sheet[:at[4]])+text+string(sheet[at[5]:]))
		}
	}
	return all
}

// everyWord gives what a run says on standard error when the log is as talkative as
// it can be. The forms of findings and log take turns from run to run.
func everyWord(t *testing.T, run int, sheet string) string {
	t.Helper()
	forms, logs := report.Formats(), []string{"text", "json"}
	e, _, stderr := trial("chart", "--log-level=debug", "--log-format="+logs[run/len(forms)%len(logs)], "--findings="+forms[run%len(forms)], "-")
	e.Stdin = strings.NewReader(sheet)
	follow(e, newRootCmd(e))
	return stderr.String()
}

// Whatever stands in the place of a private value, the words about the sheet keep it
// to themselves.
func TestWordsNeverRepeatAPrivateValue(t *testing.T) {
	told := 0
	for _, text := range []string{"Ada-Secret-1", "Ada Secret", `"Ada\tSecret"`, "1 Secret", "2031-02-30T99:00 Secret"} {
		for run, sheet := range planted(t, text) {
			words := everyWord(t, run, sheet)
			if strings.Contains(words, "error") {
				told++
			}
			if at := regexp.MustCompile(`.*(?:Ada|Secret).*`).FindString(words); at != "" {
				t.Errorf("planted %q: %s", text, at)
			}
		}
	}
	if told < 50 {
		t.Errorf("only %d of the planted texts led to an error; more are wanted", told)
	}
}

// The demo names its persons, patients and orders in one way.
var demoName = regexp.MustCompile(`DEMO-|demo-person|Merrowmere`)

func TestWordsAboutDemoSheetsNameNobody(t *testing.T) {
	for _, folder := range []string{"sheets", "sheets/series", "bad"} {
		paths, err := filepath.Glob(filepath.Join("../../testdata", folder, "*.yaml"))
		if err != nil || len(paths) == 0 {
			t.Fatalf("%s: %d sheets, error %v", folder, len(paths), err)
		}
		for run, path := range paths {
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if at := demoName.FindString(everyWord(t, run, string(text))); at != "" {
				t.Errorf("%s: the words hold %q", path, at)
			}
		}
	}
}

// A broken bundle is as private as a sheet.
func TestTheAuditNamesNobody(t *testing.T) {
	bundle, _ := exampleRun(t)
	for i, spoil := range []struct{ old, new string }{
		{`"value":"DEMO-ORDER-0001"`, `"value":"DEMO-ORDER-0001`},
		{`"value":"DEMO-ORDER-0001"`, `"value":["DEMO-ORDER-0001"]`},
		{`"value":"DEMO-ORDER-0001"`, `"value":"DEMO-ORDER-0002"`},
		{`%7CDEMO-P-0001"`, `%7CDEMO-P-0002"`},
		{`%7CDEMO-P-0001"`, `%7CDEMO-P-0001%"`},
		{`demo-person-9`, `demo-person-8`},
	} {
		spoilt := strings.Replace(bundle, spoil.old, spoil.new, 1)
		if spoilt == bundle {
			t.Fatalf("spoil %d changes nothing", i)
		}
		for _, form := range report.Formats() {
			e, stdout, stderr := trial("audit", "--log-level=debug", "--findings="+form, "-")
			e.Stdin = strings.NewReader(spoilt)
			if code := follow(e, newRootCmd(e)); code != exitFinding {
				t.Errorf("spoil %d: exit code %d", i, code)
			}
			if at := demoName.FindString(stdout.String() + stderr.String()); at != "" {
				t.Errorf("spoil %d: the words hold %q: %s", i, at, stdout)
			}
		}
	}
}
