package main

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"os"

	"github.com/xeipuuv/gojsonschema"
)

// officialSchemas gives the official JSON Schema of R4 as it is, and type by type.
func officialSchemas() (*gojsonschema.Schema, *typed, error) {
	packed, err := os.Open("../../../internal/schema/testdata/fhir.schema.json.gz")
	if err != nil {
		return nil, nil, err
	}
	defer packed.Close()
	in, err := gzip.NewReader(packed)
	if err != nil {
		return nil, nil, err
	}
	var root map[string]any
	d := json.NewDecoder(in)
	d.UseNumber()
	if err := d.Decode(&root); err != nil {
		return nil, nil, err
	}
	whole, err := gojsonschema.NewSchema(gojsonschema.NewGoLoader(root))
	if err != nil {
		return nil, nil, err
	}
	return whole, &typed{root: root, compiled: map[string]*gojsonschema.Schema{}}, nil
}

// typed judges each resource by the schema of its type alone. A resource inside another
// is judged apart.
type typed struct {
	root     map[string]any
	compiled map[string]*gojsonschema.Schema
}

func (t *typed) of(kind string) (*gojsonschema.Schema, error) {
	if t.compiled[kind] == nil {
		root := map[string]any{}
		for name, value := range t.root {
			root[name] = value
		}
		delete(root, "oneOf")
		delete(root, "discriminator")
		definitions := map[string]any{}
		for name, value := range t.root["definitions"].(map[string]any) {
			definitions[name] = value
		}
		definitions["ResourceList"] = map[string]any{"type": "object"}
		root["definitions"] = definitions
		root["allOf"] = []any{map[string]any{"$ref": "#/definitions/" + kind}}
		compiled, err := gojsonschema.NewSchema(gojsonschema.NewGoLoader(root))
		if err != nil {
			return nil, err
		}
		t.compiled[kind] = compiled
	}
	return t.compiled[kind], nil
}

func (t *typed) valid(text []byte) bool {
	tree, err := decode(text)
	if err != nil {
		return false
	}
	for _, resource := range append(inside(tree), tree) {
		kind, _ := resource["resourceType"].(string)
		s, err := t.of(kind)
		if err != nil {
			return false
		}
		if result, err := s.Validate(gojsonschema.NewRawLoader(resource)); err != nil || !result.Valid() {
			return false
		}
	}
	return true
}

// inside gives the resources of a bundle.
func inside(bundle map[string]any) []map[string]any {
	var all []map[string]any
	entries, _ := bundle["entry"].([]any)
	for _, e := range entries {
		if resource, ok := e.(map[string]any)["resource"].(map[string]any); ok {
			all = append(all, resource)
		}
	}
	return all
}

func valid(s *gojsonschema.Schema, text []byte) bool {
	tree, err := decode(text)
	if err != nil {
		return false
	}
	result, err := s.Validate(gojsonschema.NewRawLoader(tree))
	return err == nil && result.Valid()
}

func decode(text []byte) (tree map[string]any, err error) {
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	return tree, d.Decode(&tree)
}
