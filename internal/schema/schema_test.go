package schema

import (
	"strings"
	"sync"
	"testing"

	"github.com/xeipuuv/gojsonschema"

	"saltmark/internal/source"
)

// sheet is a schema of the kind that the program embeds, with every keyword in it
// that the package has words for.
const sheet = `{"$schema":"http://json-schema.org/draft-07/schema#","type":"object","additionalProperties":false,"required":["session"],
"properties":{
  "session":{"type":"string","pattern":"^S-[0-9]+$","description":"S- and digits are wanted"},
  "bare":{"type":"string","pattern":"^b+$"},
  "state":{"type":"string","enum":["open","closed","not looked for"]},
  "kind":{"const":"dilution"},
  "level":{"enum":[1,"two",null]},
  "injections":{"type":"array","minItems":1,"maxItems":2,"uniqueItems":true,"items":{"$ref":"#/definitions/injection"}},
  "pair":{"type":"array","items":[{"type":"number"},{"type":"string"}],"additionalItems":false},
  "short":{"type":"string","minLength":2,"maxLength":3},
  "free":{"type":"object","minProperties":1,"maxProperties":2,"patternProperties":{"^x-":{"type":"string"}},"additionalProperties":{"type":"number"}},
  "never":false,
  "step":{"type":"number","multipleOf":0.25},
  "low":{"type":"number","exclusiveMinimum":0,"exclusiveMaximum":1},
  "share":{"type":"number","minimum":0,"maximum":100},
  "count":{"type":"integer"},
  "value":{"oneOf":[{"type":"string"},{"type":"object","required":["amount"],"properties":{"amount":{"type":"number"}}}]},
  "both":{"oneOf":[{"type":"number"},{"minimum":0}]},
  "any":{"anyOf":[{"type":"number","minimum":5},{"type":"boolean"}]},
  "all":{"allOf":[{"type":"string"},{"minLength":2}]},
  "not":{"not":{"type":"string"}},
  "when":{"type":"object","if":{"required":["a"]},"then":{"required":["b"]},"else":{"required":["c"]}},
  "beside":{"type":"object","dependencies":{"a":["b"]}}
},
"definitions":{"injection":{"type":"object","required":["number"],"additionalProperties":false,"properties":{"number":{"type":"integer","minimum":1},"volume":{"type":"string"},"temperature":{"type":["string","null"]}}}}}`

func compiled(t testing.TB) *Schema {
	s, err := Compile("sheet", []byte(sheet))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestAFaultOfEachKeywordIsSaidInOurWords(t *testing.T) {
	s := compiled(t)
	for _, c := range []struct{ member, want string }{
		{`"session":1`, `schema-type /session: session is the number "1"; text is wanted`},
		{`"session":"s"`, `schema-pattern /session: session is the text "s"; S- and digits are wanted`},
		{`"bare":"c"`, `schema-pattern /bare: bare is the text "c"; it must match the pattern ^b+$`},
		{`"state":"clossed"`, `schema-enum /state: state is the text "clossed"; one of "open", "closed", "not looked for" is wanted; the nearest is "closed"`},
		{`"kind":"other"`, `schema-enum /kind: kind is the text "other"; "dilution" is wanted`},
		{`"level":2`, `schema-enum /level: level is the number "2"; one of "1", "two", "null" is wanted`},
		{`"injectoins":[]`, `schema-unknown-element /injectoins: the document has a member "injectoins" that is not known here; did you mean "injections"?`},
		{`"injections":[]`, `schema-empty /injections: injections is empty; leave it out or fill it in`},
		{`"injections":[{"number":1},{"number":2},{"number":3}]`, `schema-count /injections: injections is a list; at most 2 items are wanted`},
		{`"injections":[{"number":1},{"number":1}]`, `schema-unique /injections: injections holds the same item at 0 and 1; each item may stand once`},
		{`"injections":[{"volume":"2.5 mL"}]`, `schema-required /injections/0: injections[0] has no "number"; it must be given`},
		{`"injections":[{"number":1,"volum":"2.5 mL"}]`, `schema-unknown-element /injections/0/volum: injections[0] has a member "volum" that is not known here; did you mean "volume"?`},
		{`"injections":[{"number":0}]`, `schema-range /injections/0/number: injections[0].number is the number "0"; at least 1 is wanted`},
		{`"injections":[{"number":1,"volume":null}]`, `schema-null /injections/0/volume: injections[0].volume is empty (null); text is wanted, or leave it out`},
		{`"injections":[{"number":null}]`, `schema-null /injections/0/number: injections[0].number is empty (null); a whole number in digits alone is wanted`},
		{`"injections":[{"number":1,"temperature":4}]`, `schema-type /injections/0/temperature: injections[0].temperature is the number "4"; text is wanted`},
		{`"pair":[1,"a",2]`, `schema-count /pair: pair has more items than are known here`},
		{`"pair":["a"]`, `schema-type /pair/0: pair[0] is the text "a"; a number is wanted`},
		{`"short":"a"`, `schema-length /short: short is the text "a"; at least 2 characters are wanted`},
		{`"short":"abcd"`, `schema-length /short: short is the text "abcd"; at most 3 characters are wanted`},
		{`"free":{}`, `schema-empty /free: free is empty; leave it out or fill it in`},
		{`"free":{"a":1,"b":2,"c":3}`, `schema-count /free: free is an object; at most 2 members are wanted`},
		{`"free":{"x-a":1}`, `schema-type /free/x-a: free.x-a is the number "1"; text is wanted`},
		{`"free":{"a":"b"}`, `schema-type /free/a: free.a is the text "b"; a number is wanted`},
		{`"never":1`, `schema-unknown-element /never: never may not be given here`},
		{`"step":0.3`, `schema-range /step: step is the number "0.3"; a multiple of 0.25 is wanted`},
		{`"low":0`, `schema-range /low: low is the number "0"; more than 0 is wanted`},
		{`"low":1`, `schema-range /low: low is the number "1"; less than 1 is wanted`},
		{`"share":100.5`, `schema-range /share: share is the number "100.5"; at most 100 is wanted`},
		{`"count":1.5`, `schema-type /count: count is the number "1.5"; a whole number in digits alone is wanted`},
		{`"value":1`, `schema-type /value: value is the number "1"; text or an object is wanted`},
		{`"value":{}`, `schema-required /value: value has no "amount"; it must be given`},
		{`"both":1`, `schema-alternatives /both: both is the number "1"; it fits none, or more than one, of the forms that are known here`},
		{`"any":4`, `schema-range /any: any is the number "4"; at least 5 is wanted`},
		{`"all":"a"`, `schema-length /all: all is the text "a"; at least 2 characters are wanted`},
		{`"not":"a"`, `schema-alternatives /not: not is the text "a"; it fits none, or more than one, of the forms that are known here`},
		{`"when":{"a":1}`, `schema-required /when: when has no "b"; it must be given`},
		{`"when":{"d":1}`, `schema-required /when: when has no "c"; it must be given`},
		{`"beside":{"a":1}`, `schema-required /beside: beside has no "b"; another member given here asks for it`},
	} {
		text := `{` + c.member + `}`
		if !strings.HasPrefix(c.member, `"session"`) {
			text = `{"session":"S-1",` + c.member + `}`
		}
		if got := strings.TrimSpace(lines(s.Check(read(t, text)))); got != c.want {
			t.Errorf("%s:\ngot  %s\nwant %s", c.member, got, c.want)
		}
	}
	if got, want := lines(s.Check(read(t, `{}`))), "schema-required : the document has no \"session\"; it must be given\n"; got != want {
		t.Errorf("got %s", got)
	}
	if got := lines(s.Check(read(t, `{"session":"S-1","share":100.0,"step":-0.50,"value":"x","level":null,"injections":[{"number":1,"temperature":null}]}`))); got != "" {
		t.Errorf("a good one has\n%s", got)
	}
}

func TestAnUnknownFaultGetsAGeneralSentence(t *testing.T) {
	doc := read(t, `{"a":1}`)
	f := fault{kind: "of another version", path: []string{"a"}}
	got := f.finding(scene{doc: doc, path: f.path, outline: newOutline([]byte(sheet), nil)})
	if got.Rule != "schema-other" || got.Place.Pointer != "/a" || got.Sentence(true) != "a does not have the form that is wanted here" {
		t.Errorf("got %+v", got)
	}
}

// wild builds a node that source would have refused, as another maker of trees might.
func wild(number string) *source.Node {
	return &source.Node{Kind: source.Object, Members: []source.Member{
		{Name: "session", Value: &source.Node{Kind: source.Number, Text: number}},
		{Name: "share", Value: &source.Node{Kind: source.Number, Text: number}},
	}}
}

func TestAWildNumberNeverReachesTheLibrary(t *testing.T) {
	s := compiled(t)
	for _, number := range []string{"1e1000000", "1E400", "1e-331", "1e99999999999999999999", strings.Repeat("9", 41), "0." + strings.Repeat("0", 39)} {
		doc := &source.Document{Name: "wild.json", Root: wild(number)}
		list := s.CheckNode(doc, doc.Root, "")
		if len(list) != 2 || list[0].Rule != "schema-number" || list[1].Rule != "schema-number" || list[1].Place.Pointer != "/share" {
			t.Errorf("%.20s: got\n%s", number, lines(list))
		}
		fhir := &source.Document{Name: "wild.json", Root: &source.Node{Kind: source.Object, Members: []source.Member{
			{Name: "resourceType", Value: &source.Node{Kind: source.String, Text: "Observation"}},
			{Name: "status", Value: &source.Node{Kind: source.Number, Text: number}},
			{Name: "code", Value: &source.Node{Kind: source.Object, Members: []source.Member{{Name: "text", Value: &source.Node{Kind: source.String, Text: "c"}}}}},
		}}}
		if list := CheckFHIR(fhir, nil); len(list) != 1 || list[0].Rule != "schema-number" {
			t.Errorf("%.20s: got\n%s", number, lines(list))
		}
	}
}

// The library fails on a bound when the number it gets is none (known of 1.2.0).
func TestAPanicOfTheLibraryIsAFinding(t *testing.T) {
	s := compiled(t)
	doc := &source.Document{Name: "bad.json", Root: &source.Node{Kind: source.Object, Members: []source.Member{
		{Name: "session", Value: &source.Node{Kind: source.String, Text: "S-1"}},
		{Name: "share", Value: &source.Node{Kind: source.Number, Text: "x"}},
	}}}
	list := s.Check(doc)
	if len(list) != 1 || list[0].Rule != "schema-unreadable" || !list.HasErrors() {
		t.Errorf("got\n%s", lines(list))
	}
}

func TestADocumentWithoutATreeIsNotJudged(t *testing.T) {
	doc := &source.Document{Name: "x"}
	if list := append(compiled(t).Check(doc), CheckFHIR(doc, nil)...); len(list) != 0 {
		t.Errorf("got\n%s", lines(list))
	}
}

func TestTheSameDocumentGivesTheSameFindingsInTheSameOrder(t *testing.T) {
	text := `{"session":7,"a":1,"b":2,"injections":[{"x":1,"y":2},{"number":"z"}],"value":[],"any":"x","all":1,"when":{}}`
	want := lines(compiled(t).Check(read(t, text)))
	for range 20 {
		if got := lines(compiled(t).Check(read(t, text))); got != want {
			t.Fatalf("got\n%s\nafter\n%s", got, want)
		}
	}
}

func TestOneSchemaServesManyAtOnce(t *testing.T) {
	s := Lazy("sheet", func() []byte { return []byte(sheet) })
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			if list := s.Check(read(t, `{"session":"S-1","sessoin":1}`)); len(list) != 1 {
				t.Errorf("got\n%s", lines(list))
			}
		})
	}
	wg.Wait()
}

func TestASchemaThatIsNoneIsRefused(t *testing.T) {
	for name, text := range map[string]string{
		"no JSON":            `{`,
		"no object":          `true`,
		"unknown type":       `{"type":"text"}`,
		"bad pattern":        `{"pattern":"("}`,
		"format":             `{"properties":{"a":{"format":"date-time"}}}`,
		"contains":           `{"definitions":{"a":{"contains":{}}}}`,
		"names":              `{"anyOf":[{"propertyNames":{}}]}`,
		"remote reference":   `{"items":[{"$ref":"https://elsewhere.example/a.json"}]}`,
		"file reference":     `{"allOf":[{"$ref":"file:///a.json"}]}`,
		"dangling reference": `{"items":{"$ref":"#/definitions/a"},"definitions":{}}`,
	} {
		if s, err := Compile(name, []byte(text)); err == nil || s != nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
		lazy := Lazy(name, func() []byte { return []byte(text) })
		if list := lazy.Check(read(t, `{}`)); lazy.Err() == nil || len(list) != 1 || list[0].Rule != "schema-unreadable" {
			t.Errorf("%s, lazily: %v\n%s", name, lazy.Err(), lines(list))
		}
	}
}

// TestAListOfWordsAsAPatternMeansTheSame compares the library's own enum with what
// adapt makes of it.
func TestAListOfWordsAsAPatternMeansTheSame(t *testing.T) {
	const list = `{"type":"string","enum":["<=","a.b","(","entered-in-error","x|y","$","\\d"]}`
	plain, err := gojsonschema.NewSchema(gojsonschema.NewStringLoader(list))
	if err != nil {
		t.Fatal(err)
	}
	ours, err := prepare("list", []byte(list), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range []any{"<=", "a.b", "aXb", "(", "entered-in-error", "entered-in-error ", "x|y", "x", "y", "$", "", `\d`, "1", "<=\n", nil, true} {
		want, err := plain.Validate(gojsonschema.NewRawLoader(v))
		if err != nil {
			t.Fatal(err)
		}
		if got, err := ours.judge(v); err != nil || (len(got) == 0) != want.Valid() {
			t.Errorf("%v: %v, %v; the library's own says %v", v, got, err, want.Valid())
		}
	}
}
