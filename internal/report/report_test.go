package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/finding"
	"saltmark/internal/language"
	fhirshape "saltmark/internal/shape" // a shape is a form of report here
)

// Invented findings: one in a sheet, one of a person, one in a bundle made from a
// sheet, one with every kind of character that must not come out raw.
func invented() finding.List {
	return finding.List{
		{
			Rule: "unit-dimension", Severity: finding.Error,
			Place: finding.Place{File: "ward3.yaml", Line: 14, Column: 11, Pointer: "/injections/0/volume"},
			Found: "injections[0].volume is {} (volume per time)", Value: "2.5 L/min", Allowed: `a volume is wanted, for example "2.5 mL"`,
		},
		finding.Finding{
			Rule: "patient-identifier", Severity: finding.Warning,
			Place: finding.Place{File: "ward3.yaml", Line: 3, Column: 1},
			Found: "the patient is {}", Value: "Ada <b>",
		}.Hide(),
		{
			Rule: "label-missing", Severity: finding.Info,
			Place:  finding.Place{File: "ward3.json", Pointer: "/entry/4/resource/component/0/valueQuantity"},
			Origin: finding.Place{File: "ward3.yaml", Line: 20, Column: 3},
			Found:  "the flow has no label",
		},
		{
			Rule: "unknown-key", Severity: finding.Error,
			Place: finding.Place{File: "a\x1b[31m\u202e\U000E0041.yaml", Line: 1},
			Found: "no key {}", Value: "x\u202e\n",
		},
	}
}

func written(t *testing.T, format Format, list finding.List, o Options) string {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, format, list, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestTextIsOneLineForEachFindingInTheOrderOfPlaces(t *testing.T) {
	want := `a\u001b[31m\u202e\udb40\udc41.yaml:1 unknown-key error: no key "x\u202e\u000a"
ward3.json#/entry/4/resource/component/0/valueQuantity label-missing information: the flow has no label (from ward3.yaml:20:3)
ward3.yaml:3:1 patient-identifier warning: the patient is (value not shown)
ward3.yaml:14:11 unit-dimension error: injections[0].volume is "2.5 L/min" (volume per time); a volume is wanted, for example "2.5 mL"
`
	if diff := cmp.Diff(want, written(t, Text, invented(), Options{})); diff != "" {
		t.Error(diff)
	}
}

func TestJSONHasNamesOfOurOwn(t *testing.T) {
	want := `[
{"rule":"unknown-key","severity":"error","place":{"file":"a\u001b[31m\u202e\udb40\udc41.yaml","line":1},"found":"no key \"x\\u202e\\u000a\""},
{"rule":"label-missing","severity":"information","place":{"file":"ward3.json","pointer":"/entry/4/resource/component/0/valueQuantity"},"origin":{"file":"ward3.yaml","line":20,"column":3},"found":"the flow has no label"},
{"rule":"patient-identifier","severity":"warning","place":{"file":"ward3.yaml","line":3,"column":1},"found":"the patient is (value not shown)","valueHidden":true},
{"rule":"unit-dimension","severity":"error","place":{"file":"ward3.yaml","line":14,"column":11,"pointer":"/injections/0/volume"},"found":"injections[0].volume is \"2.5 L/min\" (volume per time)","allowed":"a volume is wanted, for example \"2.5 mL\""}
]
`
	if diff := cmp.Diff(want, written(t, JSON, invented(), Options{})); diff != "" {
		t.Error(diff)
	}
}

func TestEscapesInJSONMeanTheTextThatStoodThere(t *testing.T) {
	var list []jsonFinding
	if err := json.Unmarshal([]byte(written(t, JSON, invented(), Options{})), &list); err != nil {
		t.Fatal(err)
	}
	if got, want := list[0].Place.File, "a\x1b[31m\u202e\U000E0041.yaml"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestEachJSONLineIsADocument(t *testing.T) {
	lines := strings.Split(strings.TrimSuffix(written(t, JSONLines, invented(), Options{}), "\n"), "\n")
	if len(lines) != len(invented()) {
		t.Fatalf("%d lines", len(lines))
	}
	for _, line := range lines {
		var r jsonFinding
		if err := json.Unmarshal([]byte(line), &r); err != nil || r.Rule == "" {
			t.Errorf("%s: %v", line, err)
		}
	}
}

func TestAPrivateValueIsHiddenInEveryFormUnlessAskedFor(t *testing.T) {
	for _, format := range Formats() {
		if hidden := written(t, Format(format), invented(), Options{}); strings.Contains(hidden, "Ada") {
			t.Errorf("%s shows the value: %s", format, hidden)
		}
		if shown := written(t, Format(format), invented(), Options{ShowValues: true}); !strings.Contains(shown, "Ada <b>") || strings.Contains(shown, "valueHidden") {
			t.Errorf("%s does not show the value: %s", format, shown)
		}
	}
}

func TestNoFormatLetsAControlOrBidiCharacterOut(t *testing.T) {
	for _, format := range Formats() {
		out := strings.ReplaceAll(written(t, Format(format), invented(), Options{ShowValues: true}), "\n", "")
		if i := strings.IndexFunc(out, unprintable); i >= 0 {
			t.Errorf("%s: byte %d of %q", format, i, out)
		}
	}
}

// Invented rules stand in no table, so the issue type is that of an unknown layer.
func TestOutcomeHasOneIssueForEachFinding(t *testing.T) {
	want := `{"resourceType":"OperationOutcome","language":"en","issue":[` +
		`{"severity":"warning","code":"processing","details":{"text":"the patient is (value not shown)"},"diagnostics":"rule patient-identifier at ward3.yaml:3:1"},` +
		`{"severity":"error","code":"invalid","details":{"text":"injections[0].volume is \"2.5 L/min\" (volume per time); a volume is wanted, for example \"2.5 mL\""},"diagnostics":"rule unit-dimension at ward3.yaml:14:11 (/injections/0/volume)"}]}` + "\n"
	if diff := cmp.Diff(want, written(t, OperationOutcome, invented()[:2], Options{})); diff != "" {
		t.Error(diff)
	}
}

// R4: OperationOutcome.issue is 1..*, severity, code and details are bound or typed
// as in its StructureDefinition.
func TestOutcomeWithoutFindingsStillHasAnIssue(t *testing.T) {
	var o struct {
		ResourceType string
		Issue        []issue
	}
	if err := json.Unmarshal([]byte(written(t, OperationOutcome, nil, Options{})), &o); err != nil {
		t.Fatal(err)
	}
	if o.ResourceType != "OperationOutcome" || len(o.Issue) != 1 || !slices.Contains(fhirshape.ValueSet("issue-type"), o.Issue[0].Code) || o.Issue[0].Severity != "information" {
		t.Errorf("%+v", o)
	}
}

func TestAListFormWithoutFindingsIsWhole(t *testing.T) {
	for _, c := range []struct {
		format Format
		want   string
	}{{Text, ""}, {JSON, "[]\n"}, {JSONLines, ""}} {
		if got := written(t, c.format, nil, Options{}); got != c.want {
			t.Errorf("%s: %q, want %q", c.format, got, c.want)
		}
	}
}

func TestEverySeverityIsACodeOfTheRequiredValueSet(t *testing.T) {
	for _, s := range []finding.Severity{0, finding.Info, finding.Warning, finding.Error} {
		if code := severityCode(s); !slices.Contains(fhirshape.ValueSet("issue-severity"), code) {
			t.Errorf("%v gives %q", s, code)
		}
	}
	if severityCode(0) != "error" {
		t.Error("an unset severity passes for harmless")
	}
}

func TestEveryLayerOfTheRulesHasAnIssueType(t *testing.T) {
	for _, r := range finding.Rules() {
		if _, ok := kindOf(r.Layer); !ok {
			t.Errorf("rules.md: %s is of layer %s, which has no line in internal/report/issues.tsv", r.ID, r.Layer)
		}
	}
	lines := 0
	for line := range strings.Lines(issuesText) {
		cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		if lines++; lines == 1 {
			continue
		}
		if len(cells) != 4 || !slices.Contains(fhirshape.ValueSet("issue-type"), cells[1]) || !slices.Contains([]string{"fhir", "text", "either"}, cells[2]) || cells[3] == "" {
			t.Errorf("issues.tsv: %q", cells)
		}
	}
	if len(kinds()) != lines-1 {
		t.Errorf("issues.tsv: %d layers on %d lines", len(kinds()), lines-1)
	}
}

func TestAPointerBecomesASimplePath(t *testing.T) {
	for _, c := range []struct{ root, pointer, want string }{
		{"Bundle", "/entry/3/resource/component/0/valueQuantity/unit", "Bundle.entry[3].resource.component[0].value.unit"},
		{"", "/entry/3/resource/status", "entry[3].resource.status"},
		{"Observation", "", "Observation"},
		{"", "", ""},
		{"Observation", "/effectiveDateTime", "Observation.effective"},
		{"Patient", "/name/0/_given/1/extension/0/valueString", "Patient.name[0].given[1].extension[0].value"},
		{"Observation", "/resourceType", "Observation"},
		{"Observation", "/not an element/0", "Observation"},
		{"Observation", "/Status", "Observation"},
		{"Observation", "/code/a~1b", "Observation.code"},
		{"Observation", "//code", "Observation"},
		{"", "/0/code", ""},
	} {
		if got := expression(c.root, c.pointer); got != c.want {
			t.Errorf("%s %s: %q, want %q", c.root, c.pointer, got, c.want)
		}
	}
}

func TestOnlyFindingsInResourcesGetAnExpression(t *testing.T) {
	inResource := finding.Place{Pointer: "/status"}
	inText := finding.Place{Line: 3, Pointer: "/status"}
	for _, c := range []struct {
		layer string
		place finding.Place
		root  string
		want  bool
	}{
		{"audit label", inResource, "", true},
		{"audit label", inText, "", true}, // a line of NDJSON
		{"schema", inResource, "", true},
		{"schema", inText, "", false}, // a sheet
		{"schema", inText, "Observation", true},
		{"sheet", inText, "Observation", false},
		{"no such layer", inResource, "Observation", false},
	} {
		kind, ok := kindOf(c.layer)
		if !ok {
			kind = fallback
		}
		if got := kind.leadsIntoFHIR(c.place, Options{Root: c.root}); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
	}
}

func TestAnIssueOfARuleHasTheTypeAndPathOfItsLayer(t *testing.T) {
	for _, r := range finding.Rules() {
		kind := issueOf(r.ID)
		item, err := issueItem(finding.Finding{Rule: r.ID, Severity: r.Severity, Place: finding.Place{Pointer: "/status"}, Found: "x"}, Options{Root: "Observation"})
		var i issue
		if err != nil || json.Unmarshal(item, &i) != nil {
			t.Fatalf("%s %v", item, err)
		}
		if i.Code != kind.code || i.Severity != r.Severity.String() || (len(i.Expression) == 1) != (kind.pointers != "text") {
			t.Errorf("%s of layer %s: %s", r.ID, r.Layer, item)
		}
	}
}

func TestWriteSortsACopy(t *testing.T) {
	list := invented()
	written(t, Text, list, Options{})
	if diff := cmp.Diff(invented(), list); diff != "" {
		t.Error(diff)
	}
}

func TestAWriterCountsAndKeepsTheOrderGiven(t *testing.T) {
	var b bytes.Buffer
	w, err := NewWriter(&b, Text, Options{})
	if err != nil {
		t.Fatal(err)
	}
	list := invented()
	if err := w.Add(list[2]); err != nil || w.Worst() != finding.Info {
		t.Errorf("%v, worst %v", err, w.Worst())
	}
	if err := w.Add(list[1], list[0]); err != nil || w.Worst() != finding.Error || w.Count() != 3 {
		t.Errorf("%v, worst %v, count %d", err, w.Worst(), w.Count())
	}
	if err := w.Close(); err != nil {
		t.Error(err)
	}
	if lines := strings.Split(b.String(), "\n"); !strings.HasPrefix(lines[0], "ward3.json") || !strings.HasPrefix(lines[1], "ward3.yaml:3:1") {
		t.Errorf("%q", lines)
	}
}

var errFull = errors.New("no space left")

type full struct{ writes int }

func (f *full) Write(p []byte) (int, error) { f.writes++; return 0, errFull }

func TestAnErrorOfTheOutputStaysAndStopsTheWriting(t *testing.T) {
	f := &full{}
	w, err := NewWriter(f, JSON, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := w.Add(invented()...); !errors.Is(err, errFull) {
		t.Errorf("add: %v", err)
	}
	if err := w.Close(); !errors.Is(err, errFull) || f.writes != 1 {
		t.Errorf("close: %v after %d writes", err, f.writes)
	}
}

func TestAFormatIsFoundByItsNameOnly(t *testing.T) {
	for _, name := range Formats() {
		if _, err := NewWriter(&bytes.Buffer{}, Format(name), Options{}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, name := range []Format{"", "xml", "Text"} {
		if _, err := NewWriter(&bytes.Buffer{}, name, Options{}); err == nil {
			t.Errorf("%q is a format", name)
		}
	}
}

// The rule, the place, the severity's code, the value, the number and the unit are
// the same in each language.
func TestFindingsAreSaidInGerman(t *testing.T) {
	list := finding.List{finding.Finding{
		Rule: "unit-dimension", Severity: finding.Error,
		Place:  finding.Place{File: "ward3.yaml", Line: 14, Column: 11, Pointer: "/loop/flow"},
		Origin: finding.Place{File: "a.yaml", Line: 2},
		Found:  finding.Say("{1} is {}{2}", finding.Data("loop.flow"), finding.Say(" ({1})", "mass")), Value: "2.5 kg",
		Allowed: finding.Say("{1} is wanted, {2}", finding.Say("a {1}", "volume per time"), finding.Say("for example {1}", finding.Quoted("2.5 mL/min"))),
	}}
	found, allowed := `loop.flow ist \"2.5 kg\" (Masse)`, `erwartet: Volumen pro Zeit, zum Beispiel \"2.5 mL/min\"`
	german := Options{Language: language.German}
	for format, want := range map[Format]string{
		Text: "ward3.yaml:14:11 unit-dimension Fehler: " + strings.ReplaceAll(found+"; "+allowed, `\"`, `"`) + " (aus a.yaml:2)\n",
		JSONLines: `{"rule":"unit-dimension","severity":"error","place":{"file":"ward3.yaml","line":14,"column":11,"pointer":"/loop/flow"},"origin":{"file":"a.yaml","line":2},` +
			`"found":"` + found + `","allowed":"` + allowed + `"}` + "\n",
		OperationOutcome: `{"resourceType":"OperationOutcome","language":"de","issue":[{"severity":"error","code":"invalid","details":{"text":"` + found + "; " + allowed + `"},` +
			`"diagnostics":"Regel unit-dimension bei ward3.yaml:14:11 (/loop/flow), aus a.yaml:2"}]}` + "\n",
	} {
		if diff := cmp.Diff(want, written(t, format, list, german)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", format, diff)
		}
	}
	if got := written(t, OperationOutcome, nil, german); !strings.Contains(got, "Es wurde nichts gefunden.") {
		t.Error(got)
	}
}

func TestNotesOfTheSameWordsAreWrittenAFewTimes(t *testing.T) {
	held := func(severity finding.Severity, line int, allowed finding.Text) finding.Finding {
		return finding.Finding{Rule: "held-preliminary", Severity: severity, Place: finding.Place{File: "a.yaml", Line: line}, Found: "held", Allowed: allowed}
	}
	var b bytes.Buffer
	w, err := NewWriter(&b, Text, Options{MostAlike: 2})
	if err != nil {
		t.Fatal(err)
	}
	for line := 1; line <= 4; line++ {
		w.Add(held(finding.Info, line, "one"), held(finding.Warning, 10+line, "one"))
	}
	w.Add(held(finding.Info, 5, "another"))
	want := `a.yaml:1 held-preliminary information: held; one
a.yaml:11 held-preliminary warning: held; one
a.yaml:2 held-preliminary information: held; one
a.yaml:12 held-preliminary warning: held; one
a.yaml:13 held-preliminary warning: held; one
a.yaml:14 held-preliminary warning: held; one
a.yaml:5 held-preliminary information: held; another
`
	if diff := cmp.Diff(want, b.String()); diff != "" || w.Omitted() != 2 || w.Count() != 7 {
		t.Errorf("%d omitted, %d written; - want, + got:\n%s", w.Omitted(), w.Count(), diff)
	}
}
