package audit_test

import (
	"bytes"
	"strings"
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/derive"
	"saltmark/internal/finding"
	"saltmark/mapping"
)

// textMutation is one change of the text of a good bundle, and the rule meant for it.
type textMutation struct {
	name   string
	rule   string
	change func(text []byte) []byte
}

// in replaces the first occurrence, which must be there.
func in(old, now string) func([]byte) []byte {
	return func(text []byte) []byte {
		if !bytes.Contains(text, []byte(old)) {
			panic("no " + old)
		}
		return bytes.Replace(text, []byte(old), []byte(now), 1)
	}
}

// textMutations are what no tree can say.
var textMutations = []textMutation{
	{"nothing", "text-empty", func([]byte) []byte { return []byte(" \n") }},
	{"a byte order mark", "text-bom", func(text []byte) []byte { return append([]byte("\uFEFF"), text...) }},
	{"a byte of Latin 1", "text-encoding", in(`"status": "final"`, "\"status\": \"fin\xe4l\"")},
	{"lines that end in a carriage return", "line-end", func(text []byte) []byte { return bytes.ReplaceAll(text, []byte("\n"), []byte("\r")) }},
	{"a raw control character", "control-character", in(`"status": "final"`, "\"status\": \"fin\x01al\"")},
	{"U+0000 as an escape", "null-character", in(`"status": "final"`, `"status": "fin\u0000al"`)},
	{"half a surrogate pair", "escape", in(`"status": "final"`, `"status": "fin\ud800al"`)},
	{"a text that goes on", "unclosed-text", in(`"status": "final"`, "\"status\": \"fin\nal\"")},
	{"a comma too many", "syntax", in(`"type": "transaction",`, `"type": "transaction",,`)},
	{"two bundles in one text", "one-document", func(text []byte) []byte { return append(text, text...) }},
	{"a status twice", "duplicate-key", in(`"status": "final"`, `"status": "final", "status": "preliminary"`)},
	{"a name of a member without end", "key-size", in(`"status": "final"`, `"`+strings.Repeat("s", 4096)+`": "final"`)},
	{"a number past all bounds", "number-size", in(`"value": 0.598`, `"value": 1E400`)},
	{"a number of many digits", "number-size", in(`"value": 0.598`, `"value": 0.`+strings.Repeat("5", 50))},
	{"lists in lists in lists", "nesting", in(`"type": "transaction",`, `"type": "transaction", "x": `+strings.Repeat("[", 80)+strings.Repeat("]", 80)+`,`)},
}

// noTextMutation lists the error rules on texts that no bundle brings out here, with
// the reason.
var noTextMutation = map[string]string{
	"text-size":         "a text of more than 34 MiB is wanted; shown in internal/source",
	"too-many-values":   "more than 600,000 values are wanted; shown in internal/source",
	"compressed-broken": "of files; shown in internal/source and cmd/saltmark",
	"compressed-growth": "of files; shown in internal/source",
	"yaml-form":         "of YAML",
	"number-form":       "of YAML; in JSON such a number is syntax",
	"key-type":          "of YAML; in JSON a key that is no text is syntax",
	"tab-indentation":   "of YAML",
	"indentation":       "of YAML",
	"tag":               "of YAML",
	"merge-key":         "of YAML",
	"anchor":            "of YAML",
}

func TestEachMutationOfTheTextIsCaughtByTheRuleMeantForIt(t *testing.T) {
	good := golden(t, "01-plain-infant")
	for _, m := range textMutations {
		t.Run(m.name, func(t *testing.T) {
			text := m.change(bytes.Clone(good))
			judgeMutation(t, m.rule, text, mapping.Transaction)
		})
	}
}

func TestEveryErrorRuleOnTextsHasAMutation(t *testing.T) {
	shown := map[string]bool{}
	for _, m := range textMutations {
		shown[m.rule] = true
	}
	for _, r := range finding.Rules() {
		if r.Severity != finding.Error || r.Layer != "source" {
			continue
		}
		if reason, excused := noTextMutation[r.ID]; shown[r.ID] == excused {
			t.Errorf("%s: shown %v, excused %v (%s)", r.ID, shown[r.ID], excused, reason)
		}
	}
}

// judgeMutation wants a rule to speak, and to be silent when it is switched off.
func judgeMutation(t *testing.T, rule string, text []byte, form mapping.Form) {
	t.Helper()
	beside := func([]derive.Beside) {} // has curves computed again
	found := audit.CheckText("bundle.json", text, form, audit.Options{Beside: beside})
	if !has(found, rule) {
		t.Errorf("%s is not found; found are", rule)
		for _, f := range found {
			t.Log(f.Text(true))
		}
	}
	for _, f := range found {
		if f.Rule == "" || f.Found == "" || f.Severity == 0 || f.Place.File == "" || f.Place.Line == 0 {
			t.Errorf("an unfinished finding: %+v", f)
		}
	}
	if has(audit.CheckText("bundle.json", text, form, audit.Options{Beside: beside, Off: map[string]bool{rule: true}}), rule) {
		t.Errorf("%s speaks although it is switched off", rule)
	}
}
