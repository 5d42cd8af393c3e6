package main

import (
	"flag"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"
)

// release adds the names of today to the list of those that last: make cut.
var release = flag.String("release", "", "version that the names of today are released with")

// lastingFile lists what others build on once it is released, one name a line: kind,
// name, what it means to them, and the version that first had it. What stands there
// stays.
const lastingFile = "../../testdata/released/lasting.tsv"

const lastingHead = "# What others build on: it stays, with this meaning. make cut adds what a release brings.\nkind\tname\tmeaning\tsince\n"

// lastingName is a name that others build on.
type lastingName struct{ kind, name string }

func (n lastingName) String() string { return n.kind + " " + n.name }

// lastingWord is what a name means, and the version that first had it.
type lastingWord struct{ meaning, since string }

// namesOfToday gathers every name that others may build on.
func namesOfToday(t *testing.T) map[lastingName]string {
	t.Helper()
	today := map[lastingName]string{}
	for _, k := range lastingKinds {
		names := k.names(t)
		if len(names) == 0 {
			t.Errorf("there is no name of the kind %s", k.kind)
		}
		for name, meaning := range names {
			today[lastingName{k.kind, name}] = meaning
		}
	}
	return today
}

// readLasting reads the list.
func readLasting(t *testing.T) map[lastingName]lastingWord {
	t.Helper()
	text, err := os.ReadFile(lastingFile)
	if err != nil {
		t.Fatal(err)
	}
	list := map[lastingName]lastingWord{}
	for line := range strings.Lines(strings.TrimPrefix(string(text), lastingHead)) {
		cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		if len(cells) != 4 || cells[0] == "" || cells[1] == "" || cells[3] == "" {
			t.Fatalf("lasting.tsv: %q is no line of four cells", line)
		}
		n := lastingName{cells[0], cells[1]}
		if _, twice := list[n]; twice {
			t.Errorf("lasting.tsv: %s stands there twice", n)
		}
		list[n] = lastingWord{cells[2], cells[3]}
	}
	return list
}

// lost tells what of a list is no more, or means something else today.
func lost(list map[lastingName]lastingWord, today map[lastingName]string) []string {
	var lost []string
	for n, was := range list {
		switch now, there := today[n]; {
		case !there:
			lost = append(lost, fmt.Sprintf("%s was released with %s and is gone", n, was.since))
		case now != was.meaning:
			lost = append(lost, fmt.Sprintf("%s was released with %s as %q and is %q now", n, was.since, was.meaning, now))
		}
	}
	slices.Sort(lost)
	return lost
}

func TestNamesOfReleasesLast(t *testing.T) {
	list, today := readLasting(t), namesOfToday(t)
	for _, l := range lost(list, today) {
		t.Errorf("%s; others build on it: keep it, and let what is new stand beside it", l)
	}
	if *release == "" || t.Failed() {
		return
	}
	for n, meaning := range today {
		if _, there := list[n]; !there {
			list[n] = lastingWord{meaning, *release}
		}
	}
	var b strings.Builder
	b.WriteString(lastingHead)
	for _, n := range slices.SortedFunc(maps.Keys(list), func(a, b lastingName) int { return strings.Compare(a.kind+"\t"+a.name, b.kind+"\t"+b.name) }) {
		fmt.Fprintf(&b, "%s\t%s\t%s\t%s\n", n.kind, n.name, list[n].meaning, list[n].since)
	}
	if err := os.WriteFile(lastingFile, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestALostNameIsTold(t *testing.T) {
	today := map[lastingName]string{{"measure", "weight"}: "quantity kg", {"rule", "unit-missing"}: ""}
	list := map[lastingName]lastingWord{
		{"measure", "weight"}: {"quantity g", "0.1.0"}, {"rule", "unit-missing"}: {"", "0.1.0"}, {"rule", "unit-lost"}: {"", "0.2.0"},
	}
	want := []string{
		`measure weight was released with 0.1.0 as "quantity g" and is "quantity kg" now`,
		"rule unit-lost was released with 0.2.0 and is gone",
	}
	if got := lost(list, today); !slices.Equal(got, want) {
		t.Errorf("got %q", got)
	}
}

func TestNamesOfEveryKindAreSeen(t *testing.T) {
	today := namesOfToday(t)
	for _, n := range []lastingName{
		{"measure", "blood-flow"}, {"measure-code", "blood-flow http://loinc.org|8737-9"}, {"local-code", "systemic-blood-flow"},
		{"flow-label", "Qs-LVO-RVO-Qp"}, {"reason", "not-assessed"}, {"value", "origin/derived"}, {"rule", "unit-missing"},
		{"canonical", "/StructureDefinition/flow-label"}, {"canonical", "/sid/session"}, {"canonical", "/CodeSystem/measures"},
		{"identity", "{}/session/blood-flow/derived"}, {"identity", "{}/injection-{}/blood-flow/reported"}, {"identity", "{}/report"}, {"identity", "{}/loop"},
		{"exit-code", "usage"}, {"command", "saltmark chart --out"}, {"json-field", "findings[].place.line"}, {"json-field", "report.documents[].outcome"},
		{"format", "saltmark: 1"}, {"format", "saltmark: 2"}, {"format", "saltmark-site: 1"},
		{"sheet-key", "injections[].volume"}, {"sheet-key", "session.id"}, {"settings-key", "base"},
	} {
		if _, there := today[n]; !there {
			var near []string
			for m := range today {
				if m.kind == n.kind {
					near = append(near, m.name)
				}
			}
			slices.Sort(near)
			t.Errorf("%s is not there; there are %d: %v", n, len(near), near[:min(len(near), 60)])
		}
	}
}
