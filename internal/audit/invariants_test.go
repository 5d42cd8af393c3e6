package audit_test

import (
	"encoding/json"
	"os"
	"path"
	"strings"
	"testing"

	"saltmark/internal/finding"
	"saltmark/internal/shape/archive"
)

// invariantRow is one of testdata/invariants.tsv.
type invariantRow struct{ key, element, severity, expression, rules, reason string }

func invariantRows(t *testing.T) []invariantRow {
	t.Helper()
	text, err := os.ReadFile("testdata/invariants.tsv")
	if err != nil {
		t.Fatal(err)
	}
	var all []invariantRow
	for line := range strings.Lines(string(text)) {
		if strings.HasPrefix(line, "#") || strings.HasPrefix(line, "key\t") {
			continue
		}
		c := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		if len(c) != 6 {
			t.Fatalf("invariants.tsv: %q has not six cells", line)
		}
		all = append(all, invariantRow{c[0], c[1], c[2], c[3], c[4], c[5]})
	}
	return all
}

func TestEveryInvariantHasARuleOrAReason(t *testing.T) {
	rows := invariantRows(t)
	if len(rows) < 50 {
		t.Errorf("%d invariants", len(rows))
	}
	for _, row := range rows {
		if (row.rules == "") == (row.reason == "") {
			t.Errorf("%s has the rules %q and the reason %q", row.key, row.rules, row.reason)
		}
		for _, id := range strings.Fields(row.rules) {
			rule, known := finding.RuleOf(id)
			switch grave := rule.Severity == finding.Error; {
			case !known:
				t.Errorf("%s: there is no rule %s", row.key, id)
			case grave != (row.severity == "error"):
				t.Errorf("%s is an %s, %s is not", row.key, row.severity, id)
			}
		}
	}
}

// definition is what the test looks at in a StructureDefinition.
type definition struct {
	ID             string
	BaseDefinition string
	Snapshot       struct{ Element []elementDefinition }
}

type elementDefinition struct {
	Path string
	Type []struct {
		Code    string
		Profile []string
	}
	Constraint []struct{ Key, Severity, Expression string }
}

// reachable gives the names of the types in and under an element definition.
func (d definition) reachable() []string {
	names := []string{path.Base(d.BaseDefinition)}
	for _, e := range d.Snapshot.Element {
		for _, t := range e.Type {
			if t.Code != "Resource" { // any resource may stand there; each is in the list or is not judged
				names = append(names, t.Code)
			}
			for _, profile := range t.Profile {
				names = append(names, path.Base(profile))
			}
		}
	}
	return names
}

// definitionsIn reads the StructureDefinitions of the package of examples.
func definitionsIn(t *testing.T, file string) map[string]definition {
	t.Helper()
	all := map[string]definition{}
	err := archive.Each(file, func(name string, text []byte) error {
		if !strings.HasPrefix(name, "StructureDefinition-") {
			return nil
		}
		var d definition
		err := json.Unmarshal(text, &d)
		all[d.ID] = d
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// TestTheListOfInvariantsIsWhole compares the list with the official definitions, where
// SALTMARK_EXAMPLES names their package (testdata/examples/run).
func TestTheListOfInvariantsIsWhole(t *testing.T) {
	file := os.Getenv("SALTMARK_EXAMPLES")
	if file == "" {
		t.Skip("SALTMARK_EXAMPLES is not set; testdata/examples/run sets it")
	}
	all := definitionsIn(t, file)
	var todo []string
	for kind := range exampleTypes {
		todo = append(todo, kind)
	}
	seen, official := map[string]bool{}, map[string]invariantRow{}
	for len(todo) > 0 {
		d, known := all[todo[0]]
		todo = todo[1:]
		if !known || seen[d.ID] {
			continue
		}
		seen[d.ID] = true
		todo = append(todo, d.reachable()...)
		for _, e := range d.Snapshot.Element {
			for _, c := range e.Constraint {
				official[c.Key] = invariantRow{key: c.Key, severity: c.Severity, expression: c.Expression}
			}
		}
	}
	for _, row := range invariantRows(t) {
		is, there := official[row.key]
		if !there || is.severity != row.severity || is.expression != row.expression {
			t.Errorf("invariants.tsv has %+v, FHIR R4 %+v", row, is)
		}
		delete(official, row.key)
	}
	for key := range official {
		t.Errorf("invariants.tsv lacks %s", key)
	}
	if len(seen) < 60 {
		t.Errorf("%d types were seen", len(seen))
	}
}
