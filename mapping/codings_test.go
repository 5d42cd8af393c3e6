package mapping_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

const siteSystem = "https://hospital.example/codes"

// Whatever codings a site has, the session is read back, and from the bundle alone
// follow codings that write the same bytes again.
func TestLawCodingsOfASiteAreReadBackAndExplained(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := randomSession(t)
		var previous *record.Session
		if rapid.Bool().Draw(t, "revised") {
			previous = randomSession(t)
			mapping.Settle(previous, nil)
			s.ID, s.Patient, s.Test, s.Revision = previous.ID, previous.Patient, previous.Test, 2
			s.Verification = record.Verification{By: "demo-person-9", At: s.End, Revision: 2}
		}
		if findings := mapping.Settle(s, previous); len(findings) > 0 {
			t.Fatal(findings)
		}
		o := everything
		o.Form = rapid.SampledFrom([]mapping.Form{mapping.Transaction, mapping.Collection, mapping.Document}).Draw(t, "form")
		o.SNOMED = rapid.Bool().Draw(t, "snomed")
		o.Codings = randomCodings(t)
		text := write(t, s, o)
		doc, _ := source.ReadJSON("bundle.json", text, source.ResourceLimits())
		back := mapping.ReadDocument(doc)
		for _, f := range back.Findings {
			t.Error(f.Text(true))
		}
		o.Codings = back.Codings
		if again := write(t, back.Session, o); !bytes.Equal(text, again) {
			t.Fatalf("%v\n%s\n%s", back.Codings, text, again)
		}
	})
}

func randomCodings(t *rapid.T) map[string][]mapping.Coding {
	codings := map[string][]mapping.Coding{}
	for range rapid.IntRange(0, 6).Draw(t, "codings") {
		m := rapid.SampledFrom(measure.All()).Draw(t, "measure")
		c := mapping.Coding{System: siteSystem, Code: rapid.StringMatching(`[A-Z]{1,2}`).Draw(t, "code") + "-" + m.Key, Display: "invented"}
		if conditions := mapping.Conditions(&m); len(conditions) > 0 {
			c.When = rapid.SampledFrom(conditions).Draw(t, "when")
		}
		same := func(d mapping.Coding) bool { return d.Code == c.Code }
		if !slices.ContainsFunc(codings[m.Key], same) {
			codings[m.Key] = append(codings[m.Key], c)
		}
	}
	return codings
}

// A coding of a site goes where a published one would: on the session's value, under
// the label that it names, and behind ours.
func TestCodingsOfASiteFollowTheFlowLabel(t *testing.T) {
	o := everything
	o.Codings = map[string][]mapping.Coding{
		"blood-flow": {
			{System: siteSystem, Code: "ANY", When: mapping.AnyLabel},
			{System: siteSystem, Code: "BODY", When: "Qs"},
			{System: siteSystem, Code: "LEFT", When: "LVO"},
			{System: siteSystem, Code: "LUNGS", When: "Qp"},
			{System: siteSystem, Code: "UNKNOWN", When: measure.NotDetermined},
		},
		"stroke-volume": {{System: siteSystem, Code: "STROKE", When: "LVO"}},
	}
	for _, c := range []struct {
		name         string
		state        func(*record.Session)
		flow, stroke string
	}{
		{"all closed", func(*record.Session) {}, "ANY BODY LEFT LUNGS", "STROKE"},
		{"ductal left to right", func(s *record.Session) { look(s, "ductal", "left-to-right", "13:40") }, "ANY BODY", ""},
		{"not seen", func(s *record.Session) { look(s, "ductal", "not-seen", "13:40") }, "ANY UNKNOWN", ""},
		{"a sign not answered", func(s *record.Session) { put(s, `injection 1 | shunt-sign | yes`) }, "ANY BODY", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := plain()
			c.state(s)
			settled(t, s, nil)
			for identity, want := range map[string]string{
				flowIdentity: c.flow, strokeIdentity: c.stroke, "injection-1/blood-flow/reported": "",
			} {
				if got := ofTheSite(t, s, o, identity); got != want {
					t.Errorf("%s has the codings %q, want %q", identity, got, want)
				}
			}
		})
	}
}

// ofTheSite gives the site's codes of an Observation; one that stands before ours is
// marked.
func ofTheSite(t *testing.T, s *record.Session, o mapping.Options, identity string) string {
	t.Helper()
	for _, e := range entriesOf(t, write(t, s, o)) {
		ids, ok := e.Resource["identifier"].([]any)
		if !ok || ids[0].(map[string]any)["value"] != s.ID+"/"+identity {
			continue
		}
		var codes []string
		ours := false
		for _, c := range e.Resource["code"].(map[string]any)["coding"].([]any) {
			coding := c.(map[string]any)
			ours = ours || strings.HasSuffix(coding["system"].(string), measure.MeasureCodes)
			switch {
			case coding["system"] == siteSystem && !ours:
				codes = append(codes, "before-ours")
			case coding["system"] == siteSystem:
				codes = append(codes, coding["code"].(string))
			}
		}
		return strings.Join(codes, " ")
	}
	t.Fatalf("no Observation %s", identity)
	return ""
}

func TestACodingThatMisleadsIsRefused(t *testing.T) {
	const (
		loinc, dicom, snomed, mdc = "http://loinc.org", "http://dicom.nema.org/resources/ontology/DCM", "http://snomed.info/sct", "urn:iso:std:iso:11073:10101"
	)
	for _, c := range []struct {
		name, measure string
		coding        mapping.Coding
		found         string // "" = allowed
	}{
		{"a code of the site", "haemoglobin", mapping.Coding{System: siteSystem, Code: "HB"}, ""},
		{"a code of the site under a label", "blood-flow", mapping.Coding{System: siteSystem, Code: "CO", When: "LVO"}, ""},
		{"without a label on a flow", "blood-flow", mapping.Coding{System: siteSystem, Code: "CO"}, "under which flow label"},
		{"with a label on what has none", "haemoglobin", mapping.Coding{System: siteSystem, Code: "HB", When: "LVO"}, "a condition"},
		{"the left ventricle's code on another measure", "central-blood-volume", mapping.Coding{System: loinc, Code: "8737-9"}, "for blood-flow"},
		{"the left ventricle's code on an index", "blood-flow-index-by-weight", mapping.Coding{System: loinc, Code: "8751-0", When: "LVO"}, "for blood-flow-index-by-area"},
		{"the left ventricle's code under another label", "blood-flow", mapping.Coding{System: loinc, Code: "8741-1", When: "Qs"}, "names the flow LVO"},
		{"the left ventricle's code whatever the label", "blood-flow", mapping.Coding{System: loinc, Code: "8741-1", When: "any"}, "names the flow LVO"},
		{"the left ventricle's code under its label", "comparator-flow", mapping.Coding{System: loinc, Code: "8741-1", When: "LVO"}, ""},
		{"a second LOINC code on a flow of a published profile", "blood-flow", mapping.Coding{System: loinc, Code: "8741-1", When: "LVO"}, "forbid"},
		{"the left ventricle's code of another system", "oxygen-delivery", mapping.Coding{System: mdc, Code: "150276"}, "names the flow LVO"},
		{"the right ventricle's code on the left one", "blood-flow", mapping.Coding{System: dicom, Code: "131053", When: "LVO"}, "names the flow RVO"},
		{"the flow of a vessel", "blood-flow", mapping.Coding{System: loinc, Code: "33878-0", When: "any"}, "another kind"},
		{"SNOMED CT on a flow", "blood-flow", mapping.Coding{System: snomed, Code: "82799009", When: "any"}, "forbid"},
		{"11073 on a flow", "stroke-volume", mapping.Coding{System: mdc, Code: "147842", When: "any"}, "forbid"},
		{"a vital sign", "mean-heart-rate", mapping.Coding{System: loinc, Code: "8867-4"}, "vital sign"},
		{"a LOINC code with a wrong check digit", "haemoglobin", mapping.Coding{System: loinc, Code: "1234-5"}, "no LOINC code"},
		{"a LOINC code that the table does not have", "central-blood-volume", mapping.Coding{System: loinc, Code: "1751-7"}, ""},
		{"a display that is not the system's", "mean-central-venous-pressure", mapping.Coding{System: loinc, Code: "60985-9", Display: "CVP"}, "display"},
		{"a display that is", "mean-central-venous-pressure", mapping.Coding{System: loinc, Code: "60985-9", Display: "Central venous pressure (CVP)"}, ""},
		{"one of our systems", "haemoglobin", mapping.Coding{System: "https://saltmark.example/fhir/CodeSystem/measures", Code: "blood-flow"}, "of this program"},
		{"one of our systems below another base", "haemoglobin", mapping.Coding{System: "https://other.example/CodeSystem/measures", Code: "blood-flow"}, "of this program"},
		{"the system of units", "haemoglobin", mapping.Coding{System: "http://unitsofmeasure.org", Code: "g/dL"}, "of this program"},
		{"white space at the end", "haemoglobin", mapping.Coding{System: siteSystem, Code: "HB "}, "white space"},
	} {
		found, allowed := mapping.WhyNotCoding(measure.Get(c.measure), c.coding, measure.DefaultBase)
		if (c.found == "") != (found == "") || !strings.Contains(found.String(), c.found) {
			t.Errorf("%s: found %q, want %q", c.name, found, c.found)
		}
		if found != "" && allowed == "" {
			t.Errorf("%s: nothing is said of what is allowed", c.name)
		}
	}
}

// A code that names a flow, on a value that is not known to be that flow, is found
// when the bundle is read, of whatever system it is.
func TestACodeThatNamesAnotherFlowIsFoundInABundle(t *testing.T) {
	for _, c := range []struct {
		name   string
		coding mapping.Coding
		on     string
		state  func(*record.Session)
		want   bool
	}{
		{"under the label", mapping.Coding{System: "http://loinc.org", Code: "8741-1", When: "any"}, "blood-flow", func(*record.Session) {}, false},
		{"under another label", mapping.Coding{System: "http://loinc.org", Code: "8741-1", When: "any"}, "blood-flow", func(s *record.Session) { look(s, "ductal", "left-to-right", "13:40") }, true},
		{"of another system", mapping.Coding{System: "urn:iso:std:iso:11073:10101", Code: "150276", When: "any"}, "blood-flow", func(s *record.Session) { look(s, "ductal", "left-to-right", "13:40") }, true},
		{"while a sign is not answered", mapping.Coding{System: "http://loinc.org", Code: "8741-1", When: "any"}, "blood-flow", func(s *record.Session) { put(s, `injection 1 | shunt-sign | yes`) }, true},
		{"on a component that is no flow", mapping.Coding{System: "http://snomed.info/sct", Code: "428628004"}, "loop-flow", func(*record.Session) {}, true},
		{"no flow at all", mapping.Coding{System: "http://loinc.org", Code: "1751-7"}, "loop-flow", func(*record.Session) {}, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := plain()
			put(s, `session | loop-flow | 12 mL/min`)
			c.state(s)
			settled(t, s, nil)
			o := everything
			o.Codings = map[string][]mapping.Coding{c.on: {c.coding}}
			text := write(t, s, o)
			if !bytes.Contains(text, []byte(c.coding.Code)) {
				t.Fatal("the coding was not written")
			}
			_, findings := mapping.Read("bundle.json", text)
			got := slices.ContainsFunc(findings, func(f mapping.Finding) bool { return f.Rule == "code-identity" })
			if got != c.want {
				t.Errorf("code-identity: %v, want %v: %v", got, c.want, findings)
			}
		})
	}
}
