package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"saltmark/internal/finding"
	"saltmark/internal/sheet"
	"saltmark/internal/site"
	"saltmark/mapping/measure"
)

// lastingKinds are the kinds of names, each with those of today and their meaning.
var lastingKinds = []struct {
	kind string
	// names gives the meaning of each name, "" where the name says all.
	names func(t *testing.T) map[string]string
}{
	{"measure", func(*testing.T) map[string]string {
		names := map[string]string{}
		for _, m := range measure.All() {
			names[m.Key] = strings.TrimSpace(string(m.Kind) + " " + m.Unit)
		}
		return names
	}},
	{"measure-code", measureCodes},
	{"local-code", func(*testing.T) map[string]string { return codesOf(measure.LocalCodes()) }},
	{"flow-label", func(*testing.T) map[string]string { return codesOf(measure.LabelCodes()) }},
	{"reason", func(*testing.T) map[string]string {
		names := map[string]string{}
		for _, r := range measure.Reasons() {
			names[r.Code] = r.Absent
		}
		return names
	}},
	{"value", func(*testing.T) map[string]string {
		names := map[string]string{}
		for _, set := range measure.Sets() {
			for _, c := range measure.Set(set) {
				names[set+"/"+c.Code] = ""
			}
		}
		return names
	}},
	{"rule", func(*testing.T) map[string]string {
		names := map[string]string{}
		for _, r := range finding.Rules() {
			names[r.ID] = ""
		}
		return names
	}},
	{"canonical", func(t *testing.T) map[string]string { return writtenAddresses(t) }},
	{"identity", func(t *testing.T) map[string]string { return writtenIdentities(t) }},
	{"exit-code", func(*testing.T) map[string]string {
		return map[string]string{"fine": strconv.Itoa(exitFine), "finding": strconv.Itoa(exitFinding), "usage": strconv.Itoa(exitUsage), "failed": strconv.Itoa(exitFailed)}
	}},
	{"command", commandsAndFlags},
	{"json-field", jsonFields},
	{"format", func(*testing.T) map[string]string {
		names := map[string]string{}
		for key, versions := range map[string][]int{"saltmark": sheet.Versions(), "saltmark-site": site.Versions()} {
			for _, version := range versions {
				names[fmt.Sprint(key, ": ", version)] = ""
			}
		}
		return names
	}},
	{"sheet-key", func(t *testing.T) map[string]string { return schemaKeys(t, sheetSchema) }},
	{"settings-key", func(t *testing.T) map[string]string { return schemaKeys(t, settingsSchema) }},
}

const (
	sheetSchema    = "../../internal/sheet/sheet.schema.json"
	settingsSchema = "../../internal/site/site.schema.json"
)

func readJSON(t *testing.T, file string, into any) {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, into); err != nil {
		t.Fatalf("%s: %v", file, err)
	}
}

func codesOf(list []measure.Coded) map[string]string {
	names := map[string]string{}
	for _, c := range list {
		names[c.Code] = ""
	}
	return names
}

// measureCodes gives the published codes of each measure: another may be added, none
// may go.
func measureCodes(*testing.T) map[string]string {
	names := map[string]string{}
	add := func(m measure.Measure, system, code, when string) {
		if code != "" {
			names[m.Key+" "+system+"|"+code] = when
		}
	}
	for _, m := range measure.All() {
		add(m, measure.SystemLOINC, m.LOINC, "")
		add(m, measure.SystemDICOM, m.DICOM, "")
		for _, c := range m.Codes {
			add(m, measure.SystemLOINC, c.LOINC, c.When)
		}
	}
	return names
}

// goldenFolders hold what the program writes, in all forms and languages.
var goldenFolders = []string{"../../testdata/bundles", "../../testdata/forms"}

// goldens gives every golden bundle as a tree, and each line of one in NDJSON.
func goldens(t *testing.T) []any {
	t.Helper()
	var trees []any
	for _, folder := range goldenFolders {
		err := filepath.WalkDir(folder, func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !slices.Contains([]string{".json", ".ndjson"}, filepath.Ext(name)) {
				return err
			}
			file, err := os.Open(name)
			if err != nil {
				return err
			}
			defer file.Close()
			for decoder := json.NewDecoder(file); ; {
				var tree any
				if err := decoder.Decode(&tree); errors.Is(err, io.EOF) {
					return nil
				} else if err != nil {
					return fmt.Errorf("%s: %w", name, err)
				}
				trees = append(trees, tree)
			}
		})
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			t.Fatal(err)
		}
	}
	return trees
}

// members calls f for each member of each object in a tree.
func members(tree any, f func(holder map[string]any, name string, value any)) {
	switch tree := tree.(type) {
	case []any:
		for _, v := range tree {
			members(v, f)
		}
	case map[string]any:
		for name, v := range tree {
			f(tree, name, v)
			members(v, f)
		}
	}
}

// writtenAddresses gives the addresses of our own that the golden bundles hold, below
// the canonical base: code systems, extensions, systems of identifiers.
func writtenAddresses(t *testing.T) map[string]string {
	names := map[string]string{}
	for _, tree := range goldens(t) {
		members(tree, func(_ map[string]any, name string, value any) {
			text, _ := value.(string)
			if below, ours := strings.CutPrefix(text, measure.DefaultBase); ours && (name == "system" || name == "url" || name == "profile") {
				names[below] = ""
			}
		})
	}
	return names
}

// A number or a key in an identity tells things apart, as the session's own name does.
var (
	keyInIdentity = regexp.MustCompile(`^(injection|sample|event|drug|earlier|confirmation|comparator|reading)-[^/]+`)
	deviceKey     = regexp.MustCompile(`^(device-[a-z]+)-.*`)
)

// writtenIdentities gives the identifiers of our own resources that the golden bundles
// hold, without what tells sessions and things apart.
func writtenIdentities(t *testing.T) map[string]string {
	names := map[string]string{}
	for _, tree := range goldens(t) {
		members(tree, func(holder map[string]any, name string, value any) {
			system, _ := holder["system"].(string)
			text, _ := value.(string)
			if name != "value" || system != measure.DefaultBase+"/sid/session" {
				return
			}
			_, suffix, _ := strings.Cut(text, "/")
			suffix = keyInIdentity.ReplaceAllString(suffix, "$1-{}")
			names["{}/"+deviceKey.ReplaceAllString(suffix, "$1-{}")] = ""
		})
	}
	delete(names, "{}/") // the session itself
	return names
}

// commandsAndFlags gives the commands and, below each, its flags.
func commandsAndFlags(t *testing.T) map[string]string {
	names := map[string]string{}
	e, _, _ := trial()
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		if c.Hidden || c.Name() == "completion" || c.Name() == "help" {
			return
		}
		names[c.CommandPath()] = ""
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if !f.Hidden && f.Name != "help" {
				names[c.CommandPath()+" --"+f.Name] = ""
			}
		})
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk(newRootCmd(e))
	return names
}

// ownKeys are the members of the JSON for programs whose own members are data.
var ownKeys = []string{"outcomes", "findings", "errors", "statuses", "held", "flows", "withheld", "files", "injectionsExcluded"}

// jsonFields gives the names in the JSON that is for programs: findings, and the report
// of a run over good sheets, bad ones and one that is not there.
func jsonFields(t *testing.T) map[string]string {
	names := map[string]string{}
	folder := t.TempDir()
	report := filepath.Join(folder, "report.json")
	e, out, stderr := trial("chart", "--findings", "json", "--report", report, "--out", filepath.Join(folder, "charted"),
		"../../testdata/sheets", "../../testdata/bad", filepath.Join(folder, "missing.yaml"))
	if code := follow(e, newRootCmd(e)); code != exitFailed {
		t.Fatalf("exit code %d", code)
	}
	run, err := os.ReadFile(report)
	if err != nil {
		t.Fatal(err)
	}
	found := stderr.Bytes()
	if i := bytes.Index(found, []byte("\n]\n")); i >= 0 {
		found = found[:i+3]
	}
	if len(out.Bytes()) > 0 {
		t.Fatal("something stands on standard output")
	}
	e, pooled, _ := trial("repeatability", "--by", "flow", "--format", "json", "../../testdata/bundles")
	if code := follow(e, newRootCmd(e)); code != exitFine {
		t.Fatalf("exit code %d", code)
	}
	for form, text := range map[string][]byte{"findings": found, "report": run, "repeatability": pooled.Bytes()} {
		var tree any
		if err := json.Unmarshal(text, &tree); err != nil {
			t.Fatalf("%s: %v", form, err)
		}
		fields(tree, form, names)
	}
	return names
}

// fields gathers the paths of the members of a tree.
func fields(tree any, path string, names map[string]string) {
	switch tree := tree.(type) {
	case []any:
		for _, v := range tree {
			fields(v, path+"[]", names)
		}
	case map[string]any:
		for name, v := range tree {
			below := path + "." + name
			names[below] = ""
			if _, data := v.(map[string]any); !data || !slices.Contains(ownKeys, name) {
				fields(v, below, names)
			}
		}
	}
}

// schemaKeys gives the keys that a schema of ours knows, by their dotted path.
func schemaKeys(t *testing.T, file string) map[string]string {
	var root map[string]any
	readJSON(t, file, &root)
	names := map[string]string{}
	var walk func(v any, path string, within []string)
	walk = func(v any, path string, within []string) {
		s, ok := v.(map[string]any)
		if !ok {
			return
		}
		if ref, ok := s["$ref"].(string); ok && !slices.Contains(within, ref) {
			definitions, _ := root["definitions"].(map[string]any)
			walk(definitions[strings.TrimPrefix(ref, "#/definitions/")], path, append(slices.Clone(within), ref))
		}
		walk(s["items"], path+"[]", within)
		walk(s["additionalProperties"], path+".{}", within)
		for _, list := range []string{"oneOf", "anyOf", "allOf"} {
			options, _ := s[list].([]any)
			for _, o := range options {
				walk(o, path, within)
			}
		}
		properties, _ := s["properties"].(map[string]any)
		for name, inner := range properties {
			below := strings.TrimPrefix(path+"."+name, ".")
			names[below] = ""
			walk(inner, below, within)
		}
	}
	walk(root, "", nil)
	return names
}
