package source

import (
	"errors"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/go-json-experiment/json/jsontext"

	"saltmark/internal/finding"
)

// refuse reports why the decoder gave no token: in our own words, from the text
// at the place where it stopped.
func (r *jsonReader) refuse(err error) {
	at := len(r.text)
	var syntax *jsontext.SyntacticError
	if errors.As(err, &syntax) {
		at = min(r.base+int(syntax.ByteOffset), len(r.text))
	}
	r.cut = errors.Is(err, io.ErrUnexpectedEOF)
	start := r.skip()
	switch {
	case r.refuseString(start):
	case r.refuseNumber(start):
	case at >= len(r.text):
		r.add(len(r.text), r.where(start), fault{
			rule:    "syntax",
			found:   "the text ends before its value is whole",
			allowed: r.wanted(start),
		})
	default:
		r.refuseMark(start, at)
	}
}

// pointerInJSON gives the pointer of what stands at an offset, of which only what stands
// before it is read: a text that is not UTF-8 from there on, for one.
func (f *faults) pointerInJSON(offset int) string {
	before := &Document{Name: f.doc.Name, Text: f.doc.Text[:offset], Format: JSON}
	r := jsonReader{faults: &faults{doc: before, lim: f.lim}, text: string(before.Text)}
	if strings.HasPrefix(r.text, byteOrderMark) {
		r.base = len(byteOrderMark)
	}
	if _, many := r.manyValues(); many {
		return ""
	}
	r.slowly()
	f.doc.outermost = before.outermost
	if !r.cut {
		return "" // behind the value, or behind a fault of another kind
	}
	return r.list[len(r.list)-1].Place.Pointer
}

// where is the pointer of what a fault hinders: the value to come or, where none
// can come yet, the object or list it would belong to.
func (r *jsonReader) where(start int) string {
	here := len(r.path) - 1
	if here < 0 {
		return ""
	}
	comma := strings.Contains(r.text[r.end:min(start, len(r.text))], ",")
	if r.last == afterName || r.path[here].inList && (r.last == afterOpening || comma) {
		return r.path.pointer()
	}
	return r.path[:here].pointer()
}

// refuseString reports what is wrong inside a string that begins at start.
func (r *jsonReader) refuseString(start int) bool {
	if start >= len(r.text) || r.text[start] != '"' {
		return false
	}
	for i := start + 1; i < len(r.text); {
		switch c := r.text[i]; {
		case c == '"':
			return false
		case c == '\n' || c == '\r':
			r.add(start, r.where(start), openQuotes())
			return true
		case c < ' ':
			r.add(i, r.where(start), controlFault(rune(c)))
			return true
		case c == '\\':
			size, bad := badEscape(r.text[i:])
			if bad {
				r.add(i, r.where(start), escapeFault(`\" \\ \/ \b \f \n \r \t and \u with four hexadecimal digits`))
				return true
			}
			i += size
		default:
			i++
		}
	}
	r.add(start, r.where(start), openQuotes())
	return true
}

// badEscape judges the escape that a text begins with, a surrogate together with
// its other half, and gives its length.
func badEscape(s string) (size int, bad bool) {
	if len(s) < 2 {
		return len(s), false // the string has no end, which is the greater fault
	}
	if strings.IndexByte(`"\/bfnrt`, s[1]) >= 0 {
		return 2, false
	}
	if s[1] != 'u' {
		return 0, true
	}
	_, size, ok := unicodeEscape(s)
	return size, !ok
}

// refuseNumber reports what other notations write as a number and JSON does not.
// Of some (0x1F, 017) the decoder has taken the first zero for a number.
func (r *jsonReader) refuseNumber(start int) bool {
	at := r.where(start)
	if taken := r.text[r.begin:r.end]; start == r.end && (taken == "0" || taken == "-0") {
		start, at = r.begin, r.lastValue()
	}
	word := r.text[start:]
	if end := strings.IndexAny(word, " \t\r\n,:{}[]\""); end >= 0 {
		word = word[:end]
	}
	kind := foreignNumber(word)
	switch strings.ToLower(strings.TrimLeft(word, "+-")) {
	case "nan":
		kind = "a not-a-number"
	case "inf", "infinity":
		kind = "an infinity"
	}
	if kind == "" {
		return false
	}
	r.add(start, at, foreignNumberFault(kind))
	return true
}

// lastValue is the pointer of the value that was read last.
func (r *jsonReader) lastValue() string {
	p := slices.Clone(r.path)
	if here := len(p) - 1; here >= 0 && p[here].inList {
		p[here].index--
	}
	return p.pointer()
}

// refuseMark reports a character that does not belong where the decoder stopped.
func (r *jsonReader) refuseMark(start, at int) {
	c, _ := utf8.DecodeRuneInString(r.text[at:])
	if c < ' ' {
		r.add(at, r.where(start), controlFault(c))
		return
	}
	found, value := shape(c)
	found = finding.Say("{1} stands here", found)
	allowed := r.wanted(min(start, at)) // at is before start for a comma or colon in the wrong place
	switch {
	case c == '/' || c == '#':
		allowed = "JSON has no comments"
	case c == '\'':
		allowed = "texts and names stand in double quotes"
	case c == ',' && start < len(r.text) && (r.text[start] == '}' || r.text[start] == ']'):
		found, value = "a comma stands before a closing bracket", ""
		allowed = "no comma follows the last value"
	}
	r.add(at, r.where(min(start, at)), fault{rule: "syntax", found: found, value: value, allowed: allowed})
}

// wanted tells what may follow the last token.
func (r *jsonReader) wanted(start int) finding.Text {
	gap := r.text[r.end:min(start, len(r.text))]
	if len(r.path) == 0 {
		return "a JSON value is wanted"
	}
	inList := r.path[len(r.path)-1].inList
	switch {
	case r.last == afterName && !strings.Contains(gap, ":"):
		return "a colon is wanted"
	case r.last == afterName, inList && strings.Contains(gap, ","):
		return "a value is wanted"
	case r.last == afterOpening && inList:
		return `a value or "]" is wanted`
	case inList:
		return `a comma or "]" is wanted`
	case strings.Contains(gap, ","):
		return "a name in double quotes is wanted"
	case r.last == afterOpening:
		return `a name in double quotes or "}" is wanted`
	}
	return `a comma or "}" is wanted`
}

func openQuotes() fault {
	return fault{
		rule:    "unclosed-text",
		found:   "a text in quotes is not closed on its line",
		allowed: `a closing quote on the same line, a line break inside being \n`,
	}
}

func escapeFault(known finding.Text) fault {
	return fault{
		rule:    "escape",
		found:   "an escape is not known or not whole",
		allowed: finding.Say("{1}, surrogates only in pairs", known),
	}
}
