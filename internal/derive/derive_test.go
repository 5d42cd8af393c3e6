package derive

import "testing"

func TestWhatWasAppliedChecksClean(t *testing.T) {
	for name, s := range samples() {
		Apply(s)
		for _, f := range Check(s) {
			t.Errorf("%s: %s", name, f.Text(true))
		}
	}
}
