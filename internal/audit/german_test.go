package audit_test

import (
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/language"
)

// That every template has its German is shown in internal/finding; here, that what is
// found in a bundle is said with it.
func TestTheAuditSpeaksGermanOfEveryMutation(t *testing.T) {
	seen := 0
	for _, m := range mutations {
		for _, f := range audit.Check("bundle.json", mutated(t, m), audit.Options{}) {
			seen++
			if english, german := f.Sentence(false), f.SentenceIn(language.German, false); german == "" || german == english {
				t.Errorf("%s: %s is said as %q in German", m.name, f.Rule, german)
			}
		}
	}
	if seen < len(mutations) {
		t.Errorf("%d findings of %d mutations", seen, len(mutations))
	}
}
