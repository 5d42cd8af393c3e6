package audit_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saltmark/mapping"
)

// node is an object that a mutation changes.
type node = map[string]any

const (
	bundles = "../../testdata/bundles"
	forms   = "../../testdata/forms"
	// national holds bundles that claim national profiles; their names here begin so.
	national = "../../testdata/national"
)

// golden gives a golden bundle, or one in another form by its whole name.
func golden(t testing.TB, name string) []byte {
	t.Helper()
	path := filepath.Join(bundles, name+".json")
	if claiming, ok := strings.CutPrefix(name, "national/"); ok {
		path = filepath.Join(national, claiming+".json")
	} else if filepath.Ext(name) != "" {
		path = filepath.Join(forms, name)
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// formOf gives the form of a golden by its name.
func formOf(name string) mapping.Form {
	if filepath.Ext(name) == ".ndjson" {
		return mapping.NDJSON
	}
	return mapping.Transaction // or another one that is a Bundle
}

// parseLines reads lines as the entries of something like a bundle.
func parseLines(t testing.TB, text []byte) node {
	t.Helper()
	var entries []any
	for line := range bytes.Lines(text) {
		entries = append(entries, node{"resource": parse(t, line)})
	}
	return node{"entry": entries}
}

// formatLines is the inverse.
func formatLines(t testing.TB, b node) []byte {
	t.Helper()
	var text []byte
	for _, e := range list(b, "entry") {
		text = append(append(text, format(t, e.(node)["resource"].(node))...), '\n')
	}
	return text
}

// parse keeps numbers as they are written.
func parse(t testing.TB, text []byte) node {
	t.Helper()
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	var b node
	if err := d.Decode(&b); err != nil {
		t.Fatal(err)
	}
	return b
}

func format(t testing.TB, b node) []byte {
	t.Helper()
	text, err := json.Marshal(b)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// entry gives the entry of the resource whose identity ends so, or whose type it is.
func entry(b node, which string) node {
	for _, e := range list(b, "entry") {
		r := e.(node)["resource"].(node)
		if r["resourceType"] == which {
			return e.(node)
		}
		for _, id := range list(r, "identifier") { // a Composition, which has no list, is found by its type
			if strings.HasSuffix(id.(node)["value"].(string), "/"+which) {
				return e.(node)
			}
		}
	}
	panic("no entry " + which)
}

func res(b node, which string) node { return entry(b, which)["resource"].(node) }

func list(n node, name string) []any {
	l, _ := n[name].([]any)
	return l
}

// at follows names and indices.
func at(v any, path ...any) node {
	for _, step := range path {
		switch step := step.(type) {
		case string:
			v = v.(node)[step]
		case int:
			v = v.([]any)[step]
		}
	}
	return v.(node)
}

// component gives the component under a local code.
func component(r node, code string) node {
	for _, c := range list(r, "component") {
		if at(c, "code", "coding", 0)["code"] == code {
			return c.(node)
		}
	}
	panic("no component " + code)
}

// drop takes an entry away.
func drop(b node, which string) {
	gone := entry(b, which)["resource"].(node)
	var kept []any
	for _, e := range list(b, "entry") {
		if r := e.(node)["resource"].(node); fmt.Sprintf("%p", r) != fmt.Sprintf("%p", gone) {
			kept = append(kept, e)
		}
	}
	b["entry"] = kept
}

// setLabel changes a label in extension and component.
func setLabel(r node, code string) {
	for _, e := range list(r, "extension") {
		if c, ok := e.(node)["valueCodeableConcept"].(node); ok {
			at(c, "coding", 0)["code"] = code
		}
	}
	at(component(r, "flow-stands-for"), "valueCodeableConcept", "coding", 0)["code"] = code
}

// unlabel takes the label away from extension and component.
func unlabel(r node) {
	var kept []any
	for _, e := range list(r, "extension") {
		if e.(node)["valueCodeableConcept"] == nil {
			kept = append(kept, e)
		}
	}
	r["extension"] = kept
	var components []any
	for _, c := range list(r, "component") {
		if at(c, "code", "coding", 0)["code"] != "flow-stands-for" {
			components = append(components, c)
		}
	}
	r["component"] = components
}

// slip puts a resource into the bundle that is none of the session's.
func slip(b, r node) {
	kind := r["resourceType"].(string)
	b["entry"] = append(list(b, "entry"), node{
		"fullUrl":  "urn:uuid:00000000-0000-5000-8000-000000000001",
		"resource": r,
		"request":  node{"method": "POST", "url": kind},
	})
}

// code1 gives a concept of one coding.
func code1(system, code string) node {
	return node{"coding": []any{node{"system": system, "code": code}}}
}
