package main

import (
	"encoding/json"
	"errors"

	"github.com/google/fhir/go/fhirversion"
	"github.com/google/fhir/go/jsonformat"

	"saltmark/internal/audit"
	"saltmark/internal/schema"
	"saltmark/internal/shape"
	"saltmark/internal/source"
	"saltmark/mapping"
)

const (
	auditJob = "whole audit, reading included"
	shapeJob = "shape layer on the tree"
)

var errRefused = errors.New("a good bundle is refused")

// jobsOn gives the jobs on a text; the first is what all are compared with.
func jobsOn(text []byte) ([]*job, error) {
	whole, perType, err := officialSchemas()
	if err != nil {
		return nil, err
	}
	unmarshaller, err := jsonformat.NewUnmarshaller("UTC", fhirversion.R4)
	if err != nil {
		return nil, err
	}
	doc, _ := source.ReadJSON("b.json", text, source.ResourceLimits())
	var shapes schema.Memory
	session := mapping.ReadDocument(doc).Session
	must := func(good bool) error {
		if !good {
			return errRefused
		}
		return nil
	}
	return []*job{
		{name: "encoding/json into any", do: func() error {
			var v any
			return json.Unmarshal(text, &v)
		}},
		{name: "gojsonschema, whole official schema, decoding included", do: func() error { return must(valid(whole, text)) }},
		{name: "gojsonschema, official schema type by type, decoding included", do: func() error { return must(perType.valid(text)) }},
		{name: "google/fhir/go jsonformat with validation", do: func() error {
			_, err := unmarshaller.Unmarshal(text)
			return err
		}},
		{name: "tree of internal/source", do: func() error {
			_, found := source.ReadJSON("b.json", text, source.ResourceLimits())
			return must(len(found) == 0)
		}},
		{name: shapeJob, do: func() error { return must(len(shape.Check(doc, shape.Options{})) == 0) }},
		{name: "cut schema of chart on the tree", do: func() error { return must(len(schema.CheckFHIR(doc, nil)) == 0) }},
		{name: "cut schema that remembers shapes", do: func() error { return must(len(schema.CheckFHIR(doc, &shapes)) == 0) }},
		{name: "session read from the tree", do: func() error { return must(mapping.ReadDocument(doc).Session != nil) }},
		{name: "session written", do: func() error {
			_, err := mapping.Write(session, mapping.Options{})
			return err
		}},
		{name: auditJob, do: func() error { return must(len(audit.Check("b.json", text, audit.Options{})) == 0) }},
	}, nil
}
