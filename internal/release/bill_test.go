package main

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/xeipuuv/gojsonschema"
)

const top = "../.."

func testPlan(t testing.TB) *plan {
	t.Helper()
	absolute, err := filepath.Abs(top)
	if err != nil {
		t.Fatal(err)
	}
	return &plan{top: absolute, version: "1.2.3", revision: "0123456789abcdef", time: time.Date(2031, 5, 4, 10, 0, 0, 0, time.UTC)}
}

var plainTarget = target{"linux", "amd64"}

// someBill gives the bill that a program of these bytes would have.
func someBill(t *testing.T, to target, program string) []byte {
	t.Helper()
	p := testPlan(t)
	m, err := p.materials(t.Context(), to)
	if err != nil {
		t.Fatal(err)
	}
	bill, err := p.bill(to, []byte(program), m)
	if err != nil {
		t.Fatal(err)
	}
	return bill
}

// cycloneSchema is the official one, with the two that it refers to.
func cycloneSchema(t *testing.T) *gojsonschema.Schema {
	t.Helper()
	loader := gojsonschema.NewSchemaLoader()
	load := func(name string) gojsonschema.JSONLoader {
		file, err := os.Open(filepath.Join("testdata", name+".SNAPSHOT.schema.json.gz"))
		if err != nil {
			t.Fatal(err)
		}
		defer file.Close()
		unpacked, err := gzip.NewReader(file)
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(unpacked)
		if err != nil {
			t.Fatal(err)
		}
		// The names by which the standard itself has them refer to each other.
		return gojsonschema.NewBytesLoader(bytes.ReplaceAll(text, []byte(".SNAPSHOT.schema.json"), []byte(".schema.json")))
	}
	if err := loader.AddSchemas(load("spdx"), load("jsf-0.82")); err != nil {
		t.Fatal(err)
	}
	schema, err := loader.Compile(load("bom-1.6"))
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

func TestTheBillIsValidCycloneDX(t *testing.T) {
	schema := cycloneSchema(t)
	bill := someBill(t, plainTarget, "program")
	judge := func(text []byte) *gojsonschema.Result {
		result, err := schema.Validate(gojsonschema.NewBytesLoader(text))
		if err != nil {
			t.Fatal(err)
		}
		return result
	}
	for _, fault := range judge(bill).Errors() {
		t.Error(fault)
	}
	for _, change := range [][2]string{
		{`"specVersion"`, `"specVersio"`},
		{`"urn:uuid:`, `"urn:uuid:x`},
		{`"id": "Apache-2.0"`, `"id": "Apache-2.0-or-so"`},
		{`"type": "library"`, `"type": "libary"`},
		{`"alg": "SHA-256"`, `"alg": "SHA-255"`},
	} {
		changed := bytes.ReplaceAll(bill, []byte(change[0]), []byte(change[1]))
		if judge(changed).Valid() {
			t.Errorf("a bill with %s for %s passes", change[1], change[0])
		}
	}
}

func TestEveryReferenceOfTheBillLeadsToAComponent(t *testing.T) {
	var b cyclone
	if err := json.Unmarshal(someBill(t, plainTarget, "program"), &b); err != nil {
		t.Fatal(err)
	}
	known := map[string]int{b.Metadata.Component.BOMRef: 1}
	for _, c := range b.Components {
		known[c.BOMRef]++
	}
	for ref, n := range known {
		if n != 1 {
			t.Errorf("%d components are %s", n, ref)
		}
	}
	needed := map[string]bool{}
	for _, d := range b.Dependencies {
		for _, ref := range append([]string{d.Ref}, d.DependsOn...) {
			if known[ref] == 0 {
				t.Errorf("%s is no component", ref)
			}
		}
		for _, ref := range d.DependsOn {
			needed[ref] = true
		}
	}
	for _, c := range b.Components {
		if !needed[c.BOMRef] {
			t.Errorf("nothing needs %s", c.BOMRef)
		}
	}
}

func TestTheBillNamesWhatOneSystemAloneIsLinkedFrom(t *testing.T) {
	const windowsOnly = "github.com/inconshreveable/mousetrap"
	for _, to := range []target{plainTarget, {"windows", "arm64"}} {
		if got := strings.Contains(string(someBill(t, to, "program")), windowsOnly); got != (to.system == "windows") {
			t.Errorf("%s: %s stands in the bill: %v", to, windowsOnly, got)
		}
	}
}

func TestTheSameProgramHasTheSameBill(t *testing.T) {
	one, again, other := someBill(t, plainTarget, "program"), someBill(t, plainTarget, "program"), someBill(t, plainTarget, "another")
	if !bytes.Equal(one, again) {
		t.Error("two bills of one program differ")
	}
	if bytes.Equal(one, other) || serialNumber([]byte("program")) == serialNumber([]byte("another")) {
		t.Error("two programs have one bill")
	}
}

// The words of NOTICE are what the licences of the bill and of LICENCES.txt go by.
func TestNoticeNamesWhatIsLinkedForEveryTargetAndNothingElse(t *testing.T) {
	targets, err := parseTargets(allTargets)
	if err != nil {
		t.Fatal(err)
	}
	if testing.Short() {
		targets = []target{plainTarget, {"windows", "amd64"}}
	}
	p := testPlan(t)
	notice, err := readNotice(p.top)
	if err != nil {
		t.Fatal(err)
	}
	for _, to := range targets {
		m, err := p.materials(t.Context(), to)
		if err != nil {
			t.Errorf("%s: %v", to, err)
			continue
		}
		for _, mod := range slices.Concat(m.modules, []*module{m.standard}) {
			delete(notice.licence, mod.path+" "+mod.version)
			delete(notice.licence, mod.path)
			if len(mod.texts) == 0 || !bytes.Contains(m.licenceTexts(), bytes.TrimSpace(mod.texts[0].text)) {
				t.Errorf("%s: the licence of %s is not in LICENCES.txt", to, mod.path)
			}
		}
	}
	for name := range notice.licence {
		t.Errorf("NOTICE says that the program is built from %s; for no target it is", name)
	}
}

func TestAModuleWithoutALicenceIsRefused(t *testing.T) {
	folder := t.TempDir()
	n := &notice{licence: map[string]string{"example.org/m v1.0.0": "MIT"}}
	for name, c := range map[string]struct {
		version, text, want string
	}{
		"not in NOTICE":        {"v1.0.1", "", "NOTICE does not name example.org/m v1.0.1"},
		"no text":              {"v1.0.0", "", "no text of the licence MIT"},
		"text of another kind": {"v1.0.0", "Redistribution and use in source and binary forms", "no text of the licence MIT"},
		"its text":             {"v1.0.0", "Permission is hereby\n granted, free of charge, ... THE SOFTWARE IS PROVIDED", ""},
	} {
		if err := os.WriteFile(filepath.Join(folder, "LICENSE"), []byte(c.text), 0o600); err != nil {
			t.Fatal(err)
		}
		m := &module{path: "example.org/m", version: c.version, sum: "h1:x", dir: folder}
		switch err := m.findLicence(n); {
		case c.want == "" && err != nil:
			t.Errorf("%s: %v", name, err)
		case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
			t.Errorf("%s: %v; wanted is %q", name, err, c.want)
		}
	}
}
