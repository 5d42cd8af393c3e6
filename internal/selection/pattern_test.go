package selection

import (
	"path"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// Without brackets and slashes a pattern means what it means to the standard library.
func TestAPatternFitsWhatItSays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pattern := rapid.StringOfN(rapid.SampledFrom([]rune("ab*?ä")), 0, 12, -1).Draw(t, "pattern")
		text := rapid.StringOfN(rapid.SampledFrom([]rune("abä")), 0, 12, -1).Draw(t, "text")
		want, err := path.Match(pattern, text)
		if err != nil {
			t.Fatal(err)
		}
		if fits(pattern, text) != want {
			t.Errorf("%q fits %q: want %v", pattern, text, want)
		}
	})
}

func TestBracketsAndSlashesAreThemselves(t *testing.T) {
	for _, row := range []struct {
		pattern, text string
		want          bool
	}{{"a[0]", "a[0]", true}, {"a[0]", "a0", false}, {"*", "a/b/c", true}, {"/a/*", "/a/b/c", true}, {"", "", true}, {"", "a", false}, {`\`, `\`, true}} {
		if fits(row.pattern, row.text) != row.want {
			t.Errorf("%q fits %q: want %v", row.pattern, row.text, row.want)
		}
	}
}

// No pattern takes exponential time.
func TestAPatternOfManyStarsEndsSoon(t *testing.T) {
	begun := time.Now()
	if fits(strings.Repeat("a*", 100)+"b", strings.Repeat("a", 20_000)) {
		t.Error("it fits")
	}
	if took := time.Since(begun); took > 10*time.Second {
		t.Errorf("took %v", took)
	}
}
