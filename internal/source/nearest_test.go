package source_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"saltmark/internal/source"
)

func TestNearestFindsTheNameThatWasMeant(t *testing.T) {
	keys := []string{"volume", "temperature", "injections", "heart-rate", "age", "ape", "id", "value"}
	for _, c := range []struct{ name, want string }{
		{"volume", "volume"},
		{"volum", "volume"},
		{"vloume", "volume"}, // neighbours exchanged
		{"Volume", "volume"},
		{"heartRate", "heart-rate"},
		{"heart_rate", "heart-rate"},
		{"injektion", "injections"},
		{"tempreature", "temperature"},
		{"temprature", "temperature"},
		{"aze", "age"}, // as near as ape, and before it
		{"ago", "age"},
		{"ie", "id"},
		{"x", ""},
		{"weight", ""},
		{"", ""},
		{strings.Repeat("v", 1000), ""},
	} {
		got, ok := source.Nearest(c.name, keys)
		if got != c.want || ok != (c.want != "") {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestNearestDoesNotDependOnTheOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.SliceOf(rapid.StringMatching(`[abc]{1,5}`)).Draw(t, "names")
		name := rapid.StringMatching(`[abc]{1,5}`).Draw(t, "name")
		got, _ := source.Nearest(name, names)
		slices.Reverse(names)
		if again, _ := source.Nearest(name, names); again != got {
			t.Fatalf("%q and %q", got, again)
		}
		if slices.Contains(names, name) && got != name {
			t.Fatalf("%q is there and %q was given", name, got)
		}
	})
}
