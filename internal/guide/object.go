package guide

import (
	"bytes"
	"encoding/json"
	"slices"
	"strconv"

	"saltmark/internal/source"
)

// object is a JSON object whose members keep their order.
type object []member

type member struct {
	name  string
	value any
}

// obj gives an object of names and values. A value without content is left out: an empty
// text, an empty list, nothing at all.
func obj(pairs ...any) object {
	var o object
	for i := 0; i < len(pairs); i += 2 {
		if name := pairs[i].(string); hasContent(pairs[i+1]) {
			o = append(o, member{name, pairs[i+1]})
		}
	}
	return o
}

func hasContent(v any) bool {
	switch v := v.(type) {
	case nil:
		return false
	case string:
		return v != ""
	case []string:
		return len(v) > 0
	case []object:
		return len(v) > 0
	case object:
		return len(v) > 0
	case []any:
		return len(v) > 0
	}
	return true
}

func (o object) get(name string) any {
	for _, m := range o {
		if m.name == name {
			return m.value
		}
	}
	return nil
}

func (o object) text(name string) string {
	s, _ := o.get(name).(string)
	return s
}

// with gives the object with a member set, at its place or at the end; o stays as it is.
func (o object) with(name string, value any) object {
	o = slices.Clone(o)
	for i := range o {
		if o[i].name == name {
			o[i].value = value
			return o
		}
	}
	return append(o, member{name, value})
}

// encode gives an object as indented JSON text.
func (o object) encode() []byte {
	var shown bytes.Buffer
	if err := json.Indent(&shown, appendJSON(nil, o), "", " "); err != nil {
		panic("what is made of texts and numbers is JSON: " + err.Error())
	}
	shown.WriteByte('\n')
	return shown.Bytes()
}

// raw is a number as it was written.
type raw string

func appendJSON(b []byte, v any) []byte {
	switch v := v.(type) {
	case string:
		return appendText(b, v)
	case raw:
		return append(b, v...)
	case int:
		return strconv.AppendInt(b, int64(v), 10)
	case bool:
		return strconv.AppendBool(b, v)
	case object:
		b = append(b, '{')
		for i, m := range v {
			if i > 0 {
				b = append(b, ',')
			}
			b = append(appendText(b, m.name), ':')
			b = appendJSON(b, m.value)
		}
		return append(b, '}')
	case []object:
		return appendList(b, v)
	case []string:
		return appendList(b, v)
	case []any:
		return appendList(b, v)
	}
	panic("the guide holds a value of no known kind")
}

func appendList[T any](b []byte, list []T) []byte {
	b = append(b, '[')
	for i, item := range list {
		if i > 0 {
			b = append(b, ',')
		}
		b = appendJSON(b, item)
	}
	return append(b, ']')
}

// appendText writes a text without the escapes for HTML.
func appendText(b []byte, s string) []byte {
	var text bytes.Buffer
	encoder := json.NewEncoder(&text)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(s); err != nil {
		panic("a text is JSON: " + err.Error())
	}
	return append(b, bytes.TrimSpace(text.Bytes())...)
}

// objectOf gives a tree that was read as an object.
func objectOf(n *source.Node) object {
	var o object
	for _, m := range n.Members {
		o = append(o, member{m.Name, valueOf(m.Value)})
	}
	return o
}

func valueOf(n *source.Node) any {
	switch n.Kind {
	case source.Object:
		return objectOf(n)
	case source.Array:
		list := []any{}
		for _, item := range n.Items {
			list = append(list, valueOf(item))
		}
		return list
	case source.String:
		return n.Text
	case source.Bool:
		return n.Text == "true"
	}
	return raw(n.Text)
}
