package audit_test

import (
	"regexp"
	"strings"
	"testing"

	"saltmark/internal/audit"
)

// foreign is a document that this program did not write, with the rules that speak
// of it.
type foreign struct {
	name, text, rules string
}

const loincHead = `"code":{"coding":[{"system":"http://loinc.org","code":`

// foreigns are small documents of our own, good and bad side by side.
var foreigns = []foreign{
	{"a status that only says why it is not there", `{"resourceType":"Observation","_status":{"extension":[{"url":"http://hl7.org/fhir/StructureDefinition/data-absent-reason","valueCode":"unknown"}]},"code":{"text":"x"}}`, ""},
	{"a status that is not there", `{"resourceType":"Observation","code":{"text":"x"}}`, "element-missing"},
	{"a value whose twin says more", `{"resourceType":"Observation","status":"final","code":{"text":"x"},"valueString":"a","_valueString":{"id":"a"}}`, ""},
	{"two values, one of them a twin alone", `{"resourceType":"Observation","status":"final","code":{"text":"x"},"valueString":"a","_valueInteger":{"id":"a"}}`, "choice-twice element-empty"},
	{"two ways to have died", `{"resourceType":"Patient","deceasedBoolean":true,"deceasedDateTime":"2031-05-03"}`, "choice-twice"},
	{"a local code that looks like one of ours", `{"resourceType":"Observation","status":"final","code":{"coding":[{"system":"https://other.example/codes","code":"weight"}]},"valueQuantity":{"value":3,"unit":"cm","system":"http://unitsofmeasure.org","code":"cm"}}`, ""},
	{"a haematocrit without a unit code", `{"resourceType":"Observation","status":"final",` + loincHead + `"20570-8"}]},"valueQuantity":{"value":27,"unit":"%"}}`, ""},
	{"a haematocrit by weight", `{"resourceType":"Observation","status":"final",` + loincHead + `"20570-8"}]},"valueQuantity":{"value":27,"unit":"g","system":"http://unitsofmeasure.org","code":"g"}}`, "unit-of-measure"},
	{"a flow without a word on shunts", `{"resourceType":"Observation","status":"final",` + loincHead + `"8737-9"}]},"valueQuantity":{"value":0.6,"unit":"L/min","system":"http://unitsofmeasure.org","code":"L/min"}}`, "flow-unlabelled-elsewhere"},
	{"a display of another case", `{"resourceType":"Observation","status":"final",` + loincHead + `"8737-9","display":"left ventricular cardiac output"}]}}`, "flow-unlabelled-elsewhere loinc-display-elsewhere"},
	{"parts and answers of LOINC", `{"resourceType":"Observation","status":"final",` + loincHead + `"LP6851-0"}]},"valueCodeableConcept":{"coding":[{"system":"http://loinc.org","code":"LA6115-5"}]}}`, ""},
	{"a mean pressure from a laboratory", `{"resourceType":"Observation","status":"final",` + loincHead + `"8478-0"}]},"effectiveDateTime":"2031"}`, ""},
	{"a weight without a category", `{"resourceType":"Observation","status":"final","subject":{"reference":"Patient/1"},"effectiveDateTime":"2031-05-03",` + loincHead + `"29463-7"}]},"valueQuantity":{"value":3,"unit":"kg","system":"http://unitsofmeasure.org","code":"kg"}}`, "vital-sign-category"},
	{"an id that looks like a type", `{"resourceType":"Observation","status":"final","code":{"text":"x"},"subject":{"reference":"https://other.example/fhir/Patient/Smith"}}`, ""},
	{"a subject that is a Practitioner", `{"resourceType":"Observation","status":"final","code":{"text":"x"},"subject":{"reference":"Practitioner/1"}}`, "reference-type"},
	{"a device inside", `{"resourceType":"Observation","status":"final","code":{"text":"x"},"contained":[{"resourceType":"Device","id":"d"}],"device":{"reference":"#d"}}`, ""},
	{"what is contained refers to what contains it", `{"resourceType":"Observation","status":"final","code":{"text":"x"},"contained":[{"resourceType":"Provenance","id":"p","target":[{"reference":"#"}],"recorded":"2031-05-03T14:00:00Z","agent":[{"who":{"display":"x"}}]}]}`, ""},
	{"a contained resource of a type of others refers to another", `{"resourceType":"Procedure","status":"completed","subject":{"reference":"Patient/1"},"usedReference":[{"reference":"#m"}],"contained":[{"resourceType":"Medication","id":"m","manufacturer":{"reference":"#o"}},{"resourceType":"Organization","id":"o","name":"x"}]}`, ""},
	{"a type of others has dates of its own kind", `{"resourceType":"Bundle","type":"collection","entry":[{"fullUrl":"https://other.example/Contract/1","resource":{"resourceType":"Contract","id":"1","issued":"2031"}}]}`, ""},
	{"a coding of LOINC without its code", `{"resourceType":"Observation","status":"final","code":{"coding":[{"system":"http://loinc.org","display":"x"}]}}`, ""},
	{"a type that defines others is not judged in all", `{"resourceType":"ValueSet","status":"active"}`, "schema-resource-unchecked"},
	{"a duration in words alone is a warning", `{"resourceType":"Encounter","status":"finished","class":{"code":"x"},"length":{"value":1,"unit":"d"}}`, "duration-without-code"},
	{"a unit whose system only says why it is not there", `{"resourceType":"Observation","status":"final","code":{"text":"x"},"valueQuantity":{"value":1,"code":"x","_system":{"extension":[{"url":"http://hl7.org/fhir/StructureDefinition/data-absent-reason","valueCode":"unknown"}]}}}`, ""},
	{"a slot that ends before it starts is no period", `{"resourceType":"Slot","schedule":{"reference":"Schedule/1"},"status":"free","start":"2031-05-03T14:00:00Z","end":"2031-05-03T13:00:00Z"}`, ""},
	{"names of extensions inside an extension", `{"resourceType":"Observation","status":"final","code":{"text":"x"},"extension":[{"url":"https://ward.example/e","extension":[{"url":"name","valueString":"x"}]}]}`, ""},
	{"a canonical of an OID with a version", `{"resourceType":"Procedure","status":"completed","subject":{"reference":"Patient/1"},"instantiatesCanonical":["urn:oid:2.25.1|1.0"]}`, ""},
	{"paragraphs in a list, lists in lists, a table with all its parts", `{"resourceType":"Patient","text":{"status":"generated","div":"<div xmlns=\"http://www.w3.org/1999/xhtml\"><ul><li><p>a</p><ul> <li>b</li> </ul></li></ul><table><caption>c</caption><col/><thead><tr><th>d</th></tr></thead><tbody><tr><td><p>e</p><hr/></td></tr></tbody></table><dl><dt>f</dt><dd><div>g</div></dd></dl></div>"}}`, ""},
	{"a search by POST has no body", `{"resourceType":"Bundle","type":"batch","entry":[{"request":{"method":"POST","url":"Patient/_search?name=x"}}]}`, ""},
	{"a batch that asks, changes and operates", `{"resourceType":"Bundle","type":"batch","entry":[
		{"request":{"method":"GET","url":"Patient?name=x"}},
		{"resource":{"resourceType":"Observation","status":"final","code":{"text":"x"}},"request":{"method":"POST","url":"Observation/$validate"}},
		{"resource":{"resourceType":"OperationOutcome","issue":[{"severity":"error","code":"invalid"}]},"request":{"method":"PATCH","url":"Patient/1"}}]}`, ""},
	{"a POST needs no fullUrl", `{"resourceType":"Bundle","type":"transaction","entry":[{"resource":{"resourceType":"Device"},"request":{"method":"POST","url":"Device"}}]}`, ""},
	{"two versions of one resource", `{"resourceType":"Bundle","type":"searchset","entry":[
		{"fullUrl":"https://other.example/Device/1","resource":{"resourceType":"Device","id":"1","meta":{"versionId":"1"}}},
		{"fullUrl":"https://other.example/Device/1","resource":{"resourceType":"Device","id":"1","meta":{"versionId":"2"}}}]}`, ""},
	{"two devices of one identifier are no business of ours", `{"resourceType":"Bundle","type":"searchset","entry":[
		{"fullUrl":"https://other.example/Device/1","resource":{"resourceType":"Device","id":"1","identifier":[{"value":"a"}]}},
		{"fullUrl":"https://other.example/Device/2","resource":{"resourceType":"Device","id":"2","identifier":[{"value":"a"}]}}]}`, ""},
	{"a bundle in a bundle", `{"resourceType":"Bundle","type":"collection","entry":[{"fullUrl":"https://other.example/Bundle/1","resource":{"resourceType":"Bundle","id":"1","type":"collection","entry":[
		{"fullUrl":"urn:uuid:00000000-0000-4000-8000-000000000001","resource":{"resourceType":"Device"}},
		{"fullUrl":"urn:uuid:00000000-0000-4000-8000-000000000002","resource":{"resourceType":"Observation","status":"final","code":{"text":"x"},"device":{"reference":"urn:uuid:00000000-0000-4000-8000-000000000001"}}}]}}]}`, ""},
	{"a document", `{"resourceType":"Bundle","type":"document","identifier":{"system":"https://other.example","value":"1"},"timestamp":"2031-05-03T14:00:00Z","entry":[{"fullUrl":"https://other.example/Composition/1","resource":{"resourceType":"Composition","id":"1","status":"final","type":{"text":"x"},"date":"2031-05-03","title":"x","author":[{"display":"x"}]}}]}`, ""},
	{"a document without an identifier", `{"resourceType":"Bundle","type":"document","timestamp":"2031-05-03T14:00:00Z","entry":[{"fullUrl":"https://other.example/Composition/1","resource":{"resourceType":"Composition","id":"1","status":"final","type":{"text":"x"},"date":"2031-05-03","title":"x","author":[{"display":"x"}]}}]}`, "document-form"},
	{"a bundle of nothing", `{"resourceType":"Bundle","type":"searchset","total":0}`, ""},
	{"a bundle that ends before it starts", `{"resourceType":"Bundle","type":"searchset","identifier":{"period":{"start":"2031","end":"2030"}}}`, "period-backward"},
}

func TestDocumentsOfOthersAreJudgedByWhatTheStandardSays(t *testing.T) {
	for _, row := range foreigns {
		t.Run(row.name, func(t *testing.T) {
			spoken := map[string]bool{}
			found := audit.Check("f.json", []byte(row.text), audit.Options{})
			for _, f := range found {
				if f.Rule != "narrative-missing" { // of most here
					spoken[f.Rule] = true
				}
			}
			for _, rule := range strings.Fields(row.rules) {
				if !spoken[rule] {
					t.Errorf("%s is not found", rule)
				}
				delete(spoken, rule)
			}
			if len(spoken) > 0 {
				for _, f := range found {
					t.Error(f.Text(true))
				}
			}
		})
	}
}

func TestWhatIsSaidOfAPersonIsNotShown(t *testing.T) {
	for _, text := range []string{
		`{"resourceType":"Patient","birthDate":"2031-02-30"}`,
		`{"resourceType":"Observation","status":"final","code":{"text":"x"},"contained":[{"resourceType":"Patient","id":"p","birthDate":"2031-02-30"}],"subject":{"reference":"#p"}}`,
		`{"resourceType":"Observation","status":"final","code":{"text":"x"},"effectiveDateTime":"on 2031-02-30 at home"}`,
	} {
		for _, f := range audit.Check("f.json", []byte(text), audit.Options{}) {
			if strings.Contains(f.Text(false), "02-30") {
				t.Error(f.Text(false))
			}
		}
	}
}

// fromServer gives a bundle as a server would answer a search: under ids of its own,
// and without requests.
func fromServer(t *testing.T, name string) node {
	t.Helper()
	b := parse(t, golden(t, name))
	b["type"] = "searchset"
	kinds := map[string]string{}
	for _, e := range list(b, "entry") {
		e := e.(node)
		r := e["resource"].(node)
		id := strings.TrimPrefix(e["fullUrl"].(string), "urn:uuid:")
		kind := r["resourceType"].(string)
		kinds[id] = kind
		r["id"], e["fullUrl"] = id, "https://record.example/fhir/"+kind+"/"+id
		delete(e, "request")
	}
	uuid := regexp.MustCompile(`urn:uuid:([0-9a-f-]{36})`)
	text := uuid.ReplaceAllFunc(format(t, b), func(ref []byte) []byte {
		id := strings.TrimPrefix(string(ref), "urn:uuid:")
		return []byte(kinds[id] + "/" + id)
	})
	text = regexp.MustCompile(`"Patient\?[^"]*"`).ReplaceAll(text, []byte(`"Patient/1"`))
	return parse(t, text)
}

func TestResourcesOfASessionElsewhereAreJudgedOneByOne(t *testing.T) {
	for _, name := range []string{"01-plain-infant", "17-excluded-injection", "series-4-withdrawn"} {
		b := fromServer(t, name)
		for _, f := range audit.Check(name, format(t, b), audit.Options{}) {
			if f.Rule != "session-in-part" {
				t.Error(f.Text(true))
			}
		}
		for _, f := range audit.Check(name, format(t, res(b, flow)), audit.Options{}) {
			if f.Rule != "session-in-part" {
				t.Error(f.Text(true))
			}
		}
	}
}

func TestASearchShowsWhatIsInTheRecordTwice(t *testing.T) {
	b := fromServer(t, "01-plain-infant")
	again := clone(entry(b, flow))
	at(again, "resource")["id"] = "other"
	again["fullUrl"] = "https://record.example/fhir/Observation/other"
	b["entry"] = append(list(b, "entry"), again)
	if found := audit.Check("b.json", format(t, b), audit.Options{}); !has(found, "identity-twice") {
		t.Error(found)
	}
}
