package audit_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/finding"
	"saltmark/mapping"
)

// clone copies a tree.
func clone(n node) node {
	text, err := json.Marshal(n)
	if err != nil {
		panic(err)
	}
	var c node
	d := json.NewDecoder(strings.NewReader(string(text)))
	d.UseNumber()
	if err := d.Decode(&c); err != nil {
		panic(err)
	}
	return c
}

// parseOnce reads a golden for the sake of one of its parts.
func parseOnce(name string) node {
	text, err := os.ReadFile(filepath.Join(bundles, name+".json"))
	if err != nil {
		panic(err)
	}
	var b node
	if err := json.Unmarshal(text, &b); err != nil {
		panic(err)
	}
	return b
}

// unrefer takes references to entries that are gone out of every list.
func unrefer(b node) {
	known := map[any]bool{}
	for _, e := range list(b, "entry") {
		known[e.(node)["fullUrl"]] = true
	}
	for _, e := range list(b, "entry") {
		r := e.(node)["resource"].(node)
		for _, name := range []string{"hasMember", "derivedFrom", "result", "target", "partOf"} {
			var kept []any
			for _, ref := range list(r, name) {
				url, _ := ref.(node)["reference"].(string)
				if !strings.HasPrefix(url, "urn:") || known[url] {
					kept = append(kept, ref)
				}
			}
			if len(kept) > 0 {
				r[name] = kept
			} else {
				delete(r, name)
			}
		}
	}
}

// mutated gives the text of a bundle with the change.
func mutated(t testing.TB, m mutation) []byte {
	t.Helper()
	name := m.bundle
	if name == "" {
		name = "01-plain-infant"
	}
	if formOf(name) == mapping.NDJSON {
		b := parseLines(t, golden(t, name))
		m.change(b)
		return formatLines(t, b)
	}
	b := parse(t, golden(t, name))
	m.change(b)
	return format(t, b)
}

func has(found finding.List, rule string) bool {
	for _, f := range found {
		if f.Rule == rule {
			return true
		}
	}
	return false
}

func TestEachMutationIsCaughtByTheRuleMeantForIt(t *testing.T) {
	for _, m := range mutations {
		t.Run(m.name, func(t *testing.T) {
			t.Parallel()
			judgeMutation(t, m.rule, mutated(t, m), formOf(m.bundle))
		})
	}
}

// noMutation lists the error rules that no change of a good bundle can bring out,
// with the reason.
var noMutation = map[string]string{
	"schema-alternatives":           "for sheets and settings; a choice of FHIR is choice-twice",
	"schema-required":               "for sheets and settings; of FHIR it is element-missing",
	"schema-enum":                   "for sheets and settings; of FHIR it is binding-required",
	"schema-unique":                 "for sheets and settings; FHIR asks for no unique items",
	"schema-number":                 "such a number is refused by internal/source before",
	"schema-count":                  "for sheets and settings; FHIR R4 bounds lists by one or not at all",
	"audit-stopped":                 "for a panic that no input is known to cause",
	"schema-other":                  "for messages that the library does not have today",
	"schema-unreadable":             "for a panic of the library, and a table, that no input is known to cause",
	"session-missing":               "a bundle without any identity of ours is not ours, and is not read back",
	"line-twice":                    "for streams of lines; TestNoResourceIsTwiceInAStream",
	"recomputed-without-injections": "for what is written; injections that were left out do not say what they were",
	"reference-not-literal":         "for what is written; a bundle does not say that it ought to have had another reference",
}

// TestEveryErrorRuleHasAMutation: what the audit can say of a bundle is shown.
func TestEveryErrorRuleHasAMutation(t *testing.T) {
	shown := map[string]bool{}
	for _, m := range mutations {
		shown[m.rule] = true
	}
	for _, m := range patchedMutations(t) {
		shown[m.rule] = true
	}
	for _, r := range finding.Rules() {
		layer, _, _ := strings.Cut(r.Layer, " ")
		raised := layer == "audit" || layer == "schema" || layer == "mapping" && !strings.HasPrefix(r.ID, "revision-") ||
			layer == "derive" && (strings.HasPrefix(r.ID, "derived-") || strings.HasPrefix(r.ID, "recomputed-") || r.ID == "label-wrong" || r.ID == "withheld-wrong")
		if r.Severity != finding.Error || !raised {
			continue
		}
		reason, excused := noMutation[r.ID]
		if shown[r.ID] == excused {
			t.Errorf("%s: shown %v, excused %v (%s)", r.ID, shown[r.ID], excused, reason)
		}
	}
}

func TestGoodBundlesAuditClean(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join(bundles, "*.json"))
	more, err2 := filepath.Glob(filepath.Join(forms, "*.*json"))
	if err != nil || err2 != nil || len(paths) < 20 || len(more) < 10 {
		t.Fatalf("%d and %d goldens, %v, %v", len(paths), len(more), err, err2)
	}
	for _, path := range append(paths, more...) {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range audit.CheckText(path, text, formOf(path), audit.Options{}) {
			t.Error(f.Text(true))
		}
	}
}
