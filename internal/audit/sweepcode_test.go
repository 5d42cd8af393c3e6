package audit_test

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
)

// anotherCode changes a code, a label, a status or a unit to another valid one.
func anotherCode(t *testing.T) func(leaf) string {
	bySystem := codesInUse(t)
	return func(l leaf) string {
		system := ""
		if s := l.holder.Get("system"); s != nil {
			system = s.Text
		}
		switch {
		case l.Kind != source.String:
			return ""
		case l.name == "status" && l.holder.Get("div") != nil:
			return next([]string{"additional", "extensions", "generated"}, l.Text)
		case l.name == "status":
			return next([]string{"amended", "completed", "corrected", "final", "not-done", "preliminary"}, l.Text)
		case l.name == "method":
			return next([]string{"POST", "PUT"}, l.Text)
		case l.name == "valueCode":
			return next(measure.SetNames("origin"), l.Text)
		case l.name != "code":
			return ""
		case system == terms.SystemUCUM:
			return unitBeside(bySystem[system], l.Text)
		case strings.HasSuffix(system, measure.ValueCodes):
			return valueBeside(l.Text)
		}
		return next(bySystem[system], l.Text)
	}
}

// codesInUse gives the codes of each system in the goldens, sorted.
func codesInUse(t *testing.T) map[string][]string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(bundles, "*.json"))
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]map[string]bool{}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		doc, _ := source.ReadJSON(path, text, source.ResourceLimits())
		for _, l := range leavesOf(doc) {
			if system := l.holder.Get("system"); l.name == "code" && system != nil {
				if seen[system.Text] == nil {
					seen[system.Text] = map[string]bool{}
				}
				seen[system.Text][l.Text] = true
			}
		}
	}
	all := map[string][]string{}
	for system, codes := range seen {
		all[system] = slices.Sorted(maps.Keys(codes))
	}
	return all
}

// next gives the one after s in a list, the first after the last.
func next(list []string, s string) string {
	if len(list) == 0 {
		return ""
	}
	return list[(slices.Index(list, s)+1)%len(list)]
}

// unitBeside gives another unit of the same dimension where there is one.
func unitBeside(units []string, unit string) string {
	for _, u := range append(units, "mL/min", "L", "g", "min", "d", "1", "kPa") {
		if u != unit && ucum.Commensurable(u, unit) {
			return u
		}
	}
	return next(units, unit)
}

// valueBeside gives another value of a set that has this one.
func valueBeside(code string) string {
	for _, set := range measure.Sets() {
		if names := measure.SetNames(set); len(names) > 1 && slices.Contains(names, code) {
			return next(names, code)
		}
	}
	return ""
}
