package mapping_test

import (
	"encoding/json"
	"strings"
	"testing"

	"saltmark/mapping"
	"saltmark/mapping/record"
)

// documentOf is what the tests look at in a document.
type documentOf struct {
	Identifier struct{ System, Value string }
	Timestamp  string
	Entry      []struct{ Resource map[string]any }
}

func readDocument(t *testing.T, text []byte) (documentOf, map[string]any) {
	t.Helper()
	var d documentOf
	if err := json.Unmarshal(text, &d); err != nil {
		t.Fatal(err)
	}
	return d, d.Entry[0].Resource
}

func TestADocumentBeginsWithWhatItIsAndWhoVouchesForIt(t *testing.T) {
	o := everything.In(mapping.Document)
	d, c := readDocument(t, write(t, settled(t, plain(), nil), o))
	if d.Identifier.System == "" || d.Identifier.Value != "demo-2031-0001/document/1" || d.Timestamp != "2031-05-03T14:50:00+02:00" {
		t.Errorf("the bundle is %+v, %s", d.Identifier, d.Timestamp)
	}
	for member, want := range map[string]any{
		"resourceType": "Composition", "status": "final", "date": "2031-05-03T14:50:00+02:00",
		"title": "document of a measurement session, 2031-05-03 14:20",
	} {
		if c[member] != want {
			t.Errorf("%s is %v, want %v", member, c[member], want)
		}
	}
	attester := at(c, "attester", 0)
	if attester["time"] != "2031-05-03T14:55:00+02:00" || at(attester, "party", "identifier")["value"] != "demo-person-9" {
		t.Errorf("the attester is %v", attester)
	}
	if n := len(c["author"].([]any)); n != 2 {
		t.Errorf("%d authors; the person and the program are wanted", n)
	}
}

// A person reads the words of sections alone: each flow there carries its label and
// its standing, and what was excluded says so.
func TestSectionsSayInWordsWhatTheirEntriesHold(t *testing.T) {
	s := plain()
	inject(s, 3, "14:36", "0.910 L/min")
	put(s, `injection 3 | exclusion-cause | air`)
	_, c := readDocument(t, write(t, settled(t, s, nil), everything.In(mapping.Document)))
	words := map[string]string{}
	var titles []string
	for _, section := range c["section"].([]any) {
		section := section.(node)
		title := section["title"].(string)
		titles = append(titles, title)
		words[title] = at(section, "text")["div"].(string)
		if len(section["entry"].([]any)) == 0 {
			t.Errorf("%s has no entries", title)
		}
	}
	if got := strings.Join(titles, "; "); got != "measurement session; which flow the number stands for; injections of indicator" {
		t.Errorf("the sections are %s", got)
	}
	for title, want := range map[string][]string{
		"measurement session":              {"Blood flow to the body at 14:30", "Check against monitor and child"},
		"which flow the number stands for": {"blood flow: 0.610 L/min (blood flow to the body = output of the left ventricle", ", final", "ductal level: state: closed"},
		"injections of indicator":          {"injection 1: blood flow: 0.598 L/min (", "final; 14:24; ", "excluded because of: air"},
	} {
		for _, part := range want {
			if !strings.Contains(words[title], part) {
				t.Errorf("%s does not say %q: %s", title, part, words[title])
			}
		}
	}
}

// A value of an excluded injection is never read without that.
func TestEachValueOfAnExcludedInjectionSaysSoInADocument(t *testing.T) {
	s := plain()
	inject(s, 3, "14:36", "0.910 L/min")
	put(s, `injection 3 | exclusion-cause | air`)
	_, c := readDocument(t, write(t, settled(t, s, nil), everything.In(mapping.Document)))
	sections := c["section"].([]any)
	said := 0
	for _, paragraph := range strings.Split(at(sections[2], "text")["div"].(string), "<p>") {
		of3 := strings.HasPrefix(paragraph, "injection 3: ")
		if excluded := strings.Contains(paragraph, "excluded because of: air"); excluded != of3 {
			t.Errorf("excluded is said: %v, in %s", excluded, paragraph)
		}
		if of3 {
			said++
		}
	}
	if said < 2 {
		t.Errorf("%d paragraphs on injection 3", said)
	}
}

func TestACompositionNeverClaimsMoreThanItsReport(t *testing.T) {
	unverified, withdrawn, never := plain(), plain(), plain()
	unverified.Verification = record.Verification{}
	withdrawn.Withdrawal = record.Withdrawal{By: "demo-person-1", At: clock("18:00"), Reason: "wrong child"}
	never.Withdrawal = withdrawn.Withdrawal
	never.Withdrawal.NeverMeasured = true
	corrected := plain()
	corrected.Revision, corrected.Verification.Revision = 2, 2
	inject(corrected, 2, "14:30", "0.630 L/min")
	for _, test := range []struct {
		name                   string
		session                *record.Session
		report, status, attest string
	}{
		{"unverified", settled(t, unverified, nil), "partial", "preliminary", ""},
		{"verified", settled(t, plain(), nil), "final", "final", "demo-person-9"},
		{"corrected", settled(t, corrected, settled(t, plain(), nil)), "corrected", "amended", "demo-person-9"},
		{"withdrawn", settled(t, withdrawn, nil), "entered-in-error", "entered-in-error", "demo-person-9"},
		{"never measured", settled(t, never, nil), "cancelled", "entered-in-error", "demo-person-9"},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, c := readDocument(t, write(t, test.session, everything.In(mapping.Document)))
			attest := ""
			if c["attester"] != nil {
				attest, _ = at(c, "attester", 0, "party", "identifier")["value"].(string)
			}
			if got := string(test.session.ReportStatus); got != test.report || c["status"] != test.status || attest != test.attest {
				t.Errorf("report %s, document %v, attested by %q", got, c["status"], attest)
			}
			if status := mapping.CompositionStatus(test.session.ReportStatus); status != test.status {
				t.Errorf("CompositionStatus gives %s", status)
			}
		})
	}
}
