package source_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// told gives findings as the lines a person reads, each with its pointer.
func told(list finding.List) []string {
	var lines []string
	for _, f := range list {
		line := f.Text(false)
		if f.Place.Pointer != "" {
			line += " @" + f.Place.Pointer
		}
		lines = append(lines, line)
	}
	return lines
}

func TestYAMLFaultsAreToldWithTheirPlace(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"every duplicate key", "a: 1\nb:\n  c: 1\n  c: 2\na: 2\na: 3\n", []string{
			`t.yaml:4:3 duplicate-key error: key "c" is given again (first in line 3, column 3); each key of an object stands once @/b/c`,
			`t.yaml:5:1 duplicate-key error: key "a" is given again (first in line 1, column 1); each key of an object stands once @/a`,
			`t.yaml:6:1 duplicate-key error: key "a" is given again (first in line 1, column 1); each key of an object stands once @/a`,
		}},
		{"a quoted key is the same key", "{é: 1, \"\\u00e9\": 2}", []string{
			`t.yaml:1:8 duplicate-key error: key "é" is given again (first in line 1, column 2); each key of an object stands once @/é`,
		}},
		{"tags", "a: !!str 1\nb: [!x 2]\n", []string{
			`t.yaml:1:4 tag error: a tag stands here; quotes make a text, and nothing else is marked @/a`,
			`t.yaml:2:5 tag error: a tag stands here; quotes make a text, and nothing else is marked @/b/0`,
		}},
		{"a tag alone on its line", "!!map\na: 1\n", []string{
			`t.yaml:1:1 tag error: a tag stands here; quotes make a text, and nothing else is marked`,
		}},
		{"a merge key", "a: &x {b: 1}\nc:\n  <<: *x\n", []string{
			`t.yaml:3:3 merge-key error: a merge key stands here; keys are written out, or a whole value is repeated by an alias @/c`,
		}},
		{"numbers of other notations", "- 0x1F\n- 0o17\n- 017\n- 0b11\n- 1_000\n- .inf\n- -.Inf\n- .NaN\n- +1\n- .5\n- 5.\n- -01.5e3\n", []string{
			`t.yaml:1:3 number-form error: a hexadecimal number stands here; numbers are written as in 0.61, -3 or 1e5; quotes make it a text @/0`,
			`t.yaml:2:3 number-form error: an octal number stands here; numbers are written as in 0.61, -3 or 1e5; quotes make it a text @/1`,
			`t.yaml:3:3 number-form error: a number with a leading zero stands here; numbers are written as in 0.61, -3 or 1e5; quotes make it a text @/2`,
			`t.yaml:4:3 number-form error: a binary number stands here; numbers are written as in 0.61, -3 or 1e5; quotes make it a text @/3`,
			`t.yaml:5:3 number-form error: a number with underscores stands here; numbers are written as in 0.61, -3 or 1e5; quotes make it a text @/4`,
			`t.yaml:6:3 number-form error: an infinity stands here; numbers are written as in 0.61, -3 or 1e5; quotes make it a text @/5`,
			`t.yaml:7:3 number-form error: an infinity stands here; numbers are written as in 0.61, -3 or 1e5; quotes make it a text @/6`,
			`t.yaml:8:3 number-form error: a not-a-number stands here; numbers are written as in 0.61, -3 or 1e5; quotes make it a text @/7`,
			`t.yaml:9:3 number-form error: a number with a plus sign stands here; numbers are written as in 0.61, -3 or 1e5; quotes make it a text @/8`,
			`t.yaml:10:3 number-form error: a number with no digit before or after the point stands here; numbers are written as in 0.61, -3 or 1e5; quotes make it a text @/9`,
			`t.yaml:11:3 number-form error: a number with no digit before or after the point stands here; numbers are written as in 0.61, -3 or 1e5; quotes make it a text @/10`,
			`t.yaml:12:3 number-form error: a number with a leading zero stands here; numbers are written as in 0.61, -3 or 1e5; quotes make it a text @/11`,
		}},
		{"numbers too big", "a: 1e1000000\nb: 1e-61\nc: " + strings.Repeat("1", 41) + "\nd: 1e60\n", []string{
			`t.yaml:1:4 number-size error: a number has an exponent beyond 60; exponents from -60 to 60 @/a`,
			`t.yaml:2:4 number-size error: a number has an exponent beyond 60; exponents from -60 to 60 @/b`,
			`t.yaml:3:4 number-size error: a number has 41 characters; at most 40 characters @/c`,
		}},
		{"tabs in the indentation", "a:\n\tb: 1\nc:\n  -\td: 1\n", []string{
			`t.yaml:2:1 tab-indentation error: a tab stands in the indentation; lines are indented with spaces`,
			`t.yaml:4:4 tab-indentation error: a tab stands in the indentation; lines are indented with spaces`,
		}},
		{"a second document", "a: 1\n--- # again\na: 2\n", []string{
			`t.yaml:2:1 one-document error: the text goes on after its value; one value in one text`,
		}},
		{"text after the end", "a: 1\n...\nb: 2\n", []string{
			`t.yaml:3:1 one-document error: the text goes on after its value; one value in one text`,
		}},
		{"a second value", "just text\nand: more\n", []string{
			`t.yaml:2:1 one-document error: the text goes on after its value; one value in one text`,
		}},
		{"a value beside a document mark", "--- a\n", []string{
			`t.yaml:1:5 yaml-form error: the line of a document mark goes on; the document begins on the next line`,
		}},
		{"a directive", "%YAML 1.2\n---\na: 1\n", []string{
			`t.yaml:1:1 yaml-form error: a directive stands here; the document begins with its value`,
		}},
		{"nothing", "# only a comment\n---\n", []string{
			`t.yaml:3:1 text-empty error: the text holds no value; one value is wanted`,
		}},
		{"keys that are no texts", "1: a\ntrue: b\n~: c\n0x1: d\n", []string{
			`t.yaml:1:1 key-type error: a number stands as a key; keys are texts; quotes make it one`,
			`t.yaml:2:1 key-type error: a boolean stands as a key; keys are texts; quotes make it one`,
			`t.yaml:3:1 key-type error: a null stands as a key; keys are texts; quotes make it one`,
			`t.yaml:4:1 key-type error: a hexadecimal number stands as a key; keys are texts; quotes make it one`,
		}},
		{"a key after a question mark", "? a\n: b\n", []string{
			`t.yaml:1:1 key-type error: a key is no text; keys are texts, as in "key: value"`,
		}},
		{"a list as a key", "a: {[b]: c}\n", []string{
			`t.yaml:1:5 key-type error: a key is no text; keys are texts, as in "key: value" @/a`,
		}},
		{"a lone carriage return", "a: 1\rb: 2\rc: 3\n", []string{
			`t.yaml:1:5 line-end error: a carriage return stands without a line feed (2 in the text); lines end in a line feed, alone or after a carriage return`,
		}},
		{"control characters", "a: \x01é\x00\nb: \x7f\n", []string{
			`t.yaml:1:4 control-character error: control character U+0001 stands in the text; a string in double quotes may hold it as an escape`,
			`t.yaml:1:6 null-character error: the character U+0000 stands in the text; no text may hold it, raw or as an escape`,
			`t.yaml:2:4 control-character error: control character U+007F stands in the text; a string in double quotes may hold it as an escape`,
		}},
		{"an escaped U+0000", `a: "é\0 \x00\u0000"`, []string{
			`t.yaml:1:6 null-character error: the character U+0000 stands in the text; no text may hold it, raw or as an escape @/a`,
			`t.yaml:1:9 null-character error: the character U+0000 stands in the text; no text may hold it, raw or as an escape @/a`,
			`t.yaml:1:13 null-character error: the character U+0000 stands in the text; no text may hold it, raw or as an escape @/a`,
		}},
		{"bytes that are not UTF-8", "a: é\xE9b\n", []string{
			`t.yaml:1:5 text-encoding error: byte 0xE9 at offset 5 is not UTF-8; texts are UTF-8`,
		}},
		{"UTF-16", "\xFF\xFEa\x00", []string{
			`t.yaml:1:1 text-encoding error: the text begins with the mark of UTF-16; texts are UTF-8`,
		}},
		{"unknown escapes", `a: "\q \xZZ \u12 \uD800 \U00110000"`, []string{
			`t.yaml:1:5 escape error: an escape is not known or not whole; \" \\ \/ \0 \a \b \t \n \v \f \r \e \N \_ \L \P, \x, \u and \U with two, four and eight hexadecimal digits, surrogates only in pairs @/a`,
			`t.yaml:1:8 escape error: an escape is not known or not whole; \" \\ \/ \0 \a \b \t \n \v \f \r \e \N \_ \L \P, \x, \u and \U with two, four and eight hexadecimal digits, surrogates only in pairs @/a`,
			`t.yaml:1:13 escape error: an escape is not known or not whole; \" \\ \/ \0 \a \b \t \n \v \f \r \e \N \_ \L \P, \x, \u and \U with two, four and eight hexadecimal digits, surrogates only in pairs @/a`,
			`t.yaml:1:18 escape error: an escape is not known or not whole; \" \\ \/ \0 \a \b \t \n \v \f \r \e \N \_ \L \P, \x, \u and \U with two, four and eight hexadecimal digits, surrogates only in pairs @/a`,
			`t.yaml:1:25 escape error: an escape is not known or not whole; \" \\ \/ \0 \a \b \t \n \v \f \r \e \N \_ \L \P, \x, \u and \U with two, four and eight hexadecimal digits, surrogates only in pairs @/a`,
		}},
		{"quotes left open", "a: 'one\n  two'\n", []string{
			`t.yaml:1:4 unclosed-text error: a text in quotes is not closed on its line; a closing quote on the same line, a line break inside being \n @/a`,
		}},
		{"a text over two lines", "a: one\n  two\n", []string{
			`t.yaml:2:3 yaml-form error: a text without quotes goes on over a second line; longer texts stand in a block after | or >`,
		}},
		{"a reserved first character", "a: %x\n", []string{
			`t.yaml:1:4 yaml-form error: a text without quotes begins with "%"; quotes are wanted around it @/a`,
		}},
		{"a second colon", "note: see: below\n", []string{
			`t.yaml:1:10 syntax error: a second colon with a space stands on the line; a text with a colon in it stands in quotes @/note`,
		}},
		{"text after quotes", "a: 'x' y\n", []string{
			`t.yaml:1:8 syntax error: a word without quotes follows a finished value; the line ends after a value; comments begin with a space and # @/a`,
		}},
		{"a key without colon", "a: 1\nb\n", []string{
			`t.yaml:2:1 syntax error: a line has neither a key nor a dash; "key: value" or "- value" is wanted, the colon and the dash each with a space`,
		}},
		{"a dash among keys", "a: 1\n- b\n", []string{
			`t.yaml:2:1 syntax error: a list entry stands among keys; a key is wanted`,
		}},
		{"a key among dashes", "- a\nb: 1\n", []string{
			`t.yaml:2:1 syntax error: a key stands among list entries; a dash and a space are wanted`,
		}},
		{"too deep a line", "a: 1\n  b: 2\n", []string{
			`t.yaml:2:3 indentation error: the line is indented by 2 spaces, deeper than a finished value allows; no space here`,
		}},
		{"a line between the levels", "a:\n  b:\n      c: 1\n   d: 2\n", []string{
			`t.yaml:4:4 indentation error: the line is indented by 3 spaces; 0, 2 or 6 spaces here`,
		}},
		{"a block text that moves left", "a: |\n    b\n   c\n", []string{
			`t.yaml:3:4 indentation error: a line is indented less than the first line of its block text; all lines of a block text are indented at least as deep as its first @/a`,
		}},
		{"a block text with an unknown head", "a: |x\n  b\n", []string{
			`t.yaml:1:4 yaml-form error: the head of a block text is not known; | or >, then at most one digit from 1 to 9 and one of - and + @/a`,
		}},
		{"a bracket left open", "a: [1,\n  2\nb: 3\n", []string{
			`t.yaml:3:1 syntax error: a word without quotes stands here; a comma or "]" is wanted @/a/1`,
		}},
		{"a bracket left open to the end", "a: [{b: 1}, {c: 2\n", []string{
			`t.yaml:1:13 syntax error: a bracket is not closed; "}" is wanted @/a/1`,
		}},
		{"a wrong closing bracket", "a: [1}\n", []string{
			`t.yaml:1:6 syntax error: "}" stands here; a comma or "]" is wanted @/a/0`,
		}},
		{"a pair in a list", "a: [b: 1]\n", []string{
			`t.yaml:1:6 syntax error: ":" stands here; a key with its value stands in braces @/a/0`,
		}},
		{"a key without value in braces", "{a, b: 1}\n", []string{
			`t.yaml:1:3 syntax error: "," stands here; a colon and a value are wanted after the key @/a`,
		}},
		{"an unknown alias", "a: *x\n", []string{
			`t.yaml:1:4 anchor error: an alias has no anchor above it; an anchor of that name before the alias @/a`,
		}},
		{"an alias inside of its anchor", "a: &x\n  b: *x\n", []string{
			`t.yaml:2:6 anchor error: an alias stands inside of its own anchor; an alias follows the whole value of its anchor @/a/b`,
		}},
		{"an anchor given twice", "a: &x 1\nb: &x 2\n", []string{
			`t.yaml:2:4 anchor error: an anchor is given again; each anchor of a text stands once @/b`,
		}},
		{"an anchor before a key", "&x a: 1\n", []string{
			`t.yaml:1:4 anchor error: an anchor stands before a key; an anchor follows the key or the dash of its value`,
		}},
		{"several at once", "\xEF\xBB\xBFa: 0x1\nb: \"\\q\"\nb: !t 2\n", []string{
			`t.yaml:1:4 number-form error: a hexadecimal number stands here; numbers are written as in 0.61, -3 or 1e5; quotes make it a text @/a`,
			`t.yaml:2:5 escape error: an escape is not known or not whole; \" \\ \/ \0 \a \b \t \n \v \f \r \e \N \_ \L \P, \x, \u and \U with two, four and eight hexadecimal digits, surrogates only in pairs @/b`,
			`t.yaml:3:1 duplicate-key error: key "b" is given again (first in line 2, column 1); each key of an object stands once @/b`,
			`t.yaml:3:4 tag error: a tag stands here; quotes make a text, and nothing else is marked @/b`,
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			doc, list := source.ReadYAML("t.yaml", []byte(c.text), source.SheetLimits())
			if diff := cmp.Diff(c.want, told(list)); diff != "" {
				t.Error(diff)
			}
			if doc == nil || doc.Root != nil {
				t.Error("a text with an error has a document and no tree")
			}
		})
	}
}
