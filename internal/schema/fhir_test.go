package schema

import (
	"strings"
	"testing"
)

func TestResourcesOfEveryTypeOfTheCutPass(t *testing.T) {
	for name, text := range good {
		if got := lines(CheckFHIR(read(t, text), nil)); got != "" {
			t.Errorf("%s:\n%s", name, got)
		}
	}
	types := 0
	for _, judged := range fhirTypes() {
		if judged {
			types++
		}
	}
	if len(fhirTypes()) != 146 || types != 11 {
		t.Errorf("the cut names %d types and holds %d; R4's schema names 146, of which 11 are kept", len(fhirTypes()), types)
	}
}

// mutations change one thing of the sample bundle (or replace the document) and say
// what must be found: rule, pointer, sentence.
var mutations = []struct{ name, old, new, want string }{
	{"text for a quantity", `"valueQuantity":{"value":0.600,"unit":"litre per minute","system":"http://unitsofmeasure.org","code":"L/min"}`, `"valueQuantity":"0.61 L/min"`,
		`schema-type /entry/0/resource/valueQuantity: entry[0].resource.valueQuantity is the text "0.61 L/min"; an object is wanted`},
	{"no resourceType", `{"resourceType":"Observation",`, `{`,
		`schema-resource-type /entry/0/resource: entry[0].resource has no resourceType; each resource names its type`},
	{"misspelt resourceType", `"resourceType":"Observation"`, `"resourceType":"Observaton"`,
		`schema-resource-type /entry/0/resource/resourceType: entry[0].resource.resourceType is "Observaton"; did you mean "Observation"?`},
	{"resourceType of another kind", `"resourceType":"Observation"`, `"resourceType":7`,
		`schema-resource-type /entry/0/resource/resourceType: entry[0].resource.resourceType is "7"; the name of a resource type of FHIR R4 is wanted`},
	{"type that is not kept", `"resourceType":"Observation"`, `"resourceType":"Medication"`,
		`schema-resource-unchecked /entry/0/resource/resourceType: entry[0].resource is of type "Medication"; its content was not judged`},
	{"resource of text", `"resource":`, `"resource":"x","link":`,
		`schema-type /entry/0/resource: entry[0].resource is the text "x"; a resource is wanted
schema-type /entry/0/link: entry[0].link is an object; a list is wanted`},
	{"misspelt element", `"derivedFrom":`, `"derivedfrom":`,
		`schema-unknown-element /entry/0/resource/derivedfrom: entry[0].resource has a member "derivedfrom" that is not known here; did you mean "derivedFrom"?`},
	{"unknown element", `"display":"Operator"`, `"wholly":"Operator"`,
		`schema-unknown-element /entry/0/resource/performer/0/wholly: entry[0].resource.performer[0] has a member "wholly" that is not known here; known are "display", "extension", "id", "identifier", "reference", "type"`},
	{"unknown element of the bundle", `"type":"transaction",`, `"type":"transaction","typ":1,`,
		`schema-unknown-element /typ: the document has a member "typ" that is not known here; did you mean "type"?`},
	{"null for a text", `"status":"preliminary"`, `"status":null`,
		`schema-null /entry/0/resource/status: entry[0].resource.status is empty (null); text is wanted, or leave it out`},
	{"null in a list of objects", `"partOf":[`, `"partOf":[null,`,
		`schema-null /entry/0/resource/partOf/0: entry[0].resource.partOf[0] is empty (null); null may stand in a list only where its twin with the underscore has a value at the same index`},
	{"null for an entry", `"entry":[`, `"entry":[null,`,
		`schema-null /entry/0: entry[0] is empty (null); an object is wanted, or leave it out`},
	{"empty text", `"display":"Operator"`, `"display":""`,
		`schema-empty /entry/0/resource/performer/0/display: entry[0].resource.performer[0].display is empty; leave it out or fill it in`},
	{"empty address", `"type":"Practitioner"`, `"type":""`,
		`schema-empty /entry/0/resource/performer/0/type: entry[0].resource.performer[0].type is empty; leave it out or fill it in`},
	{"empty list", `"partOf":[{"reference":"urn:uuid:0b1e9d0e-55a5-5b6c-8d4f-6d7c3c3d2f10"}]`, `"partOf":[]`,
		`schema-empty /entry/0/resource/partOf: entry[0].resource.partOf is empty; leave it out or fill it in`},
	{"empty object", `"device":{"reference":"urn:uuid:0b1e9d0e-55a5-5b6c-8d4f-6d7c3c3d2f11"}`, `"device":{}`,
		`schema-empty /entry/0/resource/device: entry[0].resource.device is empty; leave it out or fill it in`},
	{"object for a list", `"partOf":[{"reference":"urn:uuid:0b1e9d0e-55a5-5b6c-8d4f-6d7c3c3d2f10"}]`, `"partOf":{"reference":"x"}`,
		`schema-type /entry/0/resource/partOf: entry[0].resource.partOf is an object; a list is wanted`},
	{"unknown status", `"status":"preliminary"`, `"status":"prelimnary"`,
		`schema-enum /entry/0/resource/status: entry[0].resource.status is the text "prelimnary"; one of "registered", "preliminary", "final", "amended", "corrected", "cancelled", "entered-in-error", "unknown" is wanted; the nearest is "preliminary"`},
	{"number for a code", `"status":"preliminary"`, `"status":1E60`,
		`schema-type /entry/0/resource/status: entry[0].resource.status is the number "1E60"; text is wanted`},
	{"space at the end of a code", `"code":"L/min"`, `"code":"L/min "`,
		`schema-pattern /entry/0/resource/valueQuantity/code: entry[0].resource.valueQuantity.code is the text "L/min "; a code is wanted: no white space at its ends, one at a time inside`},
	{"date without zone", `14:00:00+02:00`, `14:00:00`,
		`schema-pattern /entry/0/resource/effectiveDateTime: entry[0].resource.effectiveDateTime is the text "2031-04-02T14:00:00"; a date is wanted, or a date and a time with seconds and offset, for example 2031-04-02T14:30:00+02:00`},
	{"space in an address", `"urn:uuid:0b1e9d0e-55a5-5b6c-8d4f-6d7c3c3d2f11"`, `"x","type":"a b"`,
		`schema-pattern /entry/0/resource/device/type: entry[0].resource.device.type is the text "a b"; an address without white space is wanted`},
	{"text for a decimal", `"value":0.600`, `"value":"0.600"`,
		`schema-type /entry/0/resource/valueQuantity/value: entry[0].resource.valueQuantity.value is the text "0.600"; a number is wanted`},
	{"no code", `"code":{"coding":[{"system":"https://saltmark.example/fhir/CodeSystem/measure","code":"blood-flow","display":"Blood flow"}],"text":"Blood flow"},`, ``,
		`schema-required /entry/0/resource: entry[0].resource has no "code"; it must be given`},
	{"unknown verb", `"method":"PUT"`, `"method":"put"`,
		`schema-enum /entry/0/request/method: entry[0].request.method is the text "put"; one of "GET", "HEAD", "POST", "PUT", "DELETE", "PATCH" is wanted; the nearest is "PUT"`},
	{"form feed in text", `"display":"Operator"`, `"display":"Opera\ftor"`,
		`schema-control-character /entry/0/resource/performer/0/display: entry[0].resource.performer[0].display is "Opera\u000ctor", with a control character in it; of the control characters only tab, line feed and carriage return may stand in text`},
	{"half for a positiveInt", ``, sampled(`1.5`), positive("1.5")},
	{"one with a fraction for a positiveInt", ``, sampled(`1.0`), positive("1.0")},
	{"one with an exponent for a positiveInt", ``, sampled(`1e0`), positive("1e0")},
	{"zero for a positiveInt", ``, sampled(`0`),
		`schema-range /valueSampledData/dimensions: valueSampledData.dimensions is the number "0"; at least 1 is wanted`},
	{"text for a boolean", ``, `{"resourceType":"Practitioner","active":"true"}`,
		`schema-type /active: active is the text "true"; true or false is wanted`},
	{"unpaired null", ``, `{"resourceType":"Patient","name":[{"given":["a",null],"_given":[{"id":"x"},null]}]}`,
		`schema-null /name/0/given/1: name[0].given[1] is empty (null); null may stand in a list only where its twin with the underscore has a value at the same index
schema-null /name/0/_given/1: name[0]._given[1] is empty (null); null may stand in a list only where its twin with the underscore has a value at the same index`},
	{"null in a list without twin", ``, `{"resourceType":"Patient","name":[{"given":[null]}]}`,
		`schema-null /name/0/given/0: name[0].given[0] is empty (null); null may stand in a list only where its twin with the underscore has a value at the same index`},
	{"twin of text", ``, `{"resourceType":"Patient","_birthDate":"x"}`,
		`schema-type /_birthDate: _birthDate is the text "x"; an object is wanted`},
	{"fault in a contained resource", ``, `{"resourceType":"Procedure","subject":{"display":"d"},"contained":[{"resourceType":"Device"},{"resourceType":"Patient","gender":"x"}]}`,
		`schema-enum /contained/1/gender: contained[1].gender is the text "x"; one of "male", "female", "other", "unknown" is wanted`},
	{"fault in an outcome", ``, `{"resourceType":"Bundle","type":"transaction-response","entry":[{"response":{"status":"200","outcome":{"resourceType":"OperationOutcome"}}}]}`,
		`schema-required /entry/0/response/outcome: entry[0].response.outcome has no "issue"; it must be given`},
	{"a list", ``, `[]`, `schema-type : the document is a list; a resource is wanted`},
	{"name that is no plain one", ``, `{"resourceType":"Practitioner","a/~{}\u202e":1}`,
		`schema-unknown-element /a~1~0{}` + "\u202e" + `: the document has a member "a/~{}\u202e" that is not known here; known are "active", "address", "birthDate", "communication", "contained", "extension", "gender", "id", "identifier", "implicitRules", "language", "meta" and 7 more`},
}

func sampled(dimensions string) string {
	return `{"resourceType":"Observation","status":"final","code":{"text":"c"},"valueSampledData":{"origin":{"value":0},"period":1,"dimensions":` + dimensions + `,"data":"1"}}`
}

func positive(found string) string {
	return `schema-type /valueSampledData/dimensions: valueSampledData.dimensions is the number "` + found + `"; a whole number in digits alone is wanted`
}

func mutate(t testing.TB, old, new string) string {
	if old == "" {
		return new
	}
	text := bundle(1)
	if strings.Count(text, old) == 0 {
		t.Fatalf("the sample has no %s", old)
	}
	return strings.Replace(text, old, new, 1)
}

func TestEachWrongThingIsFoundWhereItStands(t *testing.T) {
	for _, m := range mutations {
		list := CheckFHIR(read(t, mutate(t, m.old, m.new)), nil)
		got := strings.TrimSpace(lines(list))
		for _, f := range list {
			if f.Place.Line == 0 || f.Place.Column == 0 || f.Place.File != "test.json" {
				t.Errorf("%s: no line or column at %+v", m.name, f.Place)
			}
		}
		if got != m.want {
			t.Errorf("%s:\ngot  %s\nwant %s", m.name, got, m.want)
		}
	}
}

func TestValuesOfFindingsArePrivate(t *testing.T) {
	for _, m := range mutations {
		for _, f := range CheckFHIR(read(t, mutate(t, m.old, m.new)), nil) {
			names := f.Rule == "schema-unknown-element" || f.Rule == "schema-required" || strings.HasPrefix(f.Rule, "schema-resource")
			if !f.Private && f.Value != "" && !names {
				t.Errorf("%s: the value of %s is shown", m.name, f.Rule)
			}
		}
	}
}

func TestOneResourceOfABundleIsJudgedAlone(t *testing.T) {
	doc := read(t, strings.Replace(bundle(3), `"status":"preliminary"`, `"status":"x"`, -1))
	list := CheckResource(doc, doc.Find("/entry/1/resource"), "/entry/1/resource", nil)
	if len(list) != 1 || list[0].Place.Pointer != "/entry/1/resource/status" {
		t.Errorf("got\n%s", lines(list))
	}
	if all := CheckFHIR(doc, nil); len(all) != 3 {
		t.Errorf("the whole has\n%s", lines(all))
	}
}
