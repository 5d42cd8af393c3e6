package source_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
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

func TestUnknownKeysAreToldWithTheirPlace(t *testing.T) {
	doc := readYAML(t, "a:\n  volum: 1\n  wieght: 2\n  x/y: 3\n  age: 4\n")
	list := doc.UnknownKeys(doc.Find("/a"), "/a", []string{"volume", "weight", "age"})
	if diff := cmp.Diff([]string{
		`t.yaml:2:3 unknown-key error: key "volum" is not known here; did you mean "volume"? @/a/volum`,
		`t.yaml:3:3 unknown-key error: key "wieght" is not known here; did you mean "weight"? @/a/wieght`,
		`t.yaml:4:3 unknown-key error: key "x/y" is not known here; known are volume, weight, age @/a/x~1y`,
	}, told(list)); diff != "" {
		t.Error(diff)
	}
	if list := doc.UnknownKeys(doc.Find("/a/age"), "/a/age", nil); list != nil {
		t.Error("a number has no keys")
	}
}
