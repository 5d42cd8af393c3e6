package schema

import (
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// unescape gives the member name that a step of a JSON pointer stands for (RFC
// 6901, section 4, in one pass).
func unescape(step string) string {
	if !strings.Contains(step, "~") {
		return step
	}
	return strings.NewReplacer("~1", "/", "~0", "~").Replace(step)
}

// join gives the pointer of a path below a pointer.
func join(pointer string, path []string) string {
	for _, step := range path {
		pointer += source.Pointer(step)
	}
	return pointer
}

// pathWords says a pointer as a reader would: entry[3].resource.status.
func pathWords(pointer string) finding.Text {
	if pointer == "" {
		return "the document"
	}
	var b strings.Builder
	for i, step := range strings.Split(pointer[1:], "/") {
		step = unescape(step)
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
