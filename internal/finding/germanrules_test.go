package finding

import (
	"slices"
	"strings"
	"testing"

	"saltmark/internal/language"
)

func TestEveryRuleIsSaidInGerman(t *testing.T) {
	var listed, wanted []string
	for line := range strings.Lines(germanRulesText) {
		if id, _, ok := strings.Cut(line, "\t"); ok && id != "rule" && !strings.HasPrefix(line, "#") {
			listed = append(listed, id)
		}
	}
	for _, r := range Rules() {
		wanted = append(wanted, r.ID)
		says := r.SaysIn(language.German)
		switch {
		case germanRules()[r.ID] == "":
			t.Errorf("%s: no sentence in germanrules.tsv", r.ID)
		case says == r.Says, !strings.HasSuffix(says, "."), strings.TrimSpace(says) != says:
			t.Errorf("%s: %q", r.ID, says)
		}
		if r.SaysIn(language.English) != r.Says {
			t.Errorf("%s: its English is not that of its page", r.ID)
		}
		// What belongs to no language stands in both: invariants of FHIR, numbers with digits.
		for _, word := range strings.FieldsFunc(r.Says, func(c rune) bool { return strings.ContainsRune(" (),.;:", c) }) {
			if isInvariant(word) && !strings.Contains(says, word) {
				t.Errorf("%s: %s is not in %q", r.ID, word, says)
			}
		}
	}
	if !slices.Equal(listed, wanted) {
		t.Error("germanrules.tsv has other rules than rules.md, or another order")
	}
}

// isInvariant tells whether a word is the key of an invariant of FHIR, such as bdl-10.
func isInvariant(word string) bool {
	name, number, ok := strings.Cut(word, "-")
	return ok && len(name) == 3 && strings.Trim(name, "abcdefghijklmnopqrstuvwxyz") == "" && number != "" && strings.Trim(number, "0123456789") == ""
}
