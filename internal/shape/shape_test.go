package shape_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/finding"
	"saltmark/internal/shape"
	"saltmark/internal/source"
)

func read(t testing.TB, text string) *source.Document {
	t.Helper()
	doc, found := source.ReadJSON("r.json", []byte(text), source.ResourceLimits())
	if found.HasErrors() {
		t.Fatal(found)
	}
	return doc
}

// told gives findings as rule, pointer and sentence.
func told(found finding.List) []string {
	var all []string
	for _, f := range found {
		all = append(all, f.Rule+" "+f.Place.Pointer+": "+f.Sentence(true))
	}
	return all
}

// within puts members into a resource that is else right.
var within = map[string]string{
	"Observation": `{"resourceType":"Observation","status":"final","code":{"text":"x"},{}}`,
	"Patient":     `{"resourceType":"Patient",{}}`,
	"Group":       `{"resourceType":"Group","type":"person","actual":true,{}}`,
	"Media":       `{"resourceType":"Media","status":"completed","content":{"title":"x"},{}}`,
	"Consent":     `{"resourceType":"Consent","status":"active","scope":{"text":"x"},"category":[{"text":"x"}],{}}`,
	"Claim":       `{"resourceType":"Claim",{}}`,
	"":            `{}`,
}

// faults are small resources with what is said of them; nothing where all is right.
var faults = []struct {
	name, kind, text string
	want             []string
}{
	{"a misspelt name", "Observation", `"valueQuantiy":{"value":1}`, []string{`schema-unknown-element /valueQuantiy: the document has a member "valueQuantiy" that is not known here; did you mean "valueQuantity"?`}},
	{"a type that the choice lacks", "Observation", `"valueDecimal":1`, []string{`schema-unknown-element /valueDecimal: the document has a member "valueDecimal" that is not known here; known are "valueQuantity", "valueCodeableConcept", "valueString", "valueBoolean", "valueInteger", "valueRange", "valueRatio", "valueSampledData", "valueTime", "valueDateTime", "valuePeriod"`}},
	{"a choice without its type", "Group", `"characteristic":[{"code":{"text":"x"},"exclude":false,"value":true}]`, []string{
		`element-missing /characteristic/0: Group.characteristic.value[x] is missing; FHIR R4 requires it`,
		`schema-unknown-element /characteristic/0/value: characteristic[0] has a member "value" that is not known here; known are "valueCodeableConcept", "valueBoolean", "valueQuantity", "valueRange", "valueReference"`}},
	{"a name in capitals", "Patient", `"Gender":"male"`, []string{`schema-unknown-element /Gender: the document has a member "Gender" that is not known here; did you mean "gender"?`}},
	{"an empty name", "Patient", `"":"x","_":{}`, []string{
		`schema-unknown-element /: the document has a member "" that is not known here; known are "identifier", "active", "name", "telecom", "gender", "birthDate", "deceasedBoolean", "deceasedDateTime", "address", "maritalStatus", "multipleBirthBoolean", "multipleBirthInteger" and 14 more`,
		`schema-unknown-element /_: the document has a member "_" that is not known here; known are "identifier", "_active", "name", "telecom", "_gender", "_birthDate", "_deceasedBoolean", "_deceasedDateTime", "address", "maritalStatus", "_multipleBirthBoolean", "_multipleBirthInteger" and 14 more`}},
	{"two values of a choice", "Observation", `"valueString":"x","valueInteger":1`, []string{`choice-twice /valueInteger: a second value[x]; one at the most`}},
	{"a value and its twin", "Observation", `"valueString":"x","_valueString":{"id":"a"}`, nil},
	{"a value and the twin of another", "Observation", `"_valueString":{"id":"a"},"valueInteger":1`, []string{`choice-twice /valueInteger: a second value[x]; one at the most`}},
	{"a list where one is wanted", "Observation", `"effectiveDateTime":["2031"]`, []string{`schema-type /effectiveDateTime: effectiveDateTime is a list; text is wanted`}},
	{"one where a list is wanted", "Patient", `"name":{"text":"x"}`, []string{`schema-type /name: name is an object; a list is wanted`}},
	{"a list of nothing", "Patient", `"name":[]`, []string{`schema-empty /name: name is empty; leave it out or fill it in`}},
	{"a required list of nothing", "", `{"resourceType":"Provenance","target":[],"recorded":"2031-05-03T14:00:00Z","agent":[{"who":{"display":"x"}}]}`, []string{`schema-empty /target: target is empty; it must be filled in`}},
	{"an object of nothing", "Patient", `"maritalStatus":{}`, []string{`schema-empty /maritalStatus: maritalStatus is empty; leave it out or fill it in`}},
	{"a text of nothing", "Patient", `"language":""`, []string{`schema-empty /language: language is empty; leave it out or fill it in`}},
	{"a null", "Patient", `"gender":null`, []string{`schema-null /gender: gender is empty (null); text is wanted, or leave it out`}},
	{"a null for an object", "Patient", `"name":[null]`, []string{`schema-null /name/0: name[0] is empty (null); null may stand in a list only where its twin with the underscore has a value at the same index`}},
	{"nulls beside their twins", "Patient", `"name":[{"given":[null,"x"],"_given":[{"id":"a"},null]}]`, nil},
	{"nulls on both sides", "Patient", `"name":[{"given":[null,"x"],"_given":[null,{"id":"a"}]}]`, []string{
		`schema-null /name/0/given/0: name[0].given[0] is empty (null); null may stand in a list only where its twin with the underscore has a value at the same index`,
		`schema-null /name/0/_given/0: name[0]._given[0] is empty (null); null may stand in a list only where its twin with the underscore has a value at the same index`}},
	{"lists of two lengths", "Patient", `"name":[{"given":["x"],"_given":[null,{"id":"a"}]}]`, []string{
		`field-list-length /name/0/_given: this list has 2 items, given has 1; one for each`}},
	{"a twin of an object", "Patient", `"_maritalStatus":{"id":"a"}`, []string{`schema-unknown-element /_maritalStatus: the document has a member "_maritalStatus" that is not known here; did you mean "maritalStatus"?`}},
	{"a twin that is a text", "Patient", `"_gender":"x"`, []string{`schema-type /_gender: _gender is the text "x"; an object is wanted`}},
	{"a twin that has a value", "Patient", `"_gender":{"value":"x"}`, []string{`schema-unknown-element /_gender/value: _gender has a member "value" that is not known here; known are "id", "extension"`}},
	{"a required value that its twin stands for", "", `{"resourceType":"Group","_type":{"extension":[{"url":"urn:x","valueCode":"x"}]},"actual":true}`, nil},
	{"a number as text", "Observation", `"valueQuantity":{"value":"1.0"}`, []string{`schema-type /valueQuantity/value: valueQuantity.value is the text "1.0"; a number is wanted`}},
	{"half a whole", "Patient", `"multipleBirthInteger":1.5`, []string{`schema-type /multipleBirthInteger: multipleBirthInteger is the number "1.5"; a whole number in digits alone is wanted`}},
	{"a whole in other digits", "Patient", `"multipleBirthInteger":1e0`, []string{`schema-type /multipleBirthInteger: multipleBirthInteger is the number "1e0"; a whole number in digits alone is wanted`}},
	{"a whole of 33 bits", "Patient", `"multipleBirthInteger":2147483648`, []string{`schema-range /multipleBirthInteger: multipleBirthInteger is the number "2147483648"; at most 2147483647 is wanted`}},
	{"a whole far below", "Patient", `"multipleBirthInteger":-99999999999999999999`, []string{`schema-range /multipleBirthInteger: multipleBirthInteger is the number "-99999999999999999999"; at least -2147483648 is wanted`}},
	{"none where one is the least", "Media", `"height":0`, []string{`schema-range /height: height is the number "0"; at least 1 is wanted`}},
	{"fewer than none", "Group", `"quantity":-1`, []string{`schema-range /quantity: quantity is the number "-1"; at least 0 is wanted`}},
	{"a day that no calendar has", "Patient", `"birthDate":"2031-02-30"`, []string{`time-not-real /birthDate: birthDate is "2031-02-30"; a date of the calendar is wanted, such as 2031-05-03`}},
	{"a time of day with an offset", "Observation", `"valueTime":"14:30:00Z"`, []string{`time-not-real /valueTime: valueTime is "14:30:00Z"; a time of day with seconds is wanted, for example 14:30:00`}},
	{"base64 that is not whole", "Media", `"note":[{"text":"x","extension":[{"url":"urn:x","valueBase64Binary":"YWI"}]}]`, []string{`schema-pattern /note/0/extension/0/valueBase64Binary: note[0].extension[0].valueBase64Binary is the text "YWI"; base64 in groups of four characters is wanted`}},
	{"a code with two spaces", "Patient", `"language":"a  b"`, []string{`schema-pattern /language: language is the text "a  b"; a code is wanted: no white space at its ends, one space at a time inside`}},
	{"a control character", "Patient", `"name":[{"text":"a\u0001"}]`, []string{`schema-control-character /name/0/text: name[0].text is "a\u0001", with a control character in it; of the control characters only tab, line feed and carriage return may stand in text`}},
	{"a code of no set", "Patient", `"gender":"m"`, []string{`binding-required /gender: Patient.gender is "m"; the value set administrative-gender has male, female, other, unknown`}},
	{"a code of a long set", "", `{"resourceType":"GraphDefinition","name":"X","status":"draft","start":"patient"}`, []string{`binding-required /start: GraphDefinition.start is "patient"; the value set resource-types has Account, ActivityDefinition, AdverseEvent, AllergyIntolerance, Appointment, AppointmentResponse, AuditEvent, Basic, Binary, BiologicallyDerivedProduct, BodyStructure, Bundle, CapabilityStatement, CarePlan, CareTeam, CatalogEntry, ChargeItem, ChargeItemDefinition, Claim, ClaimResponse and 128 more`}},
	{"a currency of no list", "Observation", `"extension":[{"url":"urn:x","valueMoney":{"value":1,"currency":"Euro"}}]`, []string{`binding-required /extension/0/valueMoney/currency: Money.currency is "Euro"; the value set currencies has codes of currencies (ISO 4217), for example EUR`}},
	{"a media type of one word", "", `{"resourceType":"Binary","contentType":"pdf"}`, []string{`binding-required /contentType: Binary.contentType is "pdf"; the value set mimetypes has media types, for example application/pdf`}},
	{"a language of no tag", "Observation", `"language":"en_GB"`, []string{`binding-required /language: Observation.language is "en_GB"; the value set all-languages has tags of languages, for example de or en-GB`}},
	{"a language of another system alone", "", `{"resourceType":"HealthcareService","communication":[{"coding":[{"system":"urn:x","code":"de"}]}]}`, []string{`binding-required /communication/0: HealthcareService.communication is "de"; the value set all-languages has tags of languages, for example de or en-GB`}},
	{"a language in words alone", "Patient", `"communication":[{"language":{"text":"Low German"}}]`, nil},
	{"a unit that UCUM has not", "", `{"resourceType":"RiskEvidenceSynthesis","status":"draft","population":{"display":"x"},"exposure":{"display":"x"},"outcome":{"display":"x"},"riskEstimate":{"unitOfMeasure":{"coding":[{"system":"http://unitsofmeasure.org","code":"mcg"}]}}}`, []string{`binding-required /riskEstimate/unitOfMeasure: RiskEvidenceSynthesis.riskEstimate.unitOfMeasure is "mcg"; the value set ucum-units has units of UCUM, for example L/min`}},
	{"a unit of UCUM", "", `{"resourceType":"RiskEvidenceSynthesis","status":"draft","population":{"display":"x"},"outcome":{"display":"x"},"riskEstimate":{"unitOfMeasure":{"coding":[{"system":"http://unitsofmeasure.org","code":"ug/kg"}]}}}`, nil},
	{"a concept of no set", "", `{"resourceType":"Condition","subject":{"display":"x"},"clinicalStatus":{"coding":[{"system":"http://terminology.hl7.org/CodeSystem/condition-clinical","code":"over"}]}}`, []string{`binding-required /clinicalStatus: Condition.clinicalStatus is "over"; the value set condition-clinical has active, recurrence, relapse, inactive, remission, resolved`}},
	{"a code of the set under another system", "", `{"resourceType":"Condition","subject":{"display":"x"},"clinicalStatus":{"coding":[{"system":"urn:x","code":"active"}]}}`, []string{`binding-required /clinicalStatus: Condition.clinicalStatus is "active"; the value set condition-clinical has active, recurrence, relapse, inactive, remission, resolved`}},
	{"a concept of the set and another", "", `{"resourceType":"Condition","subject":{"display":"x"},"clinicalStatus":{"coding":[{"system":"urn:x","code":"on"},{"system":"http://terminology.hl7.org/CodeSystem/condition-clinical","code":"active"}]}}`, nil},
	{"a subject of the wrong type", "Consent", `"patient":{"reference":"Group/1"}`, []string{`reference-type /patient: patient points to a resource of type "Group"; it may point to Patient`}},
	{"a subject of the wrong type by its word", "Consent", `"patient":{"type":"Group","display":"x"}`, []string{`reference-type /patient: patient points to a resource of type "Group"; it may point to Patient`}},
	{"a subject of the wrong type in a version elsewhere", "Consent", `"patient":{"reference":"https://x.example/fhir/Group/1/_history/2"}`, []string{`reference-type /patient: patient points to a resource of type "Group"; it may point to Patient`}},
	{"an address that is none of a resource", "Consent", `"patient":{"reference":"https://x.example/People/1"}`, nil},
	{"a contained subject of the wrong type", "Consent", `"patient":{"reference":"#g"},"contained":[{"resourceType":"Group","id":"g","type":"person","actual":true}]`, []string{`reference-type /patient: patient points to a resource of type "Group"; it may point to Patient`}},
	{"what contains it is of the wrong type", "Consent", `"contained":[{"resourceType":"Consent","id":"c","status":"active","scope":{"text":"x"},"category":[{"text":"x"}],"patient":{"reference":"#"}}]`, []string{`reference-type /contained/0/patient: patient points to a resource of type "Consent"; it may point to Patient`}},
	{"a contained resource of no type", "Patient", `"contained":[{"id":"a"}]`, []string{`schema-resource-type /contained/0: contained[0] has no resourceType; each resource names its type`}},
	{"a contained resource that is a text", "Patient", `"contained":["a"]`, []string{`schema-type /contained/0: contained[0] is the text "a"; a resource is wanted`}},
	{"a type misspelt", "", `{"resourceType":"Observaton"}`, []string{`schema-resource-type /resourceType: resourceType is "Observaton"; did you mean "Observation"?`}},
	{"a type that is abstract", "", `{"resourceType":"DomainResource"}`, []string{`schema-resource-type /resourceType: resourceType is "DomainResource"; the name of a resource type of FHIR R4 is wanted`}},
	{"a type that is a number", "", `{"resourceType":1}`, []string{`schema-resource-type /resourceType: resourceType is "1"; the name of a resource type of FHIR R4 is wanted`}},
	{"a type of a part", "Patient", `"maritalStatus":{"resourceType":"CodeableConcept","text":"x"}`, []string{`schema-unknown-element /maritalStatus/resourceType: maritalStatus has a member "resourceType" that is not known here; known are "coding", "text", "id", "extension"`}},
	{"no resource at all", "", `[1]`, []string{`schema-type : the document is a list; a resource is wanted`}},
	{"a part in a part of its own kind", "", `{"resourceType":"Questionnaire","status":"draft","item":[{"linkId":"1","type":"group","item":[{"linkId":"2","type":"grupe"}]}]}`, []string{`binding-required /item/0/item/0/type: Questionnaire.item.type is "grupe"; the value set item-type has group, display, question, boolean, decimal, integer, date, dateTime, time, string, text, url, choice, open-choice, attachment, reference, quantity`}},
	{"a resource in a parameter", "", `{"resourceType":"Parameters","parameter":[{"name":"x","resource":{"resourceType":"Patient","sex":"x"}}]}`, []string{`schema-unknown-element /parameter/0/resource/sex: parameter[0].resource has a member "sex" that is not known here; known are "identifier", "active", "name", "telecom", "gender", "birthDate", "deceasedBoolean", "deceasedDateTime", "address", "maritalStatus", "multipleBirthBoolean", "multipleBirthInteger" and 14 more`}},
}

func TestEachFaultIsToldInItsWords(t *testing.T) {
	for _, row := range faults {
		t.Run(row.name, func(t *testing.T) {
			doc := read(t, strings.Replace(within[row.kind], "{}", row.text, 1))
			if diff := cmp.Diff(row.want, told(shape.Check(doc, shape.Options{}))); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestWhatTheDocumentHoldsDecidesOnTheTargetOfAReference(t *testing.T) {
	doc := read(t, strings.Replace(within["Consent"], "{}", `"patient":{"reference":"urn:uuid:1"}`, 1))
	for kind, faults := range map[string]int{"Patient": 0, "Group": 1, "": 0} {
		if list := shape.Check(doc, shape.Options{Resolve: func(string) string { return kind }}); len(list) != faults {
			t.Errorf("%q: %q", kind, told(list))
		}
	}
}

func TestEveryResourceIsToldWithItsPlace(t *testing.T) {
	doc := read(t, `{"resourceType":"Bundle","type":"collection","entry":[{"resource":{"resourceType":"Patient","contained":[{"resourceType":"Group","type":"person","actual":true}]}}]}`)
	var got []string
	shape.Check(doc, shape.Options{Each: func(kind string, n *source.Node, pointer func() string) {
		got = append(got, kind+" "+pointer())
	}})
	if diff := cmp.Diff([]string{"Bundle ", "Patient /entry/0/resource", "Group /entry/0/resource/contained/0"}, got); diff != "" {
		t.Error(diff)
	}
}

func TestWhatIsOfAPersonIsNotShown(t *testing.T) {
	for _, text := range []string{
		`{"resourceType":"Patient","birthDate":"2031-02-30"}`,
		`{"resourceType":"RelatedPerson","patient":{"display":"x"},"gender":"secret"}`,
		`{"resourceType":"Patient","name":"secret"}`,
		`{"resourceType":"Basic","code":{"text":"x"},"created":"by somebody secret"}`,
	} {
		found := shape.Check(read(t, text), shape.Options{})
		if len(found) == 0 {
			t.Errorf("%s: nothing is found", text)
		}
		for _, f := range found {
			if s := f.Sentence(false); strings.Contains(s, "secret") || strings.Contains(s, "02-30") {
				t.Error(s)
			}
		}
	}
}

func TestOfManyFaultsTheFirstAreTold(t *testing.T) {
	var b strings.Builder
	for range 100_000 {
		b.WriteString(`{"txt":"x"},`)
	}
	found := shape.Check(read(t, `{"resourceType":"Patient","name":[`+b.String()+`{"text":"x"}]}`), shape.Options{})
	if len(found) != 201 || !strings.Contains(found[0].Sentence(true), "99800 more") {
		t.Errorf("%d findings, %s", len(found), found[0].Sentence(true))
	}
}
