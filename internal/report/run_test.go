package report

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/finding"
	"saltmark/mapping/record"
)

// fewItems is an invented run with one document of each outcome, and characters that
// must not come out raw.
func fewItems() []Item {
	return []Item{
		{Name: "a.yaml", Session: "demo-1", Outcome: Charted, Status: record.Preliminary, Flow: "Qs", Written: New,
			Held: []Reason{{"stale-assessment", "enter the shunt findings"}}, Withheld: map[string]int{"shunt-rule": 2},
			Findings: finding.List{{Rule: "odd", Severity: finding.Warning, Place: finding.Place{File: "a.yaml", Line: 2}, Found: "it is {}", Value: "x<y & \"z\""}}},
		{Name: "b\x1b\u202e]]>.yaml", Outcome: Refused,
			Findings: finding.List{
				{Rule: "first", Severity: finding.Error, Place: finding.Place{File: "b.yaml", Line: 1}, Found: "the patient is {}", Value: "Ada", Private: true},
				{Rule: "second", Severity: finding.Error, Found: "a\nb"},
			}},
		{Name: "c.ndjson", Line: 7, Outcome: Failed, Failure: errors.New(`cannot open "c" <now>`)},
	}
}

func runText(t *testing.T, path string, head Head, end End, items ...Item) string {
	t.Helper()
	form, _, err := RunFormOf(path)
	if err != nil {
		t.Fatal(err)
	}
	run := NewRun(form, head)
	for _, i := range items {
		if err := run.Add(i); err != nil {
			t.Fatal(err)
		}
	}
	var b bytes.Buffer
	if err := run.Finish(&b, end); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

var someHead = Head{Command: "chart", Version: "1.2.3", MeasuresHash: "aa", SettingsHash: "bb", DryRun: true, FailOn: finding.Error}

func TestARunInJSON(t *testing.T) {
	want := `{"report":"saltmark-run","version":1,"command":"chart","program":{"name":"saltmark","version":"1.2.3","measuresSha256":"aa","settingsSha256":"bb"},"dryRun":true,"stopped":"interrupted","failOn":"error","counts":{"documents":4,"notReached":1,"failing":1,"outcomes":{"charted":1,"failed":1,"refused":1},"findings":{"error":2,"information":0,"warning":1},"errors":{"first":1,"second":1},"statuses":{"preliminary":1},"held":{"stale-assessment":1},"flows":{"Qs":1},"withheld":{"shunt-rule":2},"files":{"new":1}},
"documents":[
{"name":"a.yaml","session":"demo-1","outcome":"charted","status":"preliminary","flow":"Qs","held":["stale-assessment"],"withheld":{"shunt-rule":2},"file":"new","findings":[{"rule":"odd","severity":"warning","place":{"file":"a.yaml","line":2},"found":"it is \"x<y & \\\"z\\\"\""}]},
{"name":"b\u001b\u202e]]>.yaml","outcome":"refused","findings":[{"rule":"first","severity":"error","place":{"file":"b.yaml","line":1},"found":"the patient is (value not shown)","valueHidden":true},{"rule":"second","severity":"error","place":{},"found":"a\nb"}]},
{"name":"c.ndjson","line":7,"outcome":"failed","failure":"cannot open \"c\" <now>","findings":[]},
{"name":"d.yaml","outcome":"not-reached","findings":[]}
]}
`
	got := runText(t, "run.json", someHead, End{Stopped: "interrupted", Missed: []string{"d.yaml"}}, fewItems()...)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if !json.Valid([]byte(got)) {
		t.Error("it is no JSON")
	}
}

func TestARunInJUnit(t *testing.T) {
	want := `<?xml version="1.0" encoding="UTF-8"?>
<testsuites name="saltmark chart" tests="4" failures="1" errors="1">
 <testsuite name="saltmark chart" tests="4" failures="1" errors="1" skipped="1">
  <properties>
   <property name="version" value="1.2.3"/>
   <property name="measures-sha256" value="aa"/>
   <property name="settings-sha256" value="bb"/>
   <property name="fail-on" value="error"/>
   <property name="stopped" value="interrupted"/>
   <property name="dry-run" value="yes"/>
  </properties>
  <testcase classname="saltmark chart" name="a.yaml">
   <system-out>session demo-1
status preliminary
flow Qs
held stale-assessment: enter the shunt findings
file new
a.yaml:2 odd warning: it is &#34;x&lt;y &amp; \&#34;z\&#34;&#34;</system-out>
  </testcase>
  <testcase classname="saltmark chart" name="b\u001b\u202e]]&gt;.yaml">
   <failure type="first" message="the patient is (value not shown)">b.yaml:1 first error: the patient is (value not shown)
second error: a
b</failure>
  </testcase>
  <testcase classname="saltmark chart" name="c.ndjson:7">
   <error type="failed" message="cannot open &#34;c&#34; &lt;now&gt;"/>
  </testcase>
  <testcase classname="saltmark chart" name="d.yaml">
   <skipped message="not reached"/>
  </testcase>
 </testsuite>
</testsuites>
`
	got := runText(t, "run.XML", someHead, End{Stopped: "interrupted", Missed: []string{"d.yaml"}}, fewItems()...)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// junit is what the common readers take from JUnit XML.
type junit struct {
	XMLName  xml.Name `xml:"testsuites"`
	Tests    int      `xml:"tests,attr"`
	Failures int      `xml:"failures,attr"`
	Errors   int      `xml:"errors,attr"`
	Suites   []struct {
		Name    string `xml:"name,attr"`
		Tests   int    `xml:"tests,attr"`
		Skipped int    `xml:"skipped,attr"`
		Cases   []struct {
			Name    string     `xml:"name,attr"`
			Failure []struct{} `xml:"failure"`
			Error   []struct{} `xml:"error"`
			Skipped []struct{} `xml:"skipped"`
		} `xml:"testcase"`
	} `xml:"testsuite"`
}

// The counts of the head are those of the cases, whatever is reported.
func TestJUnitCountsItsCases(t *testing.T) {
	for _, limit := range []finding.Severity{finding.Warning, finding.Error} {
		head := someHead
		head.FailOn = limit
		text := runText(t, "run.xml", head, End{Missed: []string{"x", "y"}}, append(fewItems(), ward()...)...)
		var got junit
		if err := xml.Unmarshal([]byte(text), &got); err != nil {
			t.Fatal(err)
		}
		failures, errors, skipped := 0, 0, 0
		for _, c := range got.Suites[0].Cases {
			failures, errors, skipped = failures+len(c.Failure), errors+len(c.Error), skipped+len(c.Skipped)
		}
		if n := len(got.Suites[0].Cases); n != got.Tests || n != got.Suites[0].Tests || failures != got.Failures || errors != got.Errors || skipped != got.Suites[0].Skipped {
			t.Errorf("%v: %d cases, %d failures, %d errors, %d skipped; the head says %+v", limit, n, failures, errors, skipped, got)
		}
		if limit == finding.Warning && failures != 8 || limit == finding.Error && failures != 6 {
			t.Errorf("%v: %d failures", limit, failures)
		}
	}
}

func TestAReportOfARunShowsNoPrivateValueAndNoControlCharacter(t *testing.T) {
	for _, ending := range RunEndings() {
		text := runText(t, "run"+ending, someHead, End{Stopped: "a\x00b"}, append(fewItems(), Item{Name: "d", Outcome: Refused, Findings: invented()})...)
		if strings.Contains(text, "Ada") {
			t.Errorf("%s shows the value: %s", ending, text)
		}
		if at := strings.IndexFunc(strings.ReplaceAll(text, "\n", ""), unprintable); at >= 0 {
			t.Errorf("%s: byte %d of %q", ending, at, text)
		}
	}
}

func TestAReportOfNothingIsWhole(t *testing.T) {
	if text := runText(t, "run.json", someHead, End{}); !json.Valid([]byte(text)) || !strings.Contains(text, `"outcomes":{}`) {
		t.Error(text)
	}
	var got junit
	if err := xml.Unmarshal([]byte(runText(t, "run.xml", someHead, End{})), &got); err != nil || got.Tests != 0 {
		t.Errorf("%+v, %v", got, err)
	}
}

func TestAnotherEndingIsNoReport(t *testing.T) {
	for _, path := range []string{"run", "run.txt", "run.json.gz", "", "text:run.json.txt", "json", "json:"} {
		if form, _, err := RunFormOf(path); err == nil || !strings.HasPrefix(err.Error(), "a file that ends in .json, .xml, ") {
			t.Errorf("%q: %s, %v", path, form.Name, err)
		}
	}
}

func TestAWordOrAnEndingTellsTheForm(t *testing.T) {
	for argument, want := range map[string][2]string{
		"a.json": {"json", "a.json"}, "a.XML": {"junit", "a.XML"}, "a.sarif": {"sarif", "a.sarif"}, "a.sarif.json": {"sarif", "a.sarif.json"},
		"junit:a.json": {"junit", "a.json"}, "sarif:out": {"sarif", "out"}, "C:\\a.json": {"json", "C:\\a.json"},
	} {
		if form, path, err := RunFormOf(argument); err != nil || form.Name != want[0] || path != want[1] {
			t.Errorf("%s: %s %s %v", argument, form.Name, path, err)
		}
	}
}

func TestMilderFindingsAreLeftOutAndStillCountForTheWorst(t *testing.T) {
	var b bytes.Buffer
	w, err := NewWriter(&b, JSON, Options{AtLeast: finding.Error})
	if err != nil {
		t.Fatal(err)
	}
	err = errors.Join(w.Add(finding.Finding{Rule: "odd", Severity: finding.Warning, Found: "x"}), w.Close())
	if err != nil || b.String() != "[]\n" || w.Worst() != finding.Warning || w.Count() != 0 {
		t.Errorf("%q, worst %v, %v", b.String(), w.Worst(), err)
	}
}
