package source_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/source"
)

// readJSON reads a text that must be without fault.
func readJSON(t *testing.T, text string) *source.Document {
	t.Helper()
	doc, list := source.ReadJSON("t.json", []byte(text), source.ResourceLimits())
	if len(list) > 0 {
		t.Fatalf("%q: %q", text, told(list))
	}
	return doc
}

func TestJSONFaultsAreToldWithTheirPlace(t *testing.T) {
	const escapes = `escape error: an escape is not known or not whole; \" \\ \/ \b \f \n \r \t and \u with four hexadecimal digits, surrogates only in pairs`
	const open = `unclosed-text error: a text in quotes is not closed on its line; a closing quote on the same line, a line break inside being \n`
	const number = `; numbers are written as in 0.61, -3 or 1e5; quotes make it a text`
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"every duplicate name", "{\"a\":1,\n\"b\":{\"c\":1,\"c\":2},\n\"a\":2,\"\\u0061\":3}", []string{
			`t.json:2:12 duplicate-key error: key "c" is given again (first in line 2, column 6); each key of an object stands once @/b/c`,
			`t.json:3:1 duplicate-key error: key "a" is given again (first in line 1, column 2); each key of an object stands once @/a`,
			`t.json:3:7 duplicate-key error: key "a" is given again (first in line 1, column 2); each key of an object stands once @/a`,
		}},
		{"numbers too big", `[1e1000000,-1E-331,` + strings.Repeat("1", 41) + `,1e330]`, []string{
			`t.json:1:2 number-size error: a number has an exponent beyond 330; exponents from -330 to 330 @/0`,
			`t.json:1:12 number-size error: a number has an exponent beyond 330; exponents from -330 to 330 @/1`,
			`t.json:1:20 number-size error: a number has 41 characters; at most 40 characters @/2`,
		}},
		{"a hexadecimal number", `{"a": 0x1F}`, []string{`t.json:1:7 number-form error: a hexadecimal number stands here` + number + ` @/a`}},
		{"a leading zero", `[017]`, []string{`t.json:1:2 number-form error: a number with a leading zero stands here` + number + ` @/0`}},
		{"a plus sign", `[1, +1]`, []string{`t.json:1:5 number-form error: a number with a plus sign stands here` + number + ` @/1`}},
		{"no digit before the point", `[.5]`, []string{`t.json:1:2 number-form error: a number with no digit before or after the point stands here` + number + ` @/0`}},
		{"no digit after the point", `[5.]`, []string{`t.json:1:2 number-form error: a number with no digit before or after the point stands here` + number + ` @/0`}},
		{"not a number", `[NaN]`, []string{`t.json:1:2 number-form error: a not-a-number stands here` + number + ` @/0`}},
		{"infinity", `[-Infinity]`, []string{`t.json:1:2 number-form error: an infinity stands here` + number + ` @/0`}},
		{"a second value", "{}\n{}", []string{`t.json:2:1 one-document error: the text goes on after its value; one value in one text`}},
		{"a comma at the end", "{} ,", []string{`t.json:1:4 one-document error: the text goes on after its value; one value in one text`}},
		{"rubbish at the end", "{} x", []string{`t.json:1:4 one-document error: the text goes on after its value; one value in one text`}},
		{"nothing", " \n ", []string{`t.json:2:2 text-empty error: the text holds no value; one value is wanted`}},
		{"a byte order mark, and what else there is", "\xEF\xBB\xBF{\"a\":1,\"a\":2}", []string{
			`t.json:1:1 text-bom error: the text begins with a byte order mark; JSON begins with its value`,
			`t.json:1:8 duplicate-key error: key "a" is given again (first in line 1, column 2); each key of an object stands once @/a`,
		}},
		{"bytes that are not UTF-8", "[\"é\xE9\"]", []string{`t.json:1:4 text-encoding error: byte 0xE9 at offset 4 is not UTF-8; texts are UTF-8 @/0`}},
		{"a lone carriage return", "[1,\r2]", []string{
			`t.json:1:4 line-end error: a carriage return stands without a line feed (1 in the text); lines end in a line feed, alone or after a carriage return @/1`,
		}},
		{"a lone surrogate", `{"a":["\ud83d"]}`, []string{`t.json:1:8 ` + escapes + ` @/a/0`}},
		{"a low surrogate first", `["x\ude00\ud83d"]`, []string{`t.json:1:4 ` + escapes + ` @/0`}},
		{"an unknown escape", `{"a":"\q"}`, []string{`t.json:1:7 ` + escapes + ` @/a`}},
		{"an unknown escape in a name", `{"b":{"\q":1}}`, []string{`t.json:1:8 ` + escapes + ` @/b`}},
		{"an escaped U+0000", `{"a":"x\\u0000\u0000","\u0000":1}`, []string{
			`t.json:1:15 null-character error: the character U+0000 stands in the text; no text may hold it, raw or as an escape @/a`,
			`t.json:1:24 null-character error: the character U+0000 stands in the text; no text may hold it, raw or as an escape`,
		}},
		{"a raw U+0000", "[\"\x00\"]", []string{`t.json:1:3 null-character error: the character U+0000 stands in the text; no text may hold it, raw or as an escape @/0`}},
		{"a raw control character", "[\"\x01\"]", []string{`t.json:1:3 control-character error: control character U+0001 stands in the text; a string in double quotes may hold it as an escape @/0`}},
		{"a raw tab", "[\"\t\"]", []string{`t.json:1:3 control-character error: control character U+0009 stands in the text; a string in double quotes may hold it as an escape @/0`}},
		{"a line break in a string", "{\"a\":\"x\ny\"}", []string{`t.json:1:6 ` + open + ` @/a`}},
		{"quotes left open", `{"a":"x`, []string{`t.json:1:6 ` + open + ` @/a`}},
		{"a text cut short", `{"a":[1,`, []string{`t.json:1:9 syntax error: the text ends before its value is whole; a value is wanted @/a/1`}},
		{"a word cut short", `[tru`, []string{`t.json:1:5 syntax error: the text ends before its value is whole; a value or "]" is wanted @/0`}},
		{"a comma before a brace", `{"a":1,}`, []string{`t.json:1:7 syntax error: a comma stands before a closing bracket; no comma follows the last value`}},
		{"a comma before a bracket", `{"b":[1,]}`, []string{`t.json:1:8 syntax error: a comma stands before a closing bracket; no comma follows the last value @/b`}},
		{"a missing comma", `{"a":1 "b":2}`, []string{`t.json:1:8 syntax error: "\"" stands here; a comma or "}" is wanted`}},
		{"a missing comma in a list", `{"x":[1 2]}`, []string{`t.json:1:9 syntax error: a number stands here; a comma or "]" is wanted @/x`}},
		{"a missing colon", `{"a" 1}`, []string{`t.json:1:6 syntax error: a number stands here; a colon is wanted @/a`}},
		{"a second comma", `[1,,2]`, []string{`t.json:1:4 syntax error: "," stands here; a value is wanted @/1`}},
		{"a wrong bracket", `{"a":[1}`, []string{`t.json:1:8 syntax error: "}" stands here; a comma or "]" is wanted @/a`}},
		{"single quotes", `{'a':1}`, []string{`t.json:1:2 syntax error: "'" stands here; texts and names stand in double quotes`}},
		{"a comment", `{"a":1 // one` + "\n}", []string{`t.json:1:8 syntax error: "/" stands here; JSON has no comments`}},
		{"a name without quotes", `{a:1}`, []string{`t.json:1:2 syntax error: a word without quotes stands here; a name in double quotes or "}" is wanted`}},
		{"a number as a name", `{"b":1,1:1}`, []string{`t.json:1:8 syntax error: a number stands here; a name in double quotes is wanted`}},
		{"a word as a value", `{"a":yes}`, []string{`t.json:1:6 syntax error: a word without quotes stands here; a value is wanted @/a`}},
		{"a long name", `{"` + strings.Repeat("k", 300) + `":{"a":1,"a":2}}`, []string{
			`t.json:1:2 key-size error: a key has 300 bytes; at most 256 bytes`,
			`t.json:1:312 duplicate-key error: key "a" is given again (first in line 1, column 306); each key of an object stands once @//a`,
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			doc, list := source.ReadJSON("t.json", []byte(c.text), source.ResourceLimits())
			if diff := cmp.Diff(c.want, told(list)); diff != "" {
				t.Error(diff)
			}
			if doc == nil || doc.Root != nil {
				t.Error("a text with an error has a document and no tree")
			}
		})
	}
}

func TestJSONKeepsNumbersAsWritten(t *testing.T) {
	doc := readJSON(t, `[0.610, 1e5, -0, 1.50E+05, 0.0000000000000000000000000000001]`)
	want := []string{"0.610", "1e5", "-0", "1.50E+05", "0.0000000000000000000000000000001"}
	for i, n := range doc.Root.Items {
		if n.Kind != source.Number || n.Text != want[i] {
			t.Errorf("%v %q, want %q", n.Kind, n.Text, want[i])
		}
	}
}

func TestPlacesOfValuesAndNamesInJSON(t *testing.T) {
	doc := readJSON(t, "{\"é\": \"ü\",\r\n \"b\" : [ 1 ,\r\n22, {\"c\":null}]}")
	for pointer, want := range map[string]string{
		"":       "t.json:1:1",
		"/é":     "t.json:1:7",
		"/b":     "t.json:2:8",
		"/b/0":   "t.json:2:10",
		"/b/1":   "t.json:3:1",
		"/b/2":   "t.json:3:5",
		"/b/2/c": "t.json:3:10",
	} {
		if got := doc.Place(doc.Find(pointer), pointer).String(); got != want {
			t.Errorf("%s: %s, want %s", pointer, got, want)
		}
	}
	if got := doc.At(doc.Root.Members[1].Offset, "/b").String(); got != "t.json:2:2" {
		t.Errorf("name b: %s", got)
	}
}

// TestManyNamesAreComparedToo is about objects larger than those whose names are
// compared with one another.
func TestManyNamesAreComparedToo(t *testing.T) {
	for _, many := range []int{3, 40, 70} {
		var b strings.Builder
		for i := range many {
			b.WriteString(`"n` + strings.Repeat("x", i) + `":1,`)
		}
		if doc := readJSON(t, "{"+strings.TrimSuffix(b.String(), ",")+"}"); len(doc.Root.Members) != many {
			t.Errorf("%d members of %d", len(doc.Root.Members), many)
		}
		_, list := source.ReadJSON("t.json", []byte("{"+b.String()+`"nx":2}`), source.ResourceLimits())
		if len(list) != 1 || list[0].Rule != "duplicate-key" || list[0].Value != "nx" {
			t.Errorf("of %d: %q", many, told(list))
		}
	}
}

func TestReadTakesTheFormatFromNameAndText(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       source.Format
	}{
		{"a.yaml", "a: 1", source.YAML},
		{"a.yaml", " \n{\"a\": 1}", source.JSON},
		{"a.yaml", "[1]", source.JSON},
		{"a.JSON", "1", source.JSON},
		{"a", "\xEF\xBB\xBF{}", source.JSON},
		{"a", "- {}", source.YAML},
		{"a", "", source.YAML},
	} {
		if doc, _ := source.Read(c.name, []byte(c.text), source.SheetLimits()); doc.Format != c.want {
			t.Errorf("%s %q: %v", c.name, c.text, doc.Format)
		}
	}
}
