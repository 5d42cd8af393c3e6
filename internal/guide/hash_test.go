package guide_test

import (
	"regexp"
	"testing"

	"saltmark/internal/guide"
)

func TestTheHashOfTheDefinitionsIsTheSameEachTime(t *testing.T) {
	if h := guide.Hash(); !regexp.MustCompile(`^[0-9a-f]{64}$`).MatchString(h) || h != guide.Hash() {
		t.Errorf("hash %q, then %q", h, guide.Hash())
	}
}
