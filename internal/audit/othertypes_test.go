package audit

import (
	"strings"
	"testing"
)

// ofOthers are resources of types that this program does not write, behind the resourceType
// with what stands in braces: for each invariant some that break it and some at its border
// that keep it. FHIR R4 4.0.1.
var ofOthers = []struct{ kind, key, bad, good string }{
	{"AllergyIntolerance", "ait-1", `"patient":{"display":"x"}|"patient":{"display":"x"},"verificationStatus":{"text":"entered-in-error"}`, `"patient":{"display":"x"},` + wrongAllergy + `|"patient":{"display":"x"},"_clinicalStatus":{}`},
	{"AllergyIntolerance", "ait-2", `"patient":{"display":"x"},"clinicalStatus":{"text":"x"},` + wrongAllergy, `"patient":{"display":"x"},` + wrongAllergy},
	{"Appointment", "app-2", `"status":"proposed",` + taker + `,"start":"2031-05-03T14:00:00Z"|"status":"proposed",` + taker + `,"end":"2031-05-03T14:00:00Z"`, `"status":"proposed",` + taker},
	{"Appointment", "app-3", `"status":"booked",` + taker, `"status":"waitlist",` + taker + `|"status":"booked",` + taker + `,"start":"2031-05-03T14:00:00Z","end":"2031-05-03T14:00:00Z"`},
	{"Appointment", "app-4", `"status":"proposed",` + taker + `,"cancelationReason":{"text":"x"}`, `"status":"cancelled",` + taker + `,"cancelationReason":{"text":"x"}`},
	{"Appointment", "app-1", `"status":"proposed","participant":[{"status":"accepted"}]`, `"status":"proposed","participant":[{"type":[{"text":"x"}],"status":"accepted"}]`},
	{"AppointmentResponse", "apr-1", `"appointment":{"display":"x"},"participantStatus":"accepted"`, `"appointment":{"display":"x"},"participantStatus":"accepted","actor":{"display":"x"}`},
	{"AuditEvent", "sev-1", events + `"entity":[{"name":"x","query":"YWJj"}]`, events + `"entity":[{"query":"YWJj"}]`},
	{"CarePlan", "cpl-3", planned + `"activity":[{"reference":{"display":"x"},"detail":{"status":"scheduled"}}]`, planned + `"activity":[{"detail":{"status":"scheduled"}}]`},
	{"Condition", "con-1", ill + `"stage":[{"type":{"text":"x"}}]`, ill + `"stage":[{"assessment":[{"display":"x"}]}]`},
	{"Condition", "con-2", ill + `"evidence":[{"id":"a"}]`, ill + `"evidence":[{"code":[{"text":"x"}]}]`},
	{"Condition", "con-4", ill + `"abatementString":"x"|` + ill + `"abatementDateTime":"2031","clinicalStatus":{"coding":[{"system":"http://terminology.hl7.org/CodeSystem/condition-clinical","code":"active"}]}`, ill + `"abatementAge":{"value":1,"system":"http://unitsofmeasure.org","code":"a"},"clinicalStatus":{"coding":[{"system":"http://terminology.hl7.org/CodeSystem/condition-clinical","code":"remission"}]}`},
	{"Condition", "con-5", ill + `"clinicalStatus":{"coding":[{"system":"http://terminology.hl7.org/CodeSystem/condition-clinical","code":"active"}]},` + wrongCondition, ill + wrongCondition},
	{"Consent", "ppc-1", `"status":"active","scope":{"text":"x"},"category":[{"text":"x"}]`, `"status":"active","scope":{"text":"x"},"category":[{"text":"x"}],"policyRule":{"text":"x"}`},
	{"CoverageEligibilityResponse", "ces-1", eligible + `"insurance":[{"coverage":{"display":"x"},"item":[{"name":"x"}]}]|` + eligible + `"insurance":[{"coverage":{"display":"x"},"item":[{"category":{"text":"x"},"productOrService":{"text":"x"}}]}]`, eligible + `"insurance":[{"coverage":{"display":"x"},"item":[{"category":{"text":"x"}}]}]`},
	{"FamilyMemberHistory", "fhs-1", family + `"ageString":"x","bornString":"x"`, family + `"bornString":"x"`},
	{"FamilyMemberHistory", "fhs-2", family + `"estimatedAge":true`, family + `"estimatedAge":true,"ageString":"x"`},
	{"Goal", "gol-1", goal + `"target":[{"detailString":"x"}]`, goal + `"target":[{"measure":{"text":"x"}}]`},
	{"Group", "grp-1", `"type":"person","actual":false,"member":[{"entity":{"display":"x"}}]`, `"type":"person","actual":true,"member":[{"entity":{"display":"x"}}]`},
	{"Immunization", "imm-1", vaccinated + `"education":[{"publicationDate":"2031"}]`, vaccinated + `"education":[{"reference":"https://ward.example/x"}]`},
	{"ImmunizationRecommendation", "imr-1", `"patient":{"display":"x"},"date":"2031","recommendation":[{"forecastStatus":{"text":"x"}}]`, `"patient":{"display":"x"},"date":"2031","recommendation":[{"targetDisease":{"text":"x"},"forecastStatus":{"text":"x"}}]`},
	{"InsurancePlan", "ipn-1", `"status":"active"`, `"name":"x"`},
	{"Linkage", "lnk-1", `"item":[{"type":"source","resource":{"display":"x"}}]`, `"item":[{"type":"source","resource":{"display":"x"}},{"type":"alternate","resource":{"display":"x"}}]`},
	{"List", "lst-1", `"status":"current","mode":"working","emptyReason":{"text":"x"},"entry":[{"item":{"display":"x"}}]`, `"status":"current","mode":"working","emptyReason":{"text":"x"}`},
	{"List", "lst-2", `"status":"current","mode":"working","entry":[{"item":{"display":"x"}},{"deleted":false,"item":{"display":"x"}}]`, `"status":"current","mode":"changes","entry":[{"deleted":true,"item":{"display":"x"}}]`},
	{"List", "lst-3", `"status":"current","mode":"changes","entry":[{"date":"2031","item":{"display":"x"}}]`, `"status":"current","mode":"working","entry":[{"date":"2031","item":{"display":"x"}}]`},
	{"Measure", "mea-1", `"status":"active","group":[{"stratifier":[{"id":"a"}]}]|"status":"active","group":[{"stratifier":[{"description":"x","component":[{"criteria":{"language":"text/cql","expression":"x"}}]}]}]`, `"status":"active","group":[{"stratifier":[{"description":"x","code":{"text":"x"}}]}]`},
	{"MeasureReport", "mrp-1", reported + `"type":"data-collection","group":[{"code":{"text":"x"}}]`, reported + `"type":"summary","group":[{"code":{"text":"x"}}]`},
	{"MeasureReport", "mrp-2", reported + `"type":"summary","group":[{"stratifier":[{"stratum":[{"measureScore":{"value":1}}]}]}]`, reported + `"type":"summary","group":[{"stratifier":[{"stratum":[{"value":{"text":"x"}}]}]}]`},
	{"MedicationAdministration", "mad-1", given + `"dosage":{"text":"x"}`, given + `"dosage":{"rateQuantity":{"value":1}}`},
	{"MedicationDispense", "mdd-1", `"status":"completed","medicationReference":{"display":"x"},"whenPrepared":"2031-05-03","whenHandedOver":"2031-05-02"`, `"status":"completed","medicationReference":{"display":"x"},"whenPrepared":"2031-05-03","whenHandedOver":"2031-05-03"`},
	{"MolecularSequence", "msq-3", `"coordinateSystem":2|"coordinateSystem":-1`, `"coordinateSystem":0|"coordinateSystem":1`},
	{"MolecularSequence", "msq-5", `"coordinateSystem":0,"referenceSeq":{"chromosome":{"text":"x"},"referenceSeqString":"x"}`, `"coordinateSystem":0,"referenceSeq":{"chromosome":{"text":"x"},"genomeBuild":"x"}`},
	{"MolecularSequence", "msq-6", `"coordinateSystem":0,"referenceSeq":{"windowStart":1}|"coordinateSystem":0,"referenceSeq":{"referenceSeqString":"x","referenceSeqId":{"text":"x"}}`, `"coordinateSystem":0,"referenceSeq":{"referenceSeqString":"x"}`},
	{"Organization", "org-1", `"active":true|"alias":["x"]`, `"name":"x"|"identifier":[{"value":"x"}]`},
	{"Organization", "org-2", `"name":"x","address":[{"use":"work","text":"x"},{"use":"home","text":"x"}]`, `"name":"x","address":[{"use":"work","text":"x"}]`},
	{"Organization", "org-3", `"name":"x","telecom":[{"use":"home","system":"phone","value":"1"}]`, `"name":"x","telecom":[{"use":"work","system":"phone","value":"1"}]`},
	{"Parameters", "inv-1", `"parameter":[{"name":"x"}]|"parameter":[{"name":"x","valueString":"a","part":[{"name":"y","valueString":"b"}]}]|"parameter":[{"name":"x","part":[{"name":"y"}]}]`, `"parameter":[{"name":"x","_valueString":{"extension":[{"url":"https://ward.example/e","valueCode":"x"}]}}]|"parameter":[{"name":"x","resource":{"resourceType":"Basic","code":{"text":"x"}}}]`},
	{"Questionnaire", "que-1", asked(`{"linkId":"a","type":"group"}`) + "|" + asked(`{"linkId":"a","type":"display","item":[{"linkId":"b","type":"display"}]}`), asked(`{"linkId":"a","type":"string","item":[{"linkId":"b","type":"display"}]}`)},
	{"Questionnaire", "que-2", asked(`{"linkId":"a","type":"group","item":[{"linkId":"a","type":"display"}]}`) + "|" + asked(`{"linkId":"a","type":"display"},{"linkId":"a","type":"display"}`), asked(`{"linkId":"a","type":"display"},{"linkId":"A","type":"display"}`)},
	{"Questionnaire", "que-3", asked(`{"linkId":"a","type":"display","code":[{"code":"x"}]}`), asked(`{"linkId":"a","type":"string","code":[{"code":"x"}]}`)},
	{"Questionnaire", "que-4", asked(`{"linkId":"a","type":"choice","answerOption":[{"valueInteger":1}],"answerValueSet":"https://ward.example/v"}`), asked(`{"linkId":"a","type":"choice","answerValueSet":"https://ward.example/v"}`)},
	{"Questionnaire", "que-5", asked(`{"linkId":"a","type":"boolean","answerOption":[{"valueInteger":1}]}`) + "|" + asked(`{"linkId":"a","type":"text","answerValueSet":"https://ward.example/v"}`), asked(`{"linkId":"a","type":"quantity","answerOption":[{"valueInteger":1}]}`)},
	{"Questionnaire", "que-6", asked(`{"linkId":"a","type":"display","required":false}`) + "|" + asked(`{"linkId":"a","type":"display","repeats":true}`), asked(`{"linkId":"a","type":"string","required":false}`)},
	{"Questionnaire", "que-7", asked(`{"linkId":"a","type":"string","enableWhen":[{"question":"b","operator":"exists","answerInteger":1}]}`), asked(`{"linkId":"a","type":"string","enableWhen":[{"question":"b","operator":"exists","answerBoolean":false}]}`)},
	{"Questionnaire", "que-8", asked(`{"linkId":"a","type":"group","item":[{"linkId":"b","type":"display"}],"initial":[{"valueInteger":1}]}`), asked(`{"linkId":"a","type":"integer","initial":[{"valueInteger":1}]}`)},
	{"Questionnaire", "que-9", asked(`{"linkId":"a","type":"display","readOnly":true}`), asked(`{"linkId":"a","type":"string","readOnly":true}`)},
	{"Questionnaire", "que-10", asked(`{"linkId":"a","type":"date","maxLength":5}`), asked(`{"linkId":"a","type":"boolean","maxLength":5}`)},
	{"Questionnaire", "que-11", asked(`{"linkId":"a","type":"integer","answerOption":[{"valueInteger":1}],"initial":[{"valueInteger":1}]}`), asked(`{"linkId":"a","type":"integer","answerOption":[{"valueInteger":1}]}`)},
	{"Questionnaire", "que-12", asked(`{"linkId":"a","type":"string","enableWhen":[` + thrice + `]}`), asked(`{"linkId":"a","type":"string","enableBehavior":"all","enableWhen":[` + thrice + `]}`)},
	{"Questionnaire", "que-13", asked(`{"linkId":"a","type":"integer","initial":[{"valueInteger":1},{"valueInteger":2}]}`), asked(`{"linkId":"a","type":"integer","repeats":true,"initial":[{"valueInteger":1},{"valueInteger":2}]}`)},
	{"QuestionnaireResponse", "qrs-1", `"status":"completed","item":[{"linkId":"a","answer":[{"valueInteger":1}],"item":[{"linkId":"b"}]}]`, `"status":"completed","item":[{"linkId":"a","answer":[{"valueInteger":1,"item":[{"linkId":"b"}]}]}]`},
	{"RequestGroup", "rqg-1", `"status":"active","intent":"plan","action":[{"title":"x"}]`, `"status":"active","intent":"plan","action":[{"resource":{"display":"x"}}]`},
	{"RiskAssessment", "ras-2", risk + `"prediction":[{"probabilityDecimal":100.1}]`, risk + `"prediction":[{"probabilityDecimal":100}]`},
	{"RiskAssessment", "ras-1", risk + `"prediction":[{"probabilityRange":{"low":{"value":1,"unit":"%"}}}]`, risk + `"prediction":[{"probabilityRange":{"high":{"value":1,"system":"http://unitsofmeasure.org","code":"%"}}}]`},
	{"ServiceRequest", "prr-1", `"status":"active","intent":"order","subject":{"display":"x"},"orderDetail":[{"text":"x"}]`, `"status":"active","intent":"order","subject":{"display":"x"},"orderDetail":[{"text":"x"}],"code":{"text":"x"}`},
}

const (
	wrongAllergy   = `"verificationStatus":{"coding":[{"system":"http://terminology.hl7.org/CodeSystem/allergyintolerance-verification","code":"entered-in-error"}]}`
	wrongCondition = `"verificationStatus":{"coding":[{"system":"http://terminology.hl7.org/CodeSystem/condition-ver-status","code":"entered-in-error"}]}`
	taker          = `"participant":[{"actor":{"display":"x"},"status":"accepted"}]`
	events         = `"type":{"code":"x"},"recorded":"2031-05-03T14:00:00Z","agent":[{"requestor":true}],"source":{"observer":{"display":"x"}},`
	planned        = `"status":"active","intent":"plan","subject":{"display":"x"},`
	ill            = `"subject":{"display":"x"},`
	eligible       = `"status":"active","purpose":["benefits"],"patient":{"display":"x"},"created":"2031","request":{"display":"x"},"outcome":"complete","insurer":{"display":"x"},`
	family         = `"status":"completed","patient":{"display":"x"},"relationship":{"text":"x"},`
	goal           = `"lifecycleStatus":"active","description":{"text":"x"},"subject":{"display":"x"},`
	vaccinated     = `"status":"completed","vaccineCode":{"text":"x"},"patient":{"display":"x"},"occurrenceString":"x",`
	reported       = `"status":"complete","measure":"https://ward.example/m","period":{"start":"2031"},`
	given          = `"status":"completed","medicationReference":{"display":"x"},"subject":{"display":"x"},"effectiveDateTime":"2031",`
	risk           = `"status":"final","subject":{"display":"x"},`
	thrice         = `{"question":"b","operator":"exists","answerBoolean":true},{"question":"c","operator":"exists","answerBoolean":true},{"question":"d","operator":"exists","answerBoolean":true}`
)

func asked(items string) string { return `"status":"active","item":[` + items + `]` }

// broken gives the keys of the invariants that an audit names.
func brokenKeys(t *testing.T, text string) map[string]bool {
	t.Helper()
	keys := map[string]bool{}
	for _, f := range Check("r.json", []byte(text), Options{}) {
		if f.Rule != "invariant-broken" {
			continue
		}
		_, key, _ := strings.Cut(f.Sentence(true), "(invariant ")
		key, _, _ = strings.Cut(key, " ")
		keys[key] = true
	}
	return keys
}

func TestInvariantsOfOtherTypesAreKept(t *testing.T) {
	tried := map[string]bool{}
	for _, row := range ofOthers {
		tried[row.key] = true
		for text := range strings.SplitSeq(row.bad, "|") {
			text = `{"resourceType":"` + row.kind + `",` + text + `}`
			if !brokenKeys(t, text)[row.key] {
				t.Errorf("%s is not told of %s", row.key, text)
			}
		}
		for text := range strings.SplitSeq(row.good, "|") {
			text = `{"resourceType":"` + row.kind + `",` + text + `}`
			if brokenKeys(t, text)[row.key] {
				t.Errorf("%s is told of %s", row.key, text)
			}
		}
	}
	for kind, all := range otherInvariants {
		for _, v := range all {
			if !tried[v.key] {
				t.Errorf("%s of %s is not tried", v.key, kind)
			}
		}
	}
}
