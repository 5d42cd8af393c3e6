package migrate

import (
	"testing"

	"saltmark/internal/source"
)

// Each step is tried by itself, whatever the newest version is.
func TestTheEnvironmentTakesThePlaceOfTestData(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"test", "saltmark-site: 1 # v\nname: a\ntest-data: \"yes\" # t\n", "saltmark-site: 2 # v\nname: a\nenvironment: \"test\" # t\n"},
		{"without quotes", "test-data: yes\nsaltmark-site: 1\n", "environment: test\nsaltmark-site: 2\n"},
		{"production", "saltmark-site: 1\ntest-data: 'no'\n", "saltmark-site: 2\nenvironment: 'production'\n"},
		{"nothing said", "# head\nsaltmark-site: 1 # v\n\nname: a\n", "# head\nsaltmark-site: 2 # v\nenvironment: \"production\"\n\nname: a\n"},
		{"nothing said on the last line", "name: a\nsaltmark-site: 1", "name: a\nsaltmark-site: 2\nenvironment: \"production\"\n"},
		{"JSON", `{"saltmark-site":1,"test-data":"yes"}`, `{"saltmark-site":2,"environment":"test"}`},
		{"JSON, nothing said", `{"saltmark-site":1}`, `{"environment": "production", "saltmark-site":2}`},
		{"a byte order mark", "\uFEFFsaltmark-site: 1\r\nname: a\r\n", "\uFEFFsaltmark-site: 2\r\nenvironment: \"production\"\r\nname: a\r\n"},
		{"neither", "saltmark-site: 1\ntest-data: perhaps\n", ""},
		{"a truth", "saltmark-site: 1\ntest-data: true\n", ""},
		{"said already", "saltmark-site: 1\nenvironment: test\n", ""},
		{"by an alias", "x: &y \"yes\"\nsaltmark-site: 1\ntest-data: *y\n", ""},
	} {
		doc, list := source.Read("site.yaml", []byte(c.text), source.SheetLimits())
		if list.HasErrors() {
			t.Fatalf("%s: %v", c.name, list)
		}
		next, found := stepOf("saltmark-site", 1).take(doc, Answers{})
		switch {
		case c.want == "" && (found == nil || found.Rule != "migration-by-hand"):
			t.Errorf("%s: %v is found; it is to be done by hand", c.name, found)
		case c.want != "" && found != nil:
			t.Errorf("%s: %v", c.name, found)
		case c.want != "" && string(next.Text) != c.want:
			t.Errorf("%s: %q, want %q", c.name, next.Text, c.want)
		}
	}
}

// A version without a step would be a dead end.
func TestEveryEarlierVersionHasItsStep(t *testing.T) {
	for _, k := range kinds() {
		for version := 1; version < k.newest; version++ {
			if stepOf(k.key, version) == nil {
				t.Errorf("no step leads on from version %d of the %s", version, k.called)
			}
		}
	}
}
