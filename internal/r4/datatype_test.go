package r4_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/r4"
)

func TestANumberIsAPlainDecimalAsWritten(t *testing.T) {
	for _, good := range []string{"0", "-0.5", "0.610", "12", "0.000", strings.Repeat("9", 40)} {
		if n, err := r4.Number(good); err != nil || n != json.Number(good) {
			t.Errorf("%s became %s (%v)", good, n, err)
		}
	}
	for _, bad := range []string{"", " 1", "1 ", "1e3", "1E-2", "+1", ".5", "5.", "01", "-", "NaN", "Inf", "0x1", "1,5", "1_0", "٣", "1\n", strings.Repeat("9", 41)} {
		if n, err := r4.Number(bad); err == nil || n != "" {
			t.Errorf("%q became %q; an error is wanted", bad, n)
		}
	}
}

func TestAQuantityAlwaysHasValueUnitSystemAndCode(t *testing.T) {
	q, err := r4.Quantity("0.610", "litre per minute", "L/min")
	if err != nil || *q.Value != "0.610" || *q.Unit != "litre per minute" || *q.System != "http://unitsofmeasure.org" || *q.Code != "L/min" || q.Comparator != nil {
		t.Errorf("got %+v, %v", q, err)
	}
	for _, c := range [][3]string{{"", "u", "c"}, {"1", "", "c"}, {"1", "u", ""}, {"1e1", "u", "c"}} {
		if q, err := r4.Quantity(c[0], c[1], c[2]); err == nil || q != nil {
			t.Errorf("%q became %+v", c, q)
		}
	}
}

func TestSampledDataNeedsWhatR4Requires(t *testing.T) {
	origin := must(r4.Quantity("0", "millimole per litre", "mmol/L"))
	compared := *origin
	compared.Comparator = new(fhir.QuantityComparatorLessThan)
	for name, s := range map[string]r4.Samples{
		"no origin":   {PeriodMS: "10", Data: "1"},
		"comparator":  {Origin: &compared, PeriodMS: "10", Data: "1"},
		"no period":   {Origin: origin, Data: "1"},
		"no data":     {Origin: origin, PeriodMS: "10"},
		"bad factor":  {Origin: origin, PeriodMS: "10", Data: "1", Factor: "x"},
		"lower limit": {Origin: origin, PeriodMS: "10", Data: "1", LowerLimit: "1e3"},
		"upper limit": {Origin: origin, PeriodMS: "10", Data: "1", UpperLimit: "+1"},
	} {
		if d, err := r4.SampledData(s); err == nil {
			t.Errorf("%s: became %+v", name, d)
		}
	}
}

func TestAnExtensionCarriesOneValue(t *testing.T) {
	for want, e := range map[string]fhir.Extension{
		`{"url":"u","valueQuantity":{"value":1,"unit":"second","system":"http://unitsofmeasure.org","code":"s"}}`: r4.ExtensionQuantity("u", must(r4.Quantity("1", "second", "s"))),
	} {
		if got, err := json.Marshal(e); err != nil || string(got) != want {
			t.Errorf("got  %s (%v)\nwant %s", got, err, want)
		}
	}
}

func TestANarrativeHoldsTheWordsAndNoMarkupOfTheirs(t *testing.T) {
	n := must(r4.Line(`a <b> & "c" 'd'` + "\x01\uFFFE\xff"))
	if want := `<div xmlns="http://www.w3.org/1999/xhtml">a &lt;b&gt; &amp; "c" 'd'` + "\uFFFD\uFFFD\uFFFD</div>"; n.Div != want || n.Status != fhir.NarrativeStatusGenerated {
		t.Errorf("got  %s\nwant %s", n.Div, want)
	}
	n = must(r4.Paragraphs("en", "one", "two & three"))
	if want := `<div xmlns="http://www.w3.org/1999/xhtml" lang="en" xml:lang="en"><p>one</p><p>two &amp; three</p></div>`; n.Div != want {
		t.Errorf("got  %s\nwant %s", n.Div, want)
	}
}

func TestALineIsAtMost160BytesAndNeverCut(t *testing.T) {
	full := strings.Repeat("x", 160-len(`<div xmlns="http://www.w3.org/1999/xhtml"></div>`))
	if n, err := r4.Line(full); err != nil || len(n.Div) != 160 {
		t.Errorf("got %v, %v", n, err)
	}
	for name, text := range map[string]string{"one byte more": full + "x", "escaped past it": full[1:] + "&", "empty": "", "blank": " \t", "two lines": "a\nb"} {
		if n, err := r4.Line(text); err == nil {
			t.Errorf("%s: became %s", name, n.Div)
		}
	}
	if _, err := r4.Paragraphs("en", "a", " "); err == nil {
		t.Error("an empty paragraph passed")
	}
	if _, err := r4.Paragraphs("en"); err == nil {
		t.Error("a narrative of nothing passed")
	}
}

// RFC 9562, appendix A.4: UUID version 5 of www.example.com in the DNS namespace.
func TestUUIDGivesTheExampleOfTheStandard(t *testing.T) {
	if got, want := r4.UUID(r4.NamespaceDNS, "www.example.com"), "2ed6657d-e927-568b-95e1-2665a8aea6a2"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if got := r4.UUID(r4.NamespaceDNS, "saltmark.example"); got != r4.Namespace {
		t.Errorf("the namespace would be %s, and is %s", got, r4.Namespace)
	}
	for _, bad := range []string{"", "x", strings.ReplaceAll(r4.NamespaceDNS, "-", ""), r4.NamespaceDNS + "0"} {
		if got := r4.UUID(bad, "a"); got != "" {
			t.Errorf("namespace %q gave %s", bad, got)
		}
	}
}

func TestAnIdentifierValueNeedsNoEscapes(t *testing.T) {
	for _, good := range []string{"S-2031-4/flow.1_a", "0", "A"} {
		if err := r4.CheckIdentifierValue(good); err != nil {
			t.Errorf("%s: %v", good, err)
		}
	}
	for _, bad := range []string{"", "a b", "a|b", "a,b", "a$b", `a\b`, "a%7Cb", "ä", "a:b", "a\n", "a~b"} {
		if err := r4.CheckIdentifierValue(bad); err == nil {
			t.Errorf("%q passed", bad)
		}
		if _, err := r4.Identifier("https://hospital.example", bad); err == nil {
			t.Errorf("%q passed", bad)
		}
	}
	for _, bad := range []string{"", "a|b", "a b"} {
		if _, err := r4.Identifier(bad, "1"); err == nil {
			t.Errorf("system %q passed", bad)
		}
	}
}

// RFC 3986, sections 2.1 and 2.3; the bar as %7C is what R4's search page allows
// beside a raw one.
func TestASearchValueIsEscapedWhole(t *testing.T) {
	for in, want := range map[string]string{
		"https://h.example/s|S-1/f_2": "https%3A%2F%2Fh.example%2Fs%7CS-1%2Ff_2",
		"a b&c=d+e":                   "a%20b%26c%3Dd%2Be",
		"ä,$\\":                       "%C3%A4%2C%24%5C",
		"":                            "",
	} {
		if got := string(r4.AppendSearch(nil, in)); got != want {
			t.Errorf("%q: %s, want %s", in, got, want)
		}
	}
}

func TestAReferenceOfEachKindSaysOneThing(t *testing.T) {
	id := must(r4.Identifier("urn:x", "1"))
	for want, ref := range map[string]fhir.Reference{
		`{"reference":"urn:uuid:u"}`:                                     r4.ReferenceURN("u"),
		`{"reference":"Device/d"}`:                                       r4.ReferenceLiteral("Device", "d"),
		`{"type":"Patient","identifier":{"system":"urn:x","value":"1"}}`: r4.ReferenceLogical("Patient", id),
	} {
		if got, err := json.Marshal(ref); err != nil || string(got) != want {
			t.Errorf("got  %s (%v)\nwant %s", got, err, want)
		}
	}
}
