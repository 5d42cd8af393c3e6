package sheet

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// scalars reads single values of one document and gathers what is wrong with them.
type scalars struct {
	doc   *source.Document
	clock clock
	list  finding.List
}

// ReadValue reads the value of a measure as a sheet writes it: a quantity with its
// unit, a word of a set, a date or a text. It is for settings that supply such
// values; ok is false when the list says why there is none.
func ReadValue(doc *source.Document, n *source.Node, pointer string, m *measure.Measure) (v record.Value, ok bool, faults finding.List) {
	sp := &spot{row: m, form: formOf(m), private: m.Private}
	if sp.form == asReported {
		sp.form = asQuantity
	}
	if sp.form == asCode {
		sp.words = measure.SetNames(m.Values)
	}
	c := scalars{doc: doc}
	v, ok = c.value(sp, n, pointer)
	return v, ok, c.list
}

// at adds a finding at a place.
func (c *scalars) at(rule string, place finding.Place, found finding.Text, value string, allowed finding.Text) {
	c.list = append(c.list, finding.New(rule, place, found, value, allowed))
}

// add adds a finding about a node.
func (c *scalars) add(rule string, n *source.Node, pointer string, found finding.Text, value string, allowed finding.Text) {
	c.at(rule, c.doc.Place(n, pointer), found, value, allowed)
}

// fault adds a finding about the value at a spot, which may be private. more goes
// on where the value was named.
func (c *scalars) fault(sp *spot, rule string, n *source.Node, pointer string, more, allowed finding.Text) {
	f := finding.New(rule, c.doc.Place(n, pointer), finding.Say("{1} is {}{2}", finding.Data(dotted(pointer)), more), n.Text, allowed)
	if sp.private {
		f = f.Hide()
	}
	c.list = append(c.list, f)
}

// value reads the value at a spot in the form that the spot asks for. Texts,
// names and numbers come as Text, truths as the Code yes or no.
func (c *scalars) value(sp *spot, n *source.Node, pointer string) (record.Value, bool) {
	if n.Kind != source.String && n.Kind != source.Number {
		return c.notSingle(sp, n, pointer)
	}
	switch sp.form {
	case asQuantity, asReported:
		return c.quantity(sp, n, pointer)
	case asCode:
		word, ok := c.word(n, pointer, sp.words, sp.private)
		return record.Value{Code: word}, ok
	case asYesNo:
		word, ok := c.word(n, pointer, []string{"yes", "no"}, sp.private)
		return record.Value{Code: word}, ok
	case asMoment, asMomentOrDay, asDay:
		when, ok := c.moment(sp, n, pointer)
		return record.Value{Time: when}, ok
	case asWhole:
		return c.whole(sp, n, pointer)
	case asVersion:
		return c.version(sp, n, pointer)
	case asText:
		return c.text(sp, n, pointer)
	}
	return c.shaped(sp, n, pointer)
}

// notSingle is for what is no single value; a truth is told what to write instead.
func (c *scalars) notSingle(sp *spot, n *source.Node, pointer string) (record.Value, bool) {
	if n.Kind == source.Bool {
		c.fault(sp, "value-kind", n, pointer, "", `a truth is written as the word "yes" or "no", anything else as text`)
		return record.Value{}, false
	}
	c.add("value-kind", n, pointer, finding.Say(kindWords[n.Kind], finding.Data(dotted(pointer))), "", "one value is wanted")
	return record.Value{}, false
}

var kindWords = map[source.Kind]finding.Text{source.Object: "{1} is an object", source.Array: "{1} is a list", source.Null: "{1} is empty (null)"}

// word reads one of a set of words.
func (c *scalars) word(n *source.Node, pointer string, words []string, private bool) (string, bool) {
	for _, w := range words {
		if n.Text == w {
			return w, true
		}
	}
	allowed := finding.Say("one of {1} is wanted", finding.Data(strings.Join(words, ", ")))
	if near, ok := source.Nearest(n.Text, words); ok {
		allowed = finding.Say("did you mean {1}? {2}", finding.Quoted(near), allowed)
	}
	c.fault(&spot{private: private}, "code-unknown", n, pointer, "", allowed)
	return "", false
}

const greatest = 9999

func (c *scalars) whole(sp *spot, n *source.Node, pointer string) (record.Value, bool) {
	i, err := strconv.Atoi(n.Text)
	if n.Kind != source.Number || err != nil || i < 1 || i > greatest {
		c.fault(sp, "whole-number", n, pointer, "", finding.Say("a whole number from 1 to {1} is wanted, without quotes", finding.Number(greatest)))
		return record.Value{}, false
	}
	return record.Value{Text: n.Text}, true
}

func (c *scalars) version(sp *spot, n *source.Node, pointer string) (record.Value, bool) {
	if VersionOf(c.doc) != 0 {
		return record.Value{Text: n.Text}, true
	}
	c.fault(sp, "sheet-version", n, pointer, "", versionsRead())
	return record.Value{}, false
}

// longestText is how many characters a free text may have.
const longestText = 1000

// text reads free text: what a person may read aloud, without characters that
// could steer a terminal or a page.
func (c *scalars) text(sp *spot, n *source.Node, pointer string) (record.Value, bool) {
	says := strings.TrimSpace(n.Text)
	path := func() finding.Text { return finding.Data(dotted(pointer)) } // for a fault alone
	var wrong finding.Text
	switch {
	case says == "":
		wrong = finding.Say("{1} is empty", path())
	case utf8.RuneCountInString(says) > longestText:
		wrong = finding.Say("{1} has more than {2} characters", path(), finding.Number(longestText))
	default:
		for _, r := range says {
			if !readable(r) {
				wrong = finding.Say("{1} holds the character U+{2}", path(), finding.Data(fmt.Sprintf("%04X", r)))
				break
			}
		}
	}
	if wrong != "" {
		c.add("text-form", n, pointer, wrong, "", finding.Say("readable text of at most {1} characters is wanted, or nothing", finding.Number(longestText)))
		return record.Value{}, false
	}
	return record.Value{Text: says}, true
}

// readable lets through letters, marks, signs, spaces and line ends; of the
// invisible characters only the joiners that scripts need.
func readable(r rune) bool {
	const noBreakSpace, nonJoiner, joiner = '\u00A0', '\u200C', '\u200D'
	return unicode.IsPrint(r) || r == '\n' || r == noBreakSpace || r == nonJoiner || r == joiner
}

// shapes are the forms of value that a pattern describes.
var shapes = map[form]struct {
	pattern  *regexp.Regexp
	rule     string
	sentence finding.Text
}{
	asName:       {regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$`), "name-form", "1 to 64 letters, digits, points, underscores and hyphens are wanted, a letter or digit first"},
	asIdentifier: {regexp.MustCompile(`^[^\s\pC]{1,64}$`), "identifier-form", "1 to 64 visible characters without spaces are wanted"},
	asURI:        {regexp.MustCompile(`^[a-z][a-z0-9+.-]*:[!-~]{1,200}$`), "system-form", `an absolute address is wanted, for example "urn:oid:2.999.1"`},
	asReference:  {regexp.MustCompile(`^[A-Z][A-Za-z]*/[A-Za-z0-9.-]{1,64}$`), "reference-form", "a type, a slash and an identifier are wanted"},
	asFile: {regexp.MustCompile(`^[A-Za-z0-9_][A-Za-z0-9_. -]*(/[A-Za-z0-9_][A-Za-z0-9_. -]*)*$`), "trace-file-name",
		"a file in the folder of the sheet or below is wanted: letters, digits, points, spaces, underscores, hyphens and /"},
}

func (c *scalars) shaped(sp *spot, n *source.Node, pointer string) (record.Value, bool) {
	s := shapes[sp.form]
	ok := s.pattern.MatchString(n.Text) && (n.Kind == source.String || isDigits(n.Text))
	allowed := s.sentence
	if sp.form == asReference && len(sp.words) > 0 {
		ok = ok && strings.HasPrefix(n.Text, sp.words[0]+"/")
		allowed = finding.Say("a literal reference is wanted: {1}/ and an identifier", finding.Data(sp.words[0]))
	}
	if !ok {
		c.fault(sp, s.rule, n, pointer, "", allowed)
		return record.Value{}, false
	}
	return record.Value{Text: n.Text}, true
}

func isDigits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }

// dotted says a pointer as a person would: injections[0].volume.
func dotted(pointer string) string {
	if pointer == "" {
		return "the sheet"
	}
	var b strings.Builder
	for i, step := range strings.Split(pointer[1:], "/") {
		switch {
		case isDigits(step):
			b.WriteString("[" + step + "]")
			continue
		case i > 0:
			b.WriteByte('.')
		}
		b.WriteString(step)
	}
	return b.String()
}
