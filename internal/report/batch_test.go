package report

import (
	"fmt"
	"html"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/language"
)

// fullEnd is an invented end of a run that had everything.
func fullEnd() End {
	_, _, end := readAudit()
	end.Selection = &Selection{
		Name: "rules.yaml", SHA256: "dd", Off: []string{"vital-sign-unit"},
		Suppressions: []Suppression{{Name: "suppress[0]", Rule: "odd", File: "old/*", At: "/x", Reason: "known <since> long", By: "demo-person-1", Until: "2031-01-31", Accepted: 1, Acknowledged: 1}},
		Findings:     finding.List{{Rule: "suppression-unused", Severity: finding.Warning, Found: "the suppression fits no finding of this run", Place: finding.Place{File: "rules.yaml", Line: 3}}},
	}
	end.Baseline = &Baseline{Name: "old.json", SHA256: "ee", New: 2, Remaining: 1, Gone: []Gone{{"odd", "error", "in/x.json", "/entry/0"}}}
	end.Unchecked = []Unchecked{{"reference", "", "references that lead out of their document and were not followed", 3}}
	return end
}

// fullItems are the documents of that run.
func fullItems() []Item {
	_, items, _ := readAudit()
	items[0].States = []State{IsNew, Remaining}
	items[0].Acknowledged = map[int]Reasoned{0: {"suppress[0]", "known <since> long"}}
	items[0].Accepted = []Accepted{{finding.Finding{Rule: "odd", Severity: finding.Error, Found: "accepted"}, Reasoned{"suppress[0]", "known <since> long"}}}
	items[1].Session, items[1].Status, items[1].Flow, items[1].Relabelled, items[1].Withheld = "demo-1", "final", "Qs", 3, map[string]int{"shunt-rule": 2}
	return items
}

func TestTheFormsOfARunThatHadEverything(t *testing.T) {
	for _, l := range language.All() {
		for _, ending := range []string{"json", "xml", "sarif", "html"} {
			head, _, _ := readAudit()
			head.Language, head.NewOnly = l, true
			golden(t, "full-"+l.Code()+"."+ending, runText(t, "run."+ending, head, fullEnd(), fullItems()...))
		}
	}
}

// germanPage is the page of a run that had everything, a finding of every rule, and
// documents that could not be read, in German; html is undone.
func germanPage(t *testing.T, command string) string {
	t.Helper()
	head, _, _ := readAudit()
	head.Language, head.NewOnly, head.DryRun, head.Command, head.SettingsHash = language.German, true, true, command, "ff"
	items := slices.DeleteFunc(fullItems(), func(i Item) bool { return i.Failure != nil })
	for _, r := range finding.Rules() {
		items = append(items, Item{Name: "r.json", Outcome: Faulty, Findings: finding.List{finding.New(r.ID, finding.Place{File: "r.json", Line: 1, Column: 1}, "a second entry has this fullUrl", "", "one of the two")}})
	}
	items = append(items, Item{Name: "gone.json", Outcome: Failed, Failure: finding.Refuse("cannot open {1}: {2}", finding.Data("gone.json"), "permission denied")})
	end := fullEnd()
	end.Stopped, end.Missed = "interrupted", []string{"late.json"}
	end.Inputs = []Input{{Name: "in/a b.json", Bytes: 3, SHA256: "aa"}}
	return html.UnescapeString(runText(t, "run.html", head, end, items...))
}

// What the tables of words, the rules and the catalogue of messages have in English is
// not on the German page, and their German is.
func TestTheGermanPageHoldsNoEnglish(t *testing.T) {
	both := germanPage(t, "audit") + germanPage(t, "chart")
	for _, r := range finding.Rules() {
		if plain := strings.ReplaceAll(r.Says, "`", ""); strings.Contains(both, plain) {
			t.Errorf("%s: %q", r.ID, plain)
		}
		if german := strings.ReplaceAll(r.SaysIn(language.German), "`", ""); !strings.Contains(both, german) {
			t.Errorf("%s: not said in German", r.ID)
		}
	}
	alone := func(words string) string { return ">" + words + "<" } // all that an element says
	words, german := reflect.ValueOf(batchWordsIn(language.English)), reflect.ValueOf(batchWordsIn(language.German))
	for i := range words.NumField() {
		if e, g := words.Field(i).String(), german.Field(i).String(); e != g && strings.Contains(both, alone(e)) {
			t.Errorf("%q", e)
		}
	}
	tables := []map[string]pair{countNames, tableWords}
	for s, words := range gradeWords {
		tables = append(tables, map[string]pair{s.String(): words})
	}
	for _, words := range stateWords {
		tables = append(tables, map[string]pair{"state": words})
	}
	for _, table := range tables {
		for key, p := range table {
			if p.English != p.German && strings.Contains(both, alone(p.English)) {
				t.Errorf("%s: %q", key, p.English)
			}
		}
	}
	for _, text := range []finding.Text{"a second entry has this fullUrl", "one of the two", "cannot open {1}: {2}", "permission denied", "interrupted", "the suppression fits no finding of this run"} {
		english, german := text.In(language.English), text.In(language.German)
		plain := func(s string) string { return regexp.MustCompile(`\{\d?\}`).Split(s, -1)[0] }
		if english == german || len(plain(english)) > 3 && strings.Contains(both, plain(english)) {
			t.Errorf("%q", english)
		}
	}
}

// The page fetches nothing, and says so to the browser.
func TestThePageFetchesNothing(t *testing.T) {
	head, _, _ := readAudit()
	text := runText(t, "run.html", head, fullEnd(), fullItems()...)
	for _, load := range []string{"src=", "<link", "@import", "url(", "http:", "https:", "fetch(", "XMLHttp"} {
		if strings.Contains(text, load) {
			t.Errorf("the page has %q", load)
		}
	}
	policy := regexp.MustCompile(`Content-Security-Policy" content="([^"]*)"`).FindStringSubmatch(text)
	if policy == nil || !strings.HasPrefix(policy[1], "default-src &#39;none&#39;") && !strings.HasPrefix(policy[1], "default-src 'none'") {
		t.Fatalf("policy %q", policy)
	}
	// What the page holds is what its policy names.
	for tag, name := range map[string]string{"style": hashOf(batchStyle), "script": hashOf(batchScript)} {
		inside := regexp.MustCompile(`(?s)<` + tag + `>(.*?)</` + tag + `>`).FindStringSubmatch(text)
		if inside == nil || hashOf(inside[1]) != name {
			t.Errorf("%s: the hash is not that of what the page holds", tag)
		}
		if plain := strings.NewReplacer("&#43;", "+").Replace(policy[1]); !strings.Contains(plain, name) {
			t.Errorf("%s: the policy %s does not name %s", tag, plain, name)
		}
	}
}

func TestMarkupOfTheInputStaysText(t *testing.T) {
	evil := `</script><img src=x onerror=alert(1)>`
	text := runText(t, "run.html", someHead, End{Stopped: finding.Data(evil), Inputs: []Input{{Name: evil}}}, Item{Name: evil, Outcome: Refused, Findings: finding.List{
		{Rule: evil, Severity: finding.Error, Found: "it is {}", Value: evil, Place: finding.Place{File: evil, Pointer: "/" + evil}},
	}})
	if strings.Contains(text, "<img") || strings.Count(text, "</script>") != 1 {
		t.Error(text)
	}
}

func TestThePageListsTheWorstAndSaysWhatItLeavesOut(t *testing.T) {
	var items []Item
	for n := range 8 {
		var found finding.List
		for i := range 1000 {
			s := finding.Info
			if i%2 == 0 {
				s = finding.Error
			}
			found = append(found, finding.Finding{Rule: fmt.Sprintf("rule-%d", i%2), Severity: s, Found: "x"})
		}
		items = append(items, Item{Name: fmt.Sprint(n), Outcome: Refused, Findings: found})
	}
	late := finding.Finding{Rule: "late", Severity: finding.Error, Found: "seen at last"}
	items = append(items, Item{Name: "late", Outcome: Refused, Findings: finding.List{late, late, late, late, late, late, late}})
	text := runText(t, "run.html", someHead, End{}, items...)
	if n := strings.Count(text, "<li tabindex"); n != mostRows[finding.Error]+mostRows[finding.Info]+fewOfARule {
		t.Errorf("%d rows", n)
	}
	if n := strings.Count(text, "seen at last"); n != fewOfARule {
		t.Errorf("%d findings of the rule that is broken late are listed", n)
	}
	if !strings.Contains(text, "3505 of 8007 findings are listed") {
		t.Error("nothing says what was left out")
	}
	if strings.Index(text, `<code>rule-0</code></button>`) > strings.Index(text, `<code>rule-1</code></button>`) {
		t.Error("the errors do not come first")
	}
}

func TestEachPhraseOfThePageIsInBothLanguages(t *testing.T) {
	gap := regexp.MustCompile(`\{\d\}`)
	for _, table := range []map[string]pair{countNames, tableWords} {
		for key, p := range table {
			if p.English == "" || p.German == "" {
				t.Errorf("%s lacks words", key)
			}
		}
	}
	for _, p := range []pair{titleOfAudit, titleOfChart, verdictAgainst, verdictFor, verdictFailed, leftOutWords, moreRows, stoppedWords, acknowledgedAs} {
		if len(gap.FindAllString(p.English, -1)) != len(gap.FindAllString(p.German, -1)) || p.German == "" {
			t.Errorf("%q", p)
		}
	}
}
