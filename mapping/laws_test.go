package mapping_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"saltmark/internal/derive"
	"saltmark/internal/schema"
	"saltmark/internal/sheet/sheettest"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// everything writes what can be written.
var everything = mapping.Options{Curves: true, Comparators: true, Software: mapping.Software{Name: "saltmark", Version: "0.1"}}

// everythingIn is that in a language that is drawn.
func everythingIn(t *rapid.T) mapping.Options {
	o := everything
	o.Language = rapid.SampledFrom(measure.Languages()).Draw(t, "language")
	return o
}

var noPlaces = cmp.Options{cmpopts.IgnoreFields(record.Session{}, "Places"), cmpopts.EquateEmpty()}

func write(t interface{ Fatal(...any) }, s *record.Session, o mapping.Options) []byte {
	text, err := mapping.Write(s, o)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func TestLawWhatIsWrittenIsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := randomSession(t)
		if rapid.Bool().Draw(t, "withdrawn") {
			s.Withdrawal = record.Withdrawal{By: "demo-person-1", At: "2031-05-04T08:00:00Z", Reason: "wrong sheet", NeverMeasured: rapid.Bool().Draw(t, "never")}
		}
		if findings := mapping.Settle(s, nil); len(findings) > 0 {
			t.Fatal(findings)
		}
		text := write(t, s, everythingIn(t))
		got, findings := mapping.Read("bundle.json", text)
		for _, f := range findings {
			t.Error(f.Text(true))
		}
		s.Sort()
		if diff := cmp.Diff(s, got, noPlaces); diff != "" {
			t.Fatalf("%s\n%s", diff, text)
		}
	})
}

// Sessions that a sheet can hold: derived, settled, written, read back, and derived
// anew from what was read.
func TestLawABundleProvesItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sheettest.Session().Draw(t, "session")
		s.Verification = record.Verification{By: "demo-person-9", At: s.End, Revision: 1}
		s.Revision = 1
		if findings := site.Demo().Complete(s); findings.HasErrors() {
			t.Skip(findings[0].Text(true))
		}
		derive.Apply(s)
		if findings := mapping.Settle(s, nil); len(findings) > 0 {
			t.Fatal(findings)
		}
		got := readBack(t, s)
		if found := derive.Check(got); len(found) > 0 {
			t.Fatal(found[0].Text(true))
		}
	})
}

// readBack writes a session and gives what is read, which must be the same.
func readBack(t *rapid.T, s *record.Session) *record.Session {
	got, findings := mapping.Read("bundle.json", write(t, s, everything))
	for _, f := range findings {
		t.Error(f.Text(true))
	}
	want := *s
	want.Facts = slices.Clone(s.Facts)
	want.Sort()
	if diff := cmp.Diff(&want, got, noPlaces); diff != "" {
		t.Fatal(diff)
	}
	return got
}

// Any session may follow any other: what vanished is taken back, under the codes and
// labels that it had, and all of it is read back.
func TestLawARevisionIsReadBackWithWhatItTakesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		first, second := randomSession(t), randomSession(t)
		mapping.Settle(first, nil)
		second.ID, second.Test, second.Patient, second.Revision = first.ID, first.Test, first.Patient, 2
		second.Verification = record.Verification{By: "demo-person-9", At: second.End, Revision: 2}
		if rapid.Bool().Draw(t, "withdrawn") {
			second.Withdrawal = record.Withdrawal{By: "demo-person-1", At: "2031-05-04T08:00:00Z", Reason: "wrong sheet"}
		}
		if findings := mapping.Settle(second, first); len(findings) > 0 {
			t.Fatal(findings)
		}
		got := readBack(t, second)
		for _, f := range first.Facts {
			if m := measure.Get(f.Measure); m.In == "" && got.Find(f.About, f.Measure, f.Origin) == nil {
				t.Fatalf("%s is in the record and not in the revision", mapping.Identity("", f.Ref))
			}
		}
		again := *second
		again.Facts = slices.Clone(second.Facts)
		mapping.Settle(&again, first)
		if diff := cmp.Diff(second, &again, noPlaces); diff != "" {
			t.Fatalf("settled twice it is another: %s", diff)
		}
	})
}

// entryOf is what the tests look at in an entry of a bundle.
type entryOf struct {
	FullURL  string `json:"fullUrl"`
	Resource map[string]any
	Request  struct{ Method, URL, IfNoneExist string }
}

func entriesOf(t interface{ Fatal(...any) }, text []byte) []entryOf {
	var bundle struct{ Entry []entryOf }
	if err := json.Unmarshal(text, &bundle); err != nil {
		t.Fatal(err)
	}
	return bundle.Entry
}

// random gives a settled session of random facts.
func random(t *rapid.T) *record.Session {
	s := randomSession(t)
	mapping.Settle(s, nil)
	return s
}

func TestLawSameSessionSameBytesWhateverTheOrderOfFacts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := random(t)
		first := write(t, s, everything)
		shuffled := *s
		shuffled.Facts = rapid.Permutation(s.Facts).Draw(t, "order")
		if !bytes.Equal(first, write(t, &shuffled, everything)) {
			t.Fatal("another order of facts gives other bytes")
		}
	})
}

func TestLawEachConditionIsUniqueInTheBundle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seen := map[string]bool{}
		for _, e := range entriesOf(t, write(t, random(t), everything)) {
			condition := e.Request.URL + " " + e.Request.IfNoneExist
			if seen[condition] || seen[e.FullURL] {
				t.Fatalf("%s, %s is there twice", condition, e.FullURL)
			}
			seen[condition], seen[e.FullURL] = true, true
		}
	})
}

// The Procedure names its report, the report its panel, the panel its Procedure:
// one of the three must refer forward, and it is the first.
func TestLawWhatIsReferredToStandsBefore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := random(t)
		for i := range s.Facts { // no circles: a value is made from what comes before it
			s.Facts[i].From = slices.DeleteFunc(s.Facts[i].From, func(r record.Ref) bool { return r.Compare(s.Facts[i].Ref) >= 0 || r.Measure == "session-panel" })
		}
		seen := map[string]bool{}
		for _, e := range entriesOf(t, write(t, s, everything)) {
			for _, to := range references(e.Resource) {
				if !seen[to] && !(e.Resource["resourceType"] == "Procedure" && to == e.Resource["report"].([]any)[0].(map[string]any)["reference"]) {
					t.Fatalf("%v refers to %s, which comes after it or not at all", e.Resource["identifier"], to)
				}
			}
			seen[e.FullURL] = true
		}
	})
}

// references gives every reference by URN in a resource.
func references(v any) []string {
	var list []string
	switch v := v.(type) {
	case map[string]any:
		for name, member := range v {
			if to, ok := member.(string); ok && name == "reference" && strings.HasPrefix(to, "urn:uuid:") {
				list = append(list, to)
			}
			list = append(list, references(member)...)
		}
	case []any:
		for _, item := range v {
			list = append(list, references(item)...)
		}
	}
	return list
}

func TestLawAnInsertedInjectionLeavesOtherIdentitiesAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := random(t)
		before := identities(t, s)
		fresh := record.Thing{Kind: measure.Injection, Key: strconv.Itoa(rapid.IntRange(31, 99).Draw(t, "number"))}
		s.Facts = append(s.Facts,
			record.Fact{Ref: record.Ref{About: fresh, Measure: "injection", Origin: record.Stated}, Status: record.Final},
			record.Fact{Ref: record.Ref{About: fresh, Measure: "blood-flow", Origin: record.Reported}, Status: record.Final, Value: record.Value{Quantity: record.Quantity{Number: "0.61", Unit: "L/min"}}})
		after := identities(t, s)
		if len(after) != len(before)+2 {
			t.Fatalf("%d identities became %d", len(before), len(after))
		}
		for identity, url := range before {
			if after[identity] != url {
				t.Fatalf("%s was %s and is %s", identity, url, after[identity])
			}
		}
	})
}

// identities gives the fullUrl of each condition.
func identities(t *rapid.T, s *record.Session) map[string]string {
	all := map[string]string{}
	for _, e := range entriesOf(t, write(t, s, everything)) {
		all[e.Request.URL+e.Request.IfNoneExist] = e.FullURL
	}
	return all
}

func TestLawIdentityIsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := &measure.All()[rapid.IntRange(0, len(measure.All())-1).Draw(t, "row")]
		about := record.Thing{Kind: rapid.SampledFrom(m.About).Draw(t, "about")}
		if about.Kind != measure.Session {
			about.Key = rapid.StringN(1, 10, -1).Draw(t, "key")
		}
		want := record.Ref{About: about, Measure: m.Key, Origin: record.Origin(rapid.SampledFrom(measure.SetNames("origin")).Draw(t, "origin"))}
		session, got, ok := mapping.ParseIdentity(mapping.Identity("demo-1", want))
		if !ok || session != "demo-1" || got != want {
			t.Fatalf("%+v became %q %+v, %t", want, session, got, ok)
		}
	})
}

func TestLawBundlesKeepTheOfficialSchema(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		doc, findings := source.ReadJSON("bundle.json", write(t, random(t), everything), source.ResourceLimits())
		for _, f := range append(findings, schema.CheckFHIR(doc, nil)...) {
			t.Fatal(f.Text(true))
		}
	})
}

// A vital sign is bound, in its components too, to the units of vital signs (FHIR
// R4, profile vitalsigns), so nothing is said of it in a component.
func TestLawVitalSignsHaveNoComponents(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for _, e := range entriesOf(t, write(t, random(t), everything)) {
			if e.Resource["resourceType"] != "Observation" {
				continue
			}
			for _, coding := range e.Resource["code"].(map[string]any)["coding"].([]any) {
				c := coding.(map[string]any)
				if _, vital := terms.VitalSign(c["code"].(string)); vital && c["system"] == terms.SystemLOINC && e.Resource["component"] != nil {
					t.Fatalf("%v has components", c["code"])
				}
			}
		}
	})
}

// The limit is that of the design: each resource carries one line.
func TestLawNarrativesAreOneShortLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for _, e := range entriesOf(t, write(t, random(t), everythingIn(t))) {
			div := e.Resource["text"].(map[string]any)["div"].(string)
			if e.Resource["resourceType"] != "DiagnosticReport" && (len(div) > 160 || strings.Contains(div, "\n")) {
				t.Fatalf("%d bytes: %s", len(div), div)
			}
		}
	})
}
