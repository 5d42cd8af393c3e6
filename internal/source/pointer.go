package source

import (
	"fmt"
	"strconv"
	"strings"
)

// Pointer makes a JSON pointer (RFC 6901) of member names and indices.
func Pointer(parts ...any) string {
	var b strings.Builder
	for _, part := range parts {
		b.WriteByte('/')
		switch p := part.(type) {
		case string:
			b.WriteString(escapePointer(p))
		case int:
			b.WriteString(strconv.Itoa(p))
		default:
			b.WriteString(escapePointer(fmt.Sprint(p)))
		}
	}
	return b.String()
}

// Find gives the value that a JSON pointer names, nil where there is none. The
// pointer "" names the root.
func (d *Document) Find(pointer string) *Node {
	if pointer == "" {
		return d.Root
	}
	if pointer[0] != '/' {
		return nil
	}
	n := d.Root
	for part := range strings.SplitSeq(pointer[1:], "/") {
		if n = n.child(part); n == nil {
			return nil
		}
	}
	return n
}

// child goes from a value to the one that a part of a pointer names in it.
func (n *Node) child(part string) *Node {
	switch {
	case n == nil:
		return nil
	case n.Kind == Object:
		return n.Get(unescapePointer(part))
	case n.Kind == Array:
		if i, err := strconv.Atoi(part); err == nil && i >= 0 && i < len(n.Items) && strconv.Itoa(i) == part {
			return n.Items[i]
		}
	}
	return nil
}

func escapePointer(name string) string {
	if !strings.ContainsAny(name, "~/") {
		return name
	}
	return strings.NewReplacer("~", "~0", "/", "~1").Replace(name)
}

// unescapePointer replaces in one pass, so that ~01 is "~1", as section 4 of
// RFC 6901 demands.
func unescapePointer(part string) string {
	if !strings.Contains(part, "~") {
		return part
	}
	return strings.NewReplacer("~1", "/", "~0", "~").Replace(part)
}

// step is one part of a pointer under way: a member name, or an index when
// inList is set.
type step struct {
	name   string
	index  int
	inList bool
}

// path is where a reader stands, from the root down.
type path []step

func (p path) pointer() string {
	parts := make([]any, len(p))
	for i, s := range p {
		if parts[i] = s.name; s.inList {
			parts[i] = s.index
		}
	}
	return Pointer(parts...)
}
