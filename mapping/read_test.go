package mapping_test

import (
	"encoding/json"
	"strings"
	"testing"

	"saltmark/mapping"
	"saltmark/mapping/record"
)

// node is a resource or an element that a mutation changes.
type node = map[string]any

// mutated gives a bundle with one fault. change gets the Observation, Procedure,
// DiagnosticReport or Provenance of that identity ("" = the bundle itself).
func mutated(t *testing.T, text []byte, identity string, change func(node)) []byte {
	t.Helper()
	var bundle node
	if err := json.Unmarshal(text, &bundle); err != nil {
		t.Fatal(err)
	}
	if identity == "" {
		change(bundle)
	}
	for _, e := range bundle["entry"].([]any) {
		resource := e.(node)["resource"].(node)
		ids, ok := resource["identifier"].([]any)
		if ok && identity != "" && strings.HasSuffix(ids[0].(node)["value"].(string), "/"+identity) || resource["resourceType"] == identity {
			change(resource)
		}
	}
	changed, err := json.Marshal(bundle)
	if err != nil {
		t.Fatal(err)
	}
	return changed
}

// at follows names and indices into a tree.
func at(v any, path ...any) node {
	for _, step := range path {
		switch step := step.(type) {
		case string:
			v = v.(node)[step]
		case int:
			v = v.([]any)[step]
		}
	}
	return v.(node)
}

// component gives the component under a local code.
func component(r node, code string) node {
	for _, c := range r["component"].([]any) {
		if at(c, "code", "coding", 0)["code"] == code {
			return c.(node)
		}
	}
	return nil
}

// withoutResource takes the entries of an identity away.
func withoutResource(suffix string) func(node) {
	return func(bundle node) {
		var kept []any
		for _, e := range bundle["entry"].([]any) {
			resource := e.(node)["resource"].(node)
			ids, ok := resource["identifier"].([]any)
			if ok && strings.HasSuffix(ids[0].(node)["value"].(string), "/"+suffix) || resource["resourceType"] == suffix {
				continue
			}
			kept = append(kept, e)
		}
		bundle["entry"] = kept
	}
}

func TestReadTellsWhatContradicts(t *testing.T) {
	tests := []struct {
		name, identity string
		change         func(node)
		rule           string
	}{
		{"not a bundle", "", func(b node) { b["resourceType"] = "Parameters" }, "bundle-shape"},
		{"another form", "", func(b node) { b["type"] = "searchset" }, "bundle-shape"},
		{"nothing of ours", "", func(b node) { b["entry"] = []any{} }, "session-missing"},
		{"no panel", "", withoutResource("session-panel"), "panel-missing"},
		{"no report", "", withoutResource("report"), "session-incomplete"},
		{"no Procedure", "", withoutResource("loop"), "session-incomplete"},
		{"no Provenance", "", withoutResource("Provenance"), "session-incomplete"},
		{"no revision", "session-panel", func(r node) { at(component(r, "revision"), "code", "coding", 0)["system"] = "https://hospital.example" }, "session-incomplete"},
		{"a verifier without a revision", "session-panel", func(r node) {
			at(component(r, "verified-revision"), "code", "coding", 0)["system"] = "https://hospital.example"
		}, "session-incomplete"},
		{"taken back by nobody", "session-panel", func(r node) { r["status"] = "entered-in-error" }, "session-incomplete"},
		{"no period", "session-panel", func(r node) { delete(r, "effectivePeriod") }, "session-incomplete"},
		{"another session's identity", flowIdentity, func(r node) {
			at(r, "identifier", 0)["value"] = "demo-2031-0002/" + flowIdentity
		}, "session-several"},
		{"an identity twice", strokeIdentity, func(r node) { at(r, "identifier", 0)["value"] = "demo-2031-0001/" + flowIdentity }, "identity-repeated"},
		{"an identity of no measure", strokeIdentity, func(r node) { at(r, "identifier", 0)["value"] = "demo-2031-0001/session/stroke/derived" }, "identity-unknown"},
		{"an identity of a component", strokeIdentity, func(r node) { at(r, "identifier", 0)["value"] = "demo-2031-0001/session/spread/derived" }, "identity-unknown"},
		{"another subject", strokeIdentity, func(r node) { at(r, "subject")["reference"] = "Patient/9" }, "patient-differs"},
		{"a code of another measure", strokeIdentity, func(r node) { at(r, "code", "coding", 0)["code"] = "8737-9" }, "code-identity"},
		{"a code left out", flowIdentity, func(r node) { at(r, "code")["coding"] = at(r, "code")["coding"].([]any)[1:] }, "code-identity"},
		{"a code without its label", flowIdentity, func(r node) {
			for _, concept := range []node{at(r, "extension", 0, "valueCodeableConcept"), at(component(r, "flow-stands-for"), "valueCodeableConcept")} {
				at(concept, "coding", 0)["code"] = "Qs"
			}
		}, "code-identity"},
		{"the labels differ", flowIdentity, func(r node) { at(r, "extension", 0, "valueCodeableConcept", "coding", 0)["code"] = "Qs" }, "label-disagrees"},
		{"a label of no table", flowIdentity, func(r node) { at(r, "extension", 0, "valueCodeableConcept", "coding", 0)["code"] = "CO" }, "label-unknown"},
		{"the context not named", flowIdentity, func(r node) { r["derivedFrom"] = r["derivedFrom"].([]any)[:1] }, "label-context"},
		{"an unknown component", "shunt-context", func(r node) { at(component(r, "ductal-state"), "code", "coding", 0)["code"] = "ductal-stat" }, "component-unknown"},
		{"a component twice", "shunt-context", func(r node) { at(component(r, "ductal-seen"), "code", "coding", 0)["code"] = "atrial-seen" }, "component-twice"},
		{"two values", flowIdentity, func(r node) { r["valueString"] = "0.61" }, "value-several"},
		{"value and reason", flowIdentity, func(r node) { r["dataAbsentReason"] = node{"text": "unknown"} }, "value-several"},
		{"a value of another form", flowIdentity, func(r node) { delete(r, "valueQuantity"); r["valueString"] = "0.61" }, "value-form"},
		{"no value", flowIdentity, func(r node) { delete(r, "valueQuantity") }, "value-form"},
		{"a unit of another dimension", flowIdentity, func(r node) { at(r, "valueQuantity")["code"] = "mL" }, "value-unit"},
		{"a unit without its system", flowIdentity, func(r node) { delete(at(r, "valueQuantity"), "system") }, "value-unit"},
		{"a number as text", flowIdentity, func(r node) { at(r, "valueQuantity")["value"] = "0.610" }, "value-unreadable"},
		{"a comparator", flowIdentity, func(r node) { at(r, "valueQuantity")["comparator"] = "<" }, "value-unreadable"},
		{"a time without offset", flowIdentity, func(r node) { r["effectiveDateTime"] = "2031-05-03T14:30:00" }, "value-unreadable"},
		{"a coded value of no set", "shunt-context", func(r node) {
			at(component(r, "ductal-state"), "valueCodeableConcept", "coding", 0)["code"] = "shut"
		}, "value-unreadable"},
		{"a reason of no table", flowIdentity, func(r node) {
			delete(r, "valueQuantity")
			r["dataAbsentReason"] = node{"coding": []any{node{"system": "https://saltmark.example/fhir/CodeSystem/reasons", "code": "bored"}}}
		}, "reason-unknown"},
		{"another origin", flowIdentity, func(r node) { at(r, "extension", 1)["valueCode"] = "reported" }, "origin-disagrees"},
		{"made from nothing in the bundle", flowIdentity, func(r node) { at(r, "derivedFrom", 0)["reference"] = "urn:uuid:0" }, "reference-unknown"},
		{"a device that is not there", "loop", func(r node) { at(r, "usedReference", 0)["reference"] = "urn:uuid:0" }, "reference-unknown"},
		{"a status of no fact", flowIdentity, func(r node) { r["status"] = "registered" }, "status-unknown"},
		{"a status of no report", "report", func(r node) { r["status"] = "unknown" }, "status-unknown"},
		{"a revision that is none", "session-panel", func(r node) { component(r, "revision")["valueInteger"] = 0 }, "value-unreadable"},
	}
	good := write(t, settled(t, everyValue(), nil), everything)
	if _, findings := mapping.Read("good.json", good); len(findings) > 0 {
		t.Fatal(findings[0].Text(true))
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			_, findings := mapping.Read("bad.json", mutated(t, good, test.identity, test.change))
			for _, f := range findings {
				if f.Rule == test.rule {
					return
				}
			}
			t.Errorf("no finding of %s: %v", test.rule, findings)
		})
	}
}

// A site may add resources and codings of its own.
func TestReadLeavesAloneWhatIsNotOurs(t *testing.T) {
	s := settled(t, everyValue(), nil)
	text := mutated(t, write(t, s, everything), "", func(b node) {
		b["entry"] = append([]any{node{"fullUrl": "urn:uuid:1", "resource": node{"resourceType": "Observation", "status": "final", "identifier": []any{node{"system": "https://hospital.example", "value": "9"}}}}}, b["entry"].([]any)...)
	})
	text = mutated(t, text, flowIdentity, func(r node) {
		code := at(r, "code")
		code["coding"] = append(code["coding"].([]any), node{"system": "https://hospital.example/codes", "code": "CO-7"})
		r["component"] = append(r["component"].([]any), node{"code": node{"text": "a remark"}, "valueString": "x"})
	})
	got, findings := mapping.Read("extended.json", text)
	if len(findings) > 0 {
		t.Fatal(findings[0].Text(true))
	}
	if len(got.Facts) != len(s.Facts) {
		t.Errorf("%d facts were read, %d written", len(got.Facts), len(s.Facts))
	}
}

func TestWriteRefusesWhatCannotBeCharted(t *testing.T) {
	tests := []struct {
		name, says string
		state      func(*record.Session)
	}{
		{"no patient", "a patient", func(s *record.Session) { s.Patient = record.Reference{} }},
		{"an identifier with a slash", "an identifier", func(s *record.Session) { s.ID = "demo/1" }},
		{"not settled", "settling", func(s *record.Session) { s.ReportStatus = "" }},
		{"not derived", "panel", func(s *record.Session) { drop(s, record.Ref{About: record.TheSession, Measure: "session-panel"}) }},
		{"a withdrawal without reason", "reason", func(s *record.Session) { s.Withdrawal.By = "demo-person-1" }},
		{"a component alone", "belongs into the Observation", func(s *record.Session) {
			drop(s, record.Ref{About: record.Thing{Kind: "injection", Key: "1"}, Measure: "injection"})
		}},
		{"no such measure", "no mood", func(s *record.Session) { s.Facts[len(s.Facts)-1].Measure = "mood" }},
		{"an exponent", "plain decimal", func(s *record.Session) {
			s.Find(record.TheSession, "blood-flow", record.Derived).Value.Quantity.Number = "6.1e-1"
		}},
		{"a value that is nothing", "no value", func(s *record.Session) {
			s.Find(record.TheSession, "birth-date", record.Stated).Value = record.Value{}
		}},
		{"one device twice", "two devices", func(s *record.Session) { s.Devices = append(s.Devices, s.Devices[0]) }},
		{"one fact twice", "two facts", func(s *record.Session) { s.Facts = append(s.Facts, s.Facts[3]) }},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := settled(t, everyValue(), nil)
			test.state(s)
			_, err := mapping.Write(s, everything)
			if err == nil || !strings.Contains(err.Error(), test.says) {
				t.Errorf("the error is %v, want one that says %q", err, test.says)
			}
		})
	}
}

func TestOptionsLeaveOutWhatTheSiteDoesNotWant(t *testing.T) {
	s := plain()
	put(s, `
		comparator 1 | comparator || 14:10
		comparator 1 | comparator-method | echo
		reading 1.1 | comparator-flow | 0.60 L/min | 14:10`)
	s.Facts = append(s.Facts, record.Fact{
		Ref: record.Ref{About: record.Thing{Kind: "injection", Key: "1"}, Measure: "arterial-trace", Origin: record.Reported}, At: clock("14:24"),
		Value: record.Value{Curve: &record.Curve{Origin: record.Quantity{Number: "0", Unit: "%"}, Period: "10", Data: "1 2 3", Start: clock("14:24"), End: clock("14:25"), FileHash: "ab"}},
	})
	settled(t, s, nil)
	count := func(o mapping.Options) int { return len(entriesOf(t, write(t, s, o))) }
	lean := count(mapping.Options{})
	for _, test := range []struct {
		name    string
		options mapping.Options
		want    int
	}{
		{"curves", mapping.Options{Curves: true}, lean + 1},
		{"comparators", mapping.Options{Comparators: true}, lean + 2},
		{"no single injections", mapping.Options{Injections: mapping.InjectionsNone, Curves: true}, lean - 5},
	} {
		if got := count(test.options); got != test.want {
			t.Errorf("%s: %d entries, want %d", test.name, got, test.want)
		}
	}
}

// The limit is that of the design for three injections.
func TestThreeInjectionsFitIntoFiftyEntries(t *testing.T) {
	if n := len(entriesOf(t, write(t, settled(t, everyValue(), nil), mapping.Options{}))); n > 50 {
		t.Errorf("%d entries", n)
	}
}
