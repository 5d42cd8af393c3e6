package source

import (
	"strconv"
	"strings"

	"saltmark/internal/finding"
)

// PathWords says a pointer as a reader would: entry[3].resource.status.
func PathWords(pointer string) finding.Text {
	if pointer == "" {
		return "the document"
	}
	var b strings.Builder
	for i, step := range strings.Split(pointer[1:], "/") {
		step = unescapePointer(step)
		if _, err := strconv.ParseUint(step, 10, 32); err == nil && i > 0 {
			b.WriteString("[" + step + "]")
			continue
		}
		if i > 0 {
			b.WriteByte('.')
		}
		b.WriteString(nameWords(step))
	}
	return finding.Data(b.String())
}

// nameWords gives a member name for a sentence: a plain one as it is, any other
// quoted.
func nameWords(name string) string {
	for _, r := range name {
		if (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') && (r < '0' || r > '9') && r != '_' && r != '-' {
			return finding.Quote(name)
		}
	}
	return name
}

var kindFound = map[Kind]finding.Text{
	String: "{1} is the text {}", Number: "{1} is the number {}", Bool: "{1} is {}",
	Object: "{1} is an object", Array: "{1} is a list", Null: "{1} is empty (null)",
}

// Stands says what stands at a place; "{}" is for its text.
func (k Kind) Stands(path finding.Text) finding.Text { return finding.Say(kindFound[k], path) }

// Suggest names the nearest known name or, where none is near, the first of all.
func Suggest(name string, known []string) finding.Text {
	if len(known) == 0 {
		return "no member is known here"
	}
	if near, ok := Nearest(name, known); ok {
		return finding.Say("did you mean {1}?", finding.Quoted(near))
	}
	return finding.Say("known are {1}", ListWords(known))
}

// ListWords gives up to twelve words of a list, quoted.
func ListWords(words []string) finding.Text {
	const most = 12
	quoted := make([]finding.Text, 0, most)
	for _, w := range words[:min(len(words), most)] {
		quoted = append(quoted, finding.Quoted(w))
	}
	all := finding.Commas(quoted...)
	if len(words) > most {
		all = finding.Say("{1} and {2} more", all, finding.Number(len(words)-most))
	}
	return all
}
