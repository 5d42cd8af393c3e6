package source

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"saltmark/internal/finding"
)

// checkBytes looks at the text before any reader does: size, encoding, line
// ends. It tells whether a reader may go on.
func (f *faults) checkBytes() bool {
	text := f.doc.Text
	if len(text) > f.lim.Bytes {
		f.addWhole(tooLong(f.lim.Bytes, finding.Say("the text has {1} bytes", finding.Number(len(text)))))
		return false
	}
	if !utf8.Valid(text) {
		f.notUTF8()
		return false
	}
	if at, count := loneReturns(text); count > 0 {
		f.addUnread(at, fault{
			rule:    "line-end",
			found:   finding.Say("a carriage return stands without a line feed ({1} in the text)", finding.Number(count)),
			allowed: "lines end in a line feed, alone or after a carriage return",
		})
		return false
	}
	return true
}

func tooLong(limit int, found finding.Text) fault {
	return fault{rule: "text-size", found: found, allowed: finding.Say("at most {1} bytes are read", finding.Number(limit))}
}

func (f *faults) notUTF8() {
	text := f.doc.Text
	if bytes.HasPrefix(text, []byte{0xFF, 0xFE}) || bytes.HasPrefix(text, []byte{0xFE, 0xFF}) {
		f.add(0, "", fault{rule: "text-encoding", found: "the text begins with the mark of UTF-16", allowed: "texts are UTF-8"})
		return
	}
	at := 0
	for at < len(text) {
		r, size := utf8.DecodeRune(text[at:])
		if r == utf8.RuneError && size == 1 {
			break
		}
		at += size
	}
	f.addUnread(at, fault{
		rule:    "text-encoding",
		found:   finding.Say("byte 0x{1} at offset {2} is not UTF-8", finding.Data(fmt.Sprintf("%02X", text[at])), finding.Number(at)),
		allowed: "texts are UTF-8",
	})
}

// loneReturns counts the carriage returns that no line feed follows.
func loneReturns(text []byte) (first, count int) {
	for at := 0; ; {
		i := bytes.IndexByte(text[at:], '\r')
		if i < 0 {
			return first, count
		}
		at += i + 1
		if at < len(text) && text[at] == '\n' {
			continue
		}
		if count == 0 {
			first = at - 1
		}
		count++
	}
}

// checkControls reports the control characters that stand raw in a YAML text.
func (f *faults) checkControls(text string) bool {
	clean := true
	for at, r := range text {
		if r >= ' ' && r < 0x7F || r == '\n' || r == '\r' || r == '\t' || r == '\u0085' || r > 0x9F {
			continue
		}
		clean = false
		f.add(at, "", controlFault(r))
	}
	return clean
}

func controlFault(r rune) fault {
	if r == 0 {
		return nullCharacter()
	}
	return fault{
		rule:    "control-character",
		found:   finding.Say("control character U+{1} stands in the text", finding.Data(fmt.Sprintf("%04X", r))),
		allowed: "a string in double quotes may hold it as an escape",
	}
}

// nullCharacter is the fault of U+0000, raw or escaped: databases and FHIR
// strings cannot hold it.
func nullCharacter() fault {
	return fault{
		rule:    "null-character",
		found:   "the character U+0000 stands in the text",
		allowed: "no text may hold it, raw or as an escape",
	}
}

// emptyText is the fault of a text without a value.
func emptyText() fault {
	return fault{rule: "text-empty", found: "the text holds no value", allowed: "one value is wanted"}
}

// moreThanOne is the fault of a text that goes on after its value.
func moreThanOne() fault {
	return fault{
		rule:    "one-document",
		found:   "the text goes on after its value",
		allowed: "one value in one text",
	}
}

// shape describes a character that stands where it may not, without giving away
// what a value says: only marks of the notation are shown.
func shape(r rune) (found finding.Text, value string) {
	switch {
	case r == utf8.RuneError:
		return "the end of the text", ""
	case unicode.IsLetter(r) || r == '_':
		return "a word without quotes", ""
	case unicode.IsDigit(r):
		return "a number", ""
	case r < ' ' || r == 0x7F:
		return finding.Say("the control character U+{1}", finding.Data(fmt.Sprintf("%04X", r))), ""
	case strings.ContainsRune("{}[]:,\"'-+./#%&*!|>@`?=;()<$~^\\", r):
		return "{}", string(r)
	}
	return "a character that has no meaning here", ""
}
