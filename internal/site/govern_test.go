package site_test

import (
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saltmark/internal/finding"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/mapping/record"
)

const inProduction = "environment: production"

func settings(t *testing.T, pieces ...string) *site.Settings {
	t.Helper()
	s, list := read(changed(t, pieces...))
	if s == nil {
		t.Fatal(list)
	}
	return s
}

func rulesOf(list finding.List) string {
	var rules []string
	for _, f := range list {
		rules = append(rules, f.Rule)
	}
	return strings.Join(rules, " ")
}

// TestOnlyApprovedSettingsChartPatients follows settings from the first draft to a
// change after their approval.
func TestOnlyApprovedSettingsChartPatients(t *testing.T) {
	if list := site.Demo().Approved(); len(list) > 0 {
		t.Errorf("settings of a test ask for approval: %v", list)
	}
	draft := settings(t, "environment: test", inProduction)
	list := draft.Approved()
	if rulesOf(list) != "settings-not-approved" || !strings.Contains(list[0].Allowed.String(), draft.ApprovalHash()) {
		t.Errorf("%v", list)
	}
	approved := inProduction + "\napproved: {by: demo-person-1, at: 2031-05-01, sha256: " + draft.ApprovalHash() + "}"
	s := settings(t, "environment: test", approved)
	if list := s.Approved(); len(list) > 0 || s.Approval.By != "demo-person-1" {
		t.Errorf("%v", list)
	}
	if s.ApprovalHash() != draft.ApprovalHash() || s.Hash() != draft.Hash() {
		t.Error("approving changes what was approved")
	}
	later := settings(t, "environment: test", approved, "value: 20 min", "value: 25 min")
	list = later.Approved()
	if rulesOf(list) != "settings-changed" || list[0].Place.Line == 0 || !strings.Contains(list[0].Allowed.String(), later.ApprovalHash()) {
		t.Errorf("%v", list)
	}
	if s.ApprovalHash() == s.Hash() {
		t.Error("the approval does not cover the table of measures")
	}
}

// TestSettingsOfVersion1AreStillRead: those that are kept decide what they did, and
// no more than a test can be made of them without an approval.
func TestSettingsOfVersion1AreStillRead(t *testing.T) {
	text, err := os.ReadFile("../../testdata/released/0.0.0/site.yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, list := read(string(text))
	if s == nil || len(list) > 0 {
		t.Fatal(list)
	}
	_, rest, _ := strings.Cut(demoText(t), "\nrecomputation:\n")
	later, _, _ := strings.Cut(rest, "\nload:\n") // what came after version 1
	same := settings(t, "\nrecomputation:\n"+later, "")
	if !s.Test || s.Hash() != same.Hash() {
		t.Error("settings of version 1 decide otherwise than the same of version 2")
	}
	for _, c := range []struct{ old, new, rule string }{
		{`test-data: "yes"`, `test-data: "no"`, strings.TrimSpace(strings.Repeat("setting-example-address ", 4))},
		{`test-data: "yes"`, "environment: production", "schema-unknown-element"},
		{"write:\n", "people: {demo-person-7: {may: [operate]}}\nwrite:\n", "schema-unknown-element"},
	} {
		s, list := read(strings.Replace(string(text), c.old, c.new, 1))
		if rulesOf(list) != c.rule {
			t.Errorf("%s: %v", c.new, list)
		}
		if !list.HasErrors() && (s.Test || rulesOf(s.Approved()) != "settings-not-approved") {
			t.Errorf("%s: patients may be charted", c.new)
		}
	}
}

func TestIdentifiersAreHeldAgainstTheSettings(t *testing.T) {
	s := settings(t,
		"  patient: https://saltmark.example/fhir/sid/demo-patient\n", "  patient: {system: \"urn:oid:2.999.1\", pattern: \"P-?([0-9]{9,10})(?:/[0-9])?\", check-digit: weighted-mod-11, weights: [10, 9, 8, 7, 6, 5, 4, 3, 2]}\n",
		"  order: https://saltmark.example/fhir/sid/demo-order\n", "  order: {system: \"urn:oid:2.999.3\", check-digit: luhn}\n",
		"  person: https://saltmark.example/fhir/sid/demo-person\n", "  person: {system: \"urn:oid:2.999.2\", pattern: \"demo-person-[0-9]\"}\n")
	for _, c := range []struct {
		name    string
		session record.Session
		want    string
	}{
		{"right", record.Session{Patient: record.Reference{Value: "P-9434765919/1"}, Order: record.Reference{Value: "79927398713"}, Operator: "demo-person-7"}, ""},
		{"too short", record.Session{Patient: record.Reference{Value: "P-94347659"}}, "identifier-pattern"},
		{"more behind it", record.Session{Patient: record.Reference{Value: "P-9434765919/1x"}}, "identifier-pattern"},
		{"more before it", record.Session{Patient: record.Reference{Value: "xP-9434765919"}}, "identifier-pattern"},
		{"one digit wrong", record.Session{Patient: record.Reference{Value: "P-9434765918"}}, "identifier-check-digit"},
		{"two digits exchanged", record.Session{Patient: record.Reference{Value: "P-9437465919"}}, "identifier-check-digit"},
		{"of the site's system", record.Session{Patient: record.Reference{System: "urn:oid:2.999.1", Value: "P-94"}}, "identifier-pattern"},
		{"of another system", record.Session{Patient: record.Reference{System: "urn:oid:2.999.9", Value: "P-94"}}, ""},
		{"a literal", record.Session{Patient: record.Reference{Literal: "Patient/94"}}, ""},
		{"an order", record.Session{Order: record.Reference{Value: "79927398731"}}, "identifier-check-digit"},
		{"an encounter without a form", record.Session{Encounter: record.Reference{Value: "E"}}, ""},
		{"persons", record.Session{Operator: "demo-person-x", Verification: record.Verification{By: "demo-person-77"}, EnteredBy: "x", Withdrawal: record.Withdrawal{By: "demo-person-2"}},
			"identifier-pattern identifier-pattern identifier-pattern"},
	} {
		list := s.Check(&c.session)
		if rulesOf(list) != c.want {
			t.Errorf("%s: %v, want %s", c.name, list, c.want)
		}
		for _, f := range list {
			if !f.Private || strings.Contains(f.Text(false), f.Value) {
				t.Errorf("%s: the finding shows the value: %s", c.name, f.Text(false))
			}
		}
	}
}

func TestPersonsDoWhatTheSettingsLetThem(t *testing.T) {
	s := settings(t, "write:\n", "people:\n  demo-person-7: {may: [operate, enter], from: 2031-01-01, until: 2031-12-31}\n  demo-person-9: {may: [verify, withdraw]}\nwrite:\n")
	at := func(day string) record.Time { return record.Time(day + "T14:20:00+02:00") }
	for _, c := range []struct {
		name    string
		session record.Session
		want    string
	}{
		{"all may", record.Session{Operator: "demo-person-7", Start: at("2031-05-03"), Verification: record.Verification{By: "demo-person-9", At: at("2031-05-03")}}, ""},
		{"on the first day", record.Session{Operator: "demo-person-7", Start: at("2031-01-01")}, ""},
		{"on the last day", record.Session{Operator: "demo-person-7", Start: at("2031-12-31")}, ""},
		{"before it", record.Session{Operator: "demo-person-7", Start: at("2030-12-31")}, "person-may-not"},
		{"after it", record.Session{Operator: "demo-person-7", Start: at("2032-01-01")}, "person-may-not"},
		{"an unknown operator", record.Session{Operator: "demo-person-8"}, "person-unknown"},
		{"an operator who only verifies", record.Session{Operator: "demo-person-9"}, "person-may-not"},
		{"a verifier who only operates", record.Session{Verification: record.Verification{By: "demo-person-7"}}, "person-may-not"},
		{"entered by a verifier", record.Session{EnteredBy: "demo-person-9"}, "person-may-not"},
		{"withdrawn by an operator", record.Session{Withdrawal: record.Withdrawal{By: "demo-person-7"}}, "person-may-not"},
	} {
		if list := s.Check(&c.session); rulesOf(list) != c.want {
			t.Errorf("%s: %v, want %s", c.name, list, c.want)
		}
	}
	if list := site.Demo().Check(&record.Session{Operator: "anybody"}); len(list) > 0 {
		t.Errorf("settings that name nobody refuse somebody: %v", list)
	}
}

// TestEveryDecisionSaysWhereItComesFrom: what the file says has its line, and only
// what it does not say has none.
func TestEveryDecisionSaysWhereItComesFrom(t *testing.T) {
	lines := strings.Split(demoText(t), "\n")
	byDefault := 0
	for _, d := range site.Demo().Decisions() {
		if d.ByDefault() {
			byDefault++
			continue
		}
		name := d.Path[strings.LastIndexByte(strings.SplitN(d.Path, " ", 2)[0], '.')+1:]
		name, _, _ = strings.Cut(name, " ")
		if line := lines[d.Place.Line-1]; !strings.Contains(line, name) && !strings.Contains(line, "from: ") {
			t.Errorf("%s is said to stand at %v: %s", d.Path, d.Place, line)
		}
	}
	if byDefault == 0 {
		t.Error("nothing goes without saying")
	}
	paths := map[string]bool{}
	for _, d := range site.Demo().Decisions() {
		if paths[d.Path] {
			t.Errorf("%s stands twice", d.Path)
		}
		paths[d.Path] = true
	}
}

// TestWhatTheFileSaysIsGoverned: every value of a file that says all that there is to say
// stands among the decisions, or is a part of one; only the version and the approval
// do not. What is missing there could be changed after the approval.
func TestWhatTheFileSaysIsGoverned(t *testing.T) {
	text := changed(t,
		"environment: test\n", "environment: test\napproved: {by: demo-person-1, at: 2031-05-01, sha256: \""+strings.Repeat("ab", 32)+"\"}\n",
		"  patient: https://saltmark.example/fhir/sid/demo-patient\n", "  patient: {system: \"urn:oid:2.999.1\", pattern: \"[0-9]+\", check-digit: weighted-mod-11, weights: [10, 9]}\n  session: https://saltmark.example/s\n  device: https://saltmark.example/d\n",
		"write:\n", "people: {demo-person-7: {may: [operate], from: 2031-01-01, until: 2031-12-31}}\nwrite:\n  form: transaction\n  mode: conditional\n  subject: search\n  encounter: logical\n  snomed: \"yes\"\n",
		"# The language of words", "codings: {blood-flow: [{system: \"urn:oid:2.999.8\", code: F, display: flow, when: Qs}]}\n# The language of words",
		"    model: Invented dilution monitor A\n    serial: DEMO-MONITOR-1\n", "    identifier: {system: \"urn:oid:2.999.5\", value: DEMO-1}\n",
		"    model: Invented dilution monitor B\n    serial: DEMO-MONITOR-2\n", "    reference: Device/demo-2\n",
		"oxygen:\n", "plausible:\n  - {rule: plausible-weight-for-age, of: weight, from: 28 d, low: 1 kg, high: 18 kg, source: our own}\noxygen:\n",
		"#| profiles:", "profiles:")
	doc, list := source.ReadYAML("site.yaml", []byte(text), source.SheetLimits())
	s, more := site.Read(doc)
	if s == nil {
		t.Fatal(list, more)
	}
	governed := map[finding.Place]bool{}
	for _, d := range s.Decisions() {
		governed[d.Place] = true
	}
	said := map[string]bool{}
	var walk func(n *source.Node, pointer string, within bool)
	walk = func(n *source.Node, pointer string, within bool) {
		within = within || governed[doc.Place(n, pointer)]
		for _, m := range n.Members {
			said[m.Name] = true
			if pointer != "" || m.Name != "saltmark-site" && m.Name != "approved" {
				walk(m.Value, pointer+source.Pointer(m.Name), within)
			}
		}
		for i, item := range n.Items {
			walk(item, pointer+source.Pointer(i), within)
		}
		if len(n.Members)+len(n.Items) == 0 && !within {
			t.Errorf("%s is decided by nobody", pointer)
		}
	}
	walk(doc.Root, "", false)
	var schema struct{ Properties map[string]any }
	if err := json.Unmarshal(site.Schema(), &schema); err != nil {
		t.Fatal(err)
	}
	for key := range schema.Properties {
		if !said[key] {
			t.Errorf("the file does not say %s", key)
		}
	}
}

// TestTheOrderOfTheFileDoesNotMatter: sections in any order decide the same.
func TestTheOrderOfTheFileDoesNotMatter(t *testing.T) {
	sections := sectionsOf(demoText(t))
	want := site.Demo().Canonical()
	rapid.Check(t, func(t *rapid.T) {
		s, list := read(strings.Join(rapid.Permutation(sections).Draw(t, "sections"), ""))
		if s == nil {
			t.Fatal(list)
		}
		if string(s.Canonical()) != string(want) {
			t.Fatalf("%s", s.Canonical())
		}
	})
}

// sectionsOf cuts settings into their members. The anchor of the blood volumes stays
// before its aliases, since they are one section.
func sectionsOf(text string) []string {
	var sections []string
	for line := range strings.Lines(text) {
		if len(sections) == 0 || line[0] >= 'a' && line[0] <= 'z' {
			sections = append(sections, "")
		}
		sections[len(sections)-1] += line
	}
	return slices.DeleteFunc(sections, func(s string) bool { return strings.HasPrefix(s, "#") })
}
