package selection_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"saltmark/internal/audit"
	"saltmark/internal/finding"
	"saltmark/internal/selection"
	"saltmark/internal/source"
)

func read(t *testing.T, text string) (*selection.Selection, finding.List) {
	t.Helper()
	doc, found := source.Read("rules.yaml", []byte(text), source.SheetLimits())
	if found.HasErrors() {
		t.Fatal(found)
	}
	return selection.Read(doc, audit.Guards())
}

func must(t *testing.T, text string) *selection.Selection {
	t.Helper()
	s, found := read(t, text)
	if s == nil {
		t.Fatalf("%s\n%v", text, found)
	}
	return s
}

func TestWhatAFileOfRulesCannotSay(t *testing.T) {
	for _, row := range []struct{ name, text, want string }{
		{"no version", "only: [audit]", "rules.yaml:1:1 schema-required error: "},
		{"another version", "saltmark-rules: 2", "rules.yaml:1:17 schema-enum error: "},
		{"an unknown key", "saltmark-rules: 1\nexclude: [x]", "rules.yaml:2:1 schema-unknown-element error: "},
		{"an unknown rule", "saltmark-rules: 1\nonly: [flow-without-labels]", `rules.yaml:2:8 rule-unknown error: only names "flow-without-labels"; did you mean "flow-without-label"?`},
		{"an unknown chapter", "saltmark-rules: 1\nexcept: [everything at all]", "rules.yaml:2:10 rule-unknown error: except names"},
		{"a guard", "saltmark-rules: 1\nexcept: [flow-without-label]", `rules.yaml:2:10 rule-guarded error: except names "flow-without-label"; a rule that guards against harm stays in force`},
		{"a text that cannot be read", "saltmark-rules: 1\nexcept: [duplicate-key]", "rules.yaml:2:10 rule-guarded error: "},
		{"no reason", "saltmark-rules: 1\nsuppress: [{rule: time-not-real}]", "schema-required error: "},
		{"a reason of nothing", "saltmark-rules: 1\nsuppress: [{rule: time-not-real, reason: ok}]", "schema-length error: "},
		{"no day", "saltmark-rules: 1\nsuppress: [{rule: time-not-real, reason: a good old reason, until: 2031-02-30}]", `schema-pattern error: until is "2031-02-30"; a day of the calendar is wanted`},
		{"suppress an unknown rule", "saltmark-rules: 1\nsuppress: [{rule: x, reason: a good old reason}]", "rule-unknown error: suppress names"},
	} {
		s, found := read(t, row.text)
		if s != nil || !slices.ContainsFunc(found, func(f finding.Finding) bool { return strings.Contains(f.Text(true), row.want) }) {
			t.Errorf("%s: %v, want %s", row.name, found, row.want)
		}
	}
}

// Whatever is selected, what guards against harm stays in force, as does what tells that
// a document could not be judged.
func TestNoSelectionSwitchesAGuardOff(t *testing.T) {
	for _, text := range []string{
		"saltmark-rules: 1\nonly: [time-not-real]",
		"saltmark-rules: 1\nonly: [audit terminology]",
		"saltmark-rules: 1\nexcept: [audit, audit label, audit base, audit bundle, audit terminology, audit vital signs, derive, mapping, schema, source]",
	} {
		s := must(t, text)
		if len(s.Off) == 0 {
			t.Errorf("%s: nothing is off", text)
		}
		for id := range audit.Guards() {
			if rule, _ := finding.RuleOf(id); rule.Severity == finding.Error && s.Off[id] {
				t.Errorf("%s: %s is off", text, id)
			}
		}
		for _, rule := range finding.Rules() {
			if rule.Layer == "audit label" && rule.Severity == finding.Error && s.Off[rule.ID] {
				t.Errorf("%s: %s, of the labels, is off", text, rule.ID)
			}
		}
	}
	if s := must(t, "saltmark-rules: 1\nonly: [time-not-real]"); s.Off["time-not-real"] || !s.Off["period-backward"] {
		t.Error("only is not obeyed")
	}
	if s := must(t, "saltmark-rules: 1\nexcept: [time-not-real]"); !s.Off["time-not-real"] || len(s.Off) != 1 {
		t.Error("except is not obeyed")
	}
	if s := must(t, "saltmark-rules: 1"); len(s.Off) != 0 || len(s.Suppressions) != 0 {
		t.Error("an empty file selects something")
	}
}

func day(t *testing.T, text string) time.Time {
	t.Helper()
	d, err := time.Parse(time.DateOnly, text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestASuppressionTakesWhatItsPatternsFit(t *testing.T) {
	at := func(file, pointer string) finding.Finding {
		return finding.New("time-not-real", finding.Place{File: file, Line: 1, Pointer: pointer}, "x", "", "")
	}
	rooted := at("in/a.json", "/entry/12/resource/issued")
	rooted.Root = "Bundle"
	for _, row := range []struct {
		name, patterns string
		found          finding.Finding
		want           bool
	}{
		{"everything", "", at("a.json", "/x"), true},
		{"another rule", "", finding.New("period-backward", finding.Place{}, "x", "", ""), false},
		{"the base name", "file: a.json", rooted, true},
		{"a part of the base name", "file: a", rooted, false},
		{"a path", `file: "in/*.json"`, rooted, true},
		{"another path", `file: "out/*.json"`, rooted, false},
		{"a pointer", `at: "/entry/*/resource/issued"`, rooted, true},
		{"an expression", `at: "Bundle.entry[*].resource.issued"`, rooted, true},
		{"one character", `at: "Bundle.entry[??].resource.issued"`, rooted, true},
		{"one character too few", `at: "Bundle.entry[?].resource.issued"`, rooted, false},
		{"both", `file: a.json, at: "/nowhere"`, rooted, false},
	} {
		s := must(t, "saltmark-rules: 1\nsuppress:\n  - {rule: time-not-real, reason: a good old reason, "+row.patterns+"}")
		use := selection.NewUse(s, day(t, "2031-01-01"))
		stand, _, accepted := use.Apply(finding.List{row.found})
		if len(accepted) == 1 != row.want || len(stand)+len(accepted) != 1 {
			t.Errorf("%s: accepted %v", row.name, accepted)
		}
		unused := len(use.Findings()) == 1
		if unused == row.want {
			t.Errorf("%s: %v", row.name, use.Findings())
		}
	}
}

// An error that guards against harm is never taken away: the reason stands beside it.
func TestAGuardedErrorStandsWithItsReason(t *testing.T) {
	s := must(t, "saltmark-rules: 1\nsuppress:\n  - {rule: flow-without-label, reason: the interface drops it until May}")
	use := selection.NewUse(s, day(t, "2031-01-01"))
	f := finding.New("flow-without-label", finding.Place{File: "a"}, "x", "", "")
	stand, acknowledged, accepted := use.Apply(finding.List{f, f})
	if len(stand) != 2 || len(accepted) != 0 || !stand.HasErrors() || acknowledged[1].Reason != "the interface drops it until May" {
		t.Errorf("%v %v %v", stand, acknowledged, accepted)
	}
	if c := use.Counts()[0]; c.Acknowledged != 2 || c.Accepted != 0 || len(use.Findings()) != 0 {
		t.Errorf("%+v %v", c, use.Findings())
	}
}

func TestASuppressionHoldsUntilTheEndOfItsDay(t *testing.T) {
	s := must(t, "saltmark-rules: 1\nsuppress:\n  - {rule: time-not-real, reason: a good old reason, until: 2031-05-31}")
	f := finding.New("time-not-real", finding.Place{File: "a"}, "x", "", "")
	for today, want := range map[string]int{"2031-05-30": 1, "2031-05-31": 1, "2031-06-01": 0} {
		use := selection.NewUse(s, day(t, today).Add(23*time.Hour))
		_, _, accepted := use.Apply(finding.List{f})
		expired := slices.ContainsFunc(use.Findings(), func(f finding.Finding) bool { return f.Rule == "suppression-expired" })
		if len(accepted) != want || expired == (want == 1) {
			t.Errorf("%s: accepted %d, %v", today, len(accepted), use.Findings())
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add("saltmark-rules: 1\nonly: [audit]\nsuppress: [{rule: time-not-real, reason: a good old reason, at: \"a*b?\", until: 2031-01-01}]")
	f.Fuzz(func(t *testing.T, text string) {
		doc, found := source.Read("r.yaml", []byte(text), source.SheetLimits())
		if found.HasErrors() {
			return
		}
		s, found := selection.Read(doc, audit.Guards())
		if (s == nil) != found.HasErrors() {
			t.Errorf("%v with %v", s, found)
		}
		if s != nil {
			use := selection.NewUse(s, time.Time{})
			use.Apply(finding.List{finding.New("time-not-real", finding.Place{Pointer: "/aab"}, "x", "", "")})
			_, _ = use.Counts(), use.Findings()
		}
	})
}

// The examples of the pages of rules are files that a person may copy.
func TestExamplesOfThePagesAreRead(t *testing.T) {
	examples := 0
	for _, r := range finding.Rules() {
		if example := r.Page().Example; r.Layer == "selection" && example != "" {
			examples++
			must(t, example+"\n")
		}
	}
	if examples == 0 {
		t.Error("no page of the chapter has an example")
	}
}
