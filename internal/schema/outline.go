package schema

import (
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// outline is the schema as it was written, for explaining a fault: which names,
// which kinds of value and which words were possible at a place.
type outline struct {
	root  map[string]any
	words map[string]string   // description beside a pattern, where all places say the same
	lists map[string][]string // list of words that a pattern stands for
}

func newOutline(schemaText []byte, lists map[string][]string) *outline {
	root, err := decode(schemaText)
	if err != nil {
		root = map[string]any{} // it was decoded before; without it a fault is said plainly
	}
	o := &outline{root: root, words: map[string]string{}, lists: lists}
	_ = eachSchema(root, func(s map[string]any) error {
		pattern, says := text(s["pattern"]), text(s["description"])
		if known, ok := o.words[pattern]; pattern != "" && ok && says != known {
			o.words[pattern] = ""
		} else if pattern != "" {
			o.words[pattern] = says
		}
		return nil
	})
	return o
}

// at gives every schema that may have a say in the value at a path below start.
func (o *outline) at(start any, path []string) []map[string]any {
	here := o.expand(nil, start, 0)
	for _, step := range path {
		var next []map[string]any
		for _, s := range here {
			for _, inner := range below(s, step) {
				next = o.expand(next, inner, 0)
			}
		}
		here = next
	}
	return here
}

// expand adds a schema with what it refers to and the alternatives in it. depth
// ends a reference to itself.
func (o *outline) expand(list []map[string]any, v any, depth int) []map[string]any {
	s, ok := v.(map[string]any)
	if !ok || depth > 16 {
		return list
	}
	if name, ok := strings.CutPrefix(text(s["$ref"]), "#/definitions/"); ok {
		definitions, _ := o.root["definitions"].(map[string]any)
		return o.expand(list, definitions[name], depth+1)
	}
	list = append(list, s)
	for _, key := range []string{"allOf", "anyOf", "oneOf"} {
		alternatives, _ := s[key].([]any)
		for _, a := range alternatives {
			list = o.expand(list, a, depth+1)
		}
	}
	list = o.expand(list, s["then"], depth+1)
	return o.expand(list, s["else"], depth+1)
}

// below gives the schemas for a member or an item of what a schema describes.
func below(s map[string]any, step string) []any {
	if properties, ok := s["properties"].(map[string]any); ok && properties[step] != nil {
		return []any{properties[step]}
	}
	var found []any
	if patterns, ok := s["patternProperties"].(map[string]any); ok {
		for pattern, inner := range patterns {
			if matched, err := regexp.MatchString(pattern, step); err == nil && matched {
				found = append(found, inner)
			}
		}
	}
	if len(found) == 0 && s["additionalProperties"] != nil {
		found = append(found, s["additionalProperties"])
	}
	if i, err := strconv.Atoi(step); err == nil {
		if list, ok := s["items"].([]any); ok && i < len(list) {
			found = append(found, list[i])
		} else if !ok {
			found = append(found, s["items"])
		}
	}
	return found
}

// names gives the member names that schemas know, in order.
func names(schemas []map[string]any) []string {
	set := map[string]bool{}
	for _, s := range schemas {
		properties, _ := s["properties"].(map[string]any)
		for name := range properties {
			set[name] = true
		}
	}
	return slices.Sorted(maps.Keys(set))
}

// kinds gives the JSON types that schemas take, in the order they are met.
func kinds(schemas []map[string]any) []string {
	var found []string
	add := func(v any) {
		if name := text(v); name != "" && !slices.Contains(found, name) {
			found = append(found, name)
		}
	}
	for _, s := range schemas {
		add(s["type"])
		list, _ := s["type"].([]any)
		for _, v := range list {
			add(v)
		}
	}
	return found
}
