package schema

import (
	"bytes"
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"sync"

	"github.com/xeipuuv/gojsonschema"
)

// prepared is a schema in the library's form and in ours.
type prepared struct {
	library *gojsonschema.Schema
	outline func() *outline // made when the first fault is to be explained
}

// prepare compiles a schema. change, where given, works on the library's copy.
func prepare(name string, text []byte, change func(root map[string]any)) (p *prepared, err error) {
	defer func() {
		if recover() != nil {
			p, err = nil, fmt.Errorf("schema %s: the schema checker stopped on it", name)
		}
	}()
	root, err := decode(text)
	if err != nil {
		return nil, fmt.Errorf("schema %s: %w", name, err)
	}
	if change != nil {
		change(root)
	}
	lists := map[string][]string{}
	if err := eachSchema(root, func(s map[string]any) error { return adapt(s, lists) }); err != nil {
		return nil, fmt.Errorf("schema %s: %w", name, err)
	}
	moveDefinitions(root)
	library, err := gojsonschema.NewSchema(gojsonschema.NewRawLoader(root))
	if err != nil {
		return nil, fmt.Errorf("schema %s: %w", name, err)
	}
	return &prepared{library, sync.OnceValue(func() *outline { return newOutline(text, lists) })}, nil
}

func decode(text []byte) (map[string]any, error) {
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.UseNumber()
	var root map[string]any
	if err := decoder.Decode(&root); err != nil {
		return nil, fmt.Errorf("reading it as a JSON object: %w", err)
	}
	return root, nil
}

// refused are keywords that the library reads too loosely (format: a bare time
// passes as date-time) or answers without a place of their own.
var refused = []string{"format", "propertyNames", "contains"}

// adapt refuses what the wall does not let through, and says a list of words as
// the pattern that means the same: for each value against an "enum" the library
// writes and reads JSON three times.
func adapt(s map[string]any, lists map[string][]string) error {
	for _, keyword := range refused {
		if _, ok := s[keyword]; ok {
			return fmt.Errorf("the keyword %q is not used here", keyword)
		}
	}
	if ref, ok := s["$ref"].(string); ok && !strings.HasPrefix(ref, "#") {
		return fmt.Errorf("the reference %q leads outside", ref)
	}
	words, ok := onlyWords(s)
	if !ok {
		return nil
	}
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = regexp.QuoteMeta(w)
	}
	pattern := "^(?:" + strings.Join(quoted, "|") + ")$"
	lists[pattern] = words
	delete(s, "enum")
	s["pattern"] = pattern
	return nil
}

// onlyWords gives the enum of a schema that takes text from a list and has no
// pattern beside it.
func onlyWords(s map[string]any) ([]string, bool) {
	list, ok := s["enum"].([]any)
	if _, pattern := s["pattern"]; !ok || pattern || s["type"] != "string" {
		return nil, false
	}
	var words []string
	for _, v := range list {
		word, ok := v.(string)
		if !ok {
			return nil, false
		}
		words = append(words, word)
	}
	return words, len(words) > 0
}

// moveDefinitions puts the definitions of the root where the library reads them
// only by reference: it would otherwise compile each of them twice.
func moveDefinitions(root map[string]any) {
	const from, to = "#/definitions/", "#/parts/"
	definitions, ok := root["definitions"]
	if _, taken := root["parts"]; !ok || taken {
		return
	}
	_ = eachSchema(root, func(s map[string]any) error {
		if name, ok := strings.CutPrefix(text(s["$ref"]), from); ok {
			s["$ref"] = to + name
		}
		return nil
	})
	root["parts"] = definitions
	delete(root, "definitions")
}

func text(v any) string { s, _ := v.(string); return s }

// eachSchema calls visit for a schema and all schemas inside it, outer first.
func eachSchema(v any, visit func(map[string]any) error) error {
	s, ok := v.(map[string]any)
	if !ok {
		return nil // true, false, or a list of names in dependencies
	}
	if err := visit(s); err != nil {
		return err
	}
	for _, inner := range parts(s) {
		if err := eachSchema(inner, visit); err != nil {
			return err
		}
	}
	return nil
}

// The keywords of draft-07 whose value holds schemas: itself, as a list, by name.
var (
	holdOne  = []string{"items", "additionalItems", "additionalProperties", "not", "if", "then", "else"}
	holdList = []string{"items", "allOf", "anyOf", "oneOf"}
	holdMap  = []string{"properties", "patternProperties", "definitions", "dependencies"}
)

// parts gives the schemas directly inside one.
func parts(s map[string]any) []any {
	var inner []any
	for _, key := range holdOne {
		if m, ok := s[key].(map[string]any); ok {
			inner = append(inner, m)
		}
	}
	for _, key := range holdList {
		if list, ok := s[key].([]any); ok {
			inner = append(inner, list...)
		}
	}
	for _, key := range holdMap {
		if m, ok := s[key].(map[string]any); ok {
			for _, v := range m {
				inner = append(inner, v)
			}
		}
	}
	return inner
}
