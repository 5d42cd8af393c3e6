package finding

import (
	"errors"
	"strconv"
	"strings"

	"saltmark/internal/language"
)

// Text is a sentence, or a part of one, that is said in each language: a template
// with what stands in it. It is made when something is found and said when somebody
// reads it. An untyped constant is a Text by itself, one without anything in it.
//
// The English template is what german.tsv is looked up by. Slots {1} to {9} take the
// arguments of Say in the order of each language; {} takes the value of the finding.
// What belongs to no language goes in by Data, Quoted or Number.
//
// Texts are compared with ==, and never put together with +: a test finds that.
type Text string

// The first byte tells what a Text is; one without such a byte is a template that
// has no slots filled. Parts follow with their length.
const (
	isData    = '\x01' // shown as it is
	isSaid    = '\x02' // a template and its arguments
	isBoth    = '\x03' // the same in English and in German
	isPrivate = '\x04' // shown where private values are
	isValued  = '\x05' // with a value of its own
)

// Say fills the slots of a template. An argument that is a template itself is
// translated with it.
func Say(template Text, args ...Text) Text {
	if len(args) == 0 {
		return template
	}
	size := 1 + len(template) + 4
	for _, a := range args {
		size += len(a) + 4
	}
	b := append(make([]byte, 0, size), isSaid)
	b = appendPart(b, template)
	for _, a := range args {
		b = appendPart(b, a)
	}
	return Text(b)
}

func appendPart(b []byte, part Text) []byte {
	b = strconv.AppendInt(b, int64(len(part)), 10)
	b = append(b, ':')
	return append(b, part...)
}

// Data is what is the same in each language: a key, a path, a code, a unit.
func Data(s string) Text { return Text(isData) + Text(s) }

// Quoted is a value of the input, shown as Quote shows it.
func Quoted(value string) Text { return Data(Quote(value)) }

// Number is a number in digits.
func Number(n int) Text { return Data(strconv.Itoa(n)) }

// Both is what a table says in each language itself.
func Both(english, german string) Text {
	b := []byte{isBoth}
	b = appendPart(b, Text(english))
	return Text(appendPart(b, Text(german)))
}

// Template is a template that a file of this program holds, such as the sentence of
// a schema; "" stays "". A test of the room that reads the file asks for its German.
func Template(words string) Text { return Text(words) }

// Private is a part that only those see who may see private values.
func Private(t Text) Text { return Text(isPrivate) + t }

// valued is a Text in which "{}" stands for another value than around it.
func valued(value, t Text) Text {
	return Text(appendPart(appendPart([]byte{isValued}, value), t))
}

// Or lists what may stand in one place: "a, b or c".
func Or(texts ...Text) Text { return listed("{1} or {2}", texts) }

// And lists what stands together: "a, b and c".
func And(texts ...Text) Text { return listed("{1} and {2}", texts) }

// Commas lists with commas alone.
func Commas(texts ...Text) Text { return listed("{1}, {2}", texts) }

func listed(last Text, texts []Text) Text {
	if len(texts) == 0 {
		return ""
	}
	all := texts[0]
	for i, t := range texts[1:] {
		if i == len(texts)-2 {
			return Say(last, all, t)
		}
		all = Say("{1}, {2}", all, t)
	}
	return all
}

// Datas makes each of several words Data.
func Datas(words []string) []Text {
	texts := make([]Text, len(words))
	for i, w := range words {
		texts[i] = Data(w)
	}
	return texts
}

// In says the text in a language. "{}" and private parts are left open.
func (t Text) In(l language.Language) string { return speaker{language: l}.say(t) }

// String says the text in English.
func (t Text) String() string { return t.In(language.English) }

// speaker says texts to one reader.
type speaker struct {
	language language.Language
	value    string // for "{}"; "" leaves it
	private  bool   // private parts are shown
}

func (s speaker) say(t Text) string {
	if t == "" {
		return ""
	}
	switch t[0] {
	case isData:
		return string(t[1:])
	case isSaid:
		parts := partsOf(t[1:])
		return s.fill(parts[0], parts[1:])
	case isBoth:
		parts := partsOf(t[1:])
		if s.language == language.German {
			return string(parts[1])
		}
		return string(parts[0])
	case isValued:
		parts := partsOf(t[1:])
		own := s
		own.value = s.say(parts[0])
		return own.say(parts[1])
	case isPrivate:
		if !s.private {
			return s.say(notShown)
		}
		return s.say(t[1:])
	}
	return s.fill(t, nil)
}

const notShown Text = "(value not shown)"

// fill says a template: its words in the language, each slot filled.
func (s speaker) fill(template Text, args []Text) string {
	rest := string(template)
	if s.language == language.German {
		rest = inGerman(rest)
	}
	var b strings.Builder
	for {
		at := strings.IndexByte(rest, '{')
		if at < 0 {
			break
		}
		b.WriteString(rest[:at])
		rest = rest[at:]
		n, size := slot(rest)
		switch {
		case size == 0: // a brace of the words
			size = 1
			b.WriteByte('{')
		case n == 0 && s.value != "":
			b.WriteString(s.value)
		case n > 0 && n <= len(args):
			b.WriteString(s.say(args[n-1]))
		default:
			b.WriteString(rest[:size])
		}
		rest = rest[size:]
	}
	b.WriteString(rest)
	return b.String()
}

// slot reads the slot that a text begins with: its number, 0 for that of the value,
// and its size, 0 where there is none.
func slot(s string) (n, size int) {
	switch {
	case strings.HasPrefix(s, "{}"):
		return 0, 2
	case len(s) >= 3 && s[1] >= '1' && s[1] <= '9' && s[2] == '}':
		return int(s[1] - '0'), 3
	}
	return 0, 0
}

// partsOf takes apart what appendPart put together.
func partsOf(t Text) []Text {
	var parts []Text
	for t != "" {
		length, rest, _ := strings.Cut(string(t), ":")
		n, err := strconv.Atoi(length)
		if err != nil || n < 0 || n > len(rest) {
			break
		}
		parts = append(parts, Text(rest[:n]))
		t = Text(rest[n:])
	}
	for len(parts) < 2 { // only a Text that was not made here
		parts = append(parts, "")
	}
	return parts
}

// Problem is an error that says what is wrong in each language.
type Problem struct{ Says Text }

// Error gives the sentence in English.
func (p *Problem) Error() string { return p.Says.String() }

// Refuse makes a Problem of a template and its arguments.
func Refuse(template Text, args ...Text) error { return &Problem{Say(template, args...)} }

// Of gives what an error says: in each language where it is a Problem, else as it
// says it itself.
func Of(err error) Text {
	var p *Problem
	if errors.As(err, &p) {
		return p.Says
	}
	return Data(err.Error())
}
