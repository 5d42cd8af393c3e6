package site_test

import (
	"bytes"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"saltmark/internal/finding"
	"saltmark/internal/schema"
	"saltmark/internal/sheet"
	"saltmark/internal/sheet/sheettest"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

func demoText(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("demo.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// changed gives the demo settings with pieces exchanged: old, new, old, new.
func changed(t *testing.T, pieces ...string) string {
	t.Helper()
	s := demoText(t)
	for i := 0; i < len(pieces); i += 2 {
		if !strings.Contains(s, pieces[i]) {
			t.Fatalf("the demo settings have no %q", pieces[i])
		}
		s = strings.Replace(s, pieces[i], pieces[i+1], 1)
	}
	return s
}

func read(text string) (*site.Settings, finding.List) {
	doc, list := source.ReadYAML("site.yaml", []byte(text), source.SheetLimits())
	t, more := site.Read(doc)
	return t, append(list, more...)
}

func TestThePublishedSchemaIsCurrent(t *testing.T) {
	const published = "site.schema.json"
	want := site.Schema()
	if *update {
		if err := os.WriteFile(published, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(published)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not what the tables give; go generate makes it anew", published)
	}
	if _, err := schema.Compile(published, got); err != nil {
		t.Error(err)
	}
}

func TestDemoSettingsReadAndSayThatTheyAreInvented(t *testing.T) {
	if _, list := read(demoText(t)); len(list) > 0 {
		t.Fatal(list)
	}
	if demo := site.Demo(); !demo.Test || !strings.Contains(demo.Name, "Invented") {
		t.Error("the demo settings pass for those of a site")
	}
}

// TestWhatTheDemoShowsBesideIsReadToo puts each line that begins with "#|" in force, in
// place of the line above it where that is of the same key.
func TestWhatTheDemoShowsBesideIsReadToo(t *testing.T) {
	lines := strings.Split(demoText(t), "\n")
	shown := 0
	for i, line := range lines {
		indent, in, ok := strings.Cut(line, "#| ")
		if !ok {
			continue
		}
		shown++
		key, _, _ := strings.Cut(in, ":")
		changed := slices.Clone(lines)
		for j := range changed {
			if strings.HasPrefix(changed[j], indent+key+":") {
				changed[j] = ""
			}
		}
		changed[i] = indent + in
		if _, list := read(strings.Join(changed, "\n")); len(list) > 0 {
			t.Errorf("%s: %v", in, list)
		}
	}
	if shown < 5 {
		t.Errorf("%d lines are shown", shown)
	}
}

func TestSettingsAreReadStrictly(t *testing.T) {
	for _, c := range []struct {
		name string
		text []string
		want string // the one finding
	}{
		{"misspelt key", []string{"tolerance:", "tolerence:"}, "schema-unknown-element"},
		{"no source", []string{`{value: 20 min, source: "common practice, no source"}`, "{value: 20 min}"}, "schema-required"},
		{"no limit", []string{`  longest-gap: {value: 20 min, source: "common practice, no source"}` + "\n", ""}, "setting-missing"},
		{"no limit of the time on the loop", []string{`    time-on-loop: {value: 120 min, source: "common practice, no source"}` + "\n", ""}, "setting-missing"},
		{"a limit below zero", []string{"fluid-given-by-weight: {value: 10 mL/kg", "fluid-given-by-weight: {value: -10 mL/kg"}, "value-negative"},
		{"variation without its degrees of freedom", []string{"  degrees-of-freedom: {value: 60 1, source: invented for the demo}\n", ""}, "setting-missing"},
		{"wrong dimension", []string{"value: 20 min", "value: 20 mL"}, "unit-dimension"},
		{"no unit", []string{"value: 20 min", `value: "20"`}, "unit-missing"},
		{"unknown answer", []string{"lung-recirculation: unknown", "lung-recirculation: perhaps"}, "code-unknown"},
		{"ages out of order", []string{"from: 31 d", "from: 1 d"}, "setting-order"},
		{"base that ends in a slash", []string{"base: https://saltmark.example/fhir", "base: https://saltmark.example/fhir/"}, "schema-pattern"},
		{"language without our words", []string{"language: en", "language: tlh"}, "schema-enum"},
		{"name of a monitor", []string{"  m2:", `  "m 2":`}, "name-form"},
		{"version", []string{"saltmark-site: 2", "saltmark-site: 3"}, "schema-enum"},
		{"no environment", []string{"environment: test\n", ""}, "schema-required"},
		{"environment", []string{"environment: test", "environment: prod"}, "schema-enum"},
		{"the word of version 1", []string{"environment: test", "environment: test\ntest-data: yes"}, "schema-unknown-element"},
		{"approval without a hash", []string{"environment: test", "environment: test\napproved: {by: demo-person-1, at: 2031-05-01}"}, "schema-required"},
		{"approval on no day", []string{"environment: test", "environment: test\napproved: {by: demo-person-1, at: 2031-02-30, sha256: \"" + strings.Repeat("0", 64) + "\"}"}, "setting-date"},
		{"hash that is none", []string{"environment: test", "environment: test\napproved: {by: demo-person-1, at: 2031-05-01, sha256: \"0123\"}"}, "schema-pattern"},
		{"system with another key", []string{"patient: https:", "patient: {system: \"urn:oid:2.999.1\", patern: x}\n  # https:"}, "schema-unknown-element"},
		{"system without an address", []string{"patient: https:", "patient: {pattern: \"[0-9]+\"}\n  # https:"}, "schema-required"},
		{"bad pattern", []string{"patient: https:", "patient: {system: \"urn:oid:2.999.1\", pattern: \"P-([0-9\"}\n  # https:"}, "setting-pattern"},
		{"pattern that leaves its brackets", []string{"patient: https:", "patient: {system: \"urn:oid:2.999.1\", pattern: \"a)|(b\"}\n  # https:"}, "setting-pattern"},
		{"pattern that looks back", []string{"patient: https:", "patient: {system: \"urn:oid:2.999.1\", pattern: \"(?=a)b\"}\n  # https:"}, "setting-pattern"},
		{"pattern that repeats without end", []string{"patient: https:", "patient: {system: \"urn:oid:2.999.1\", pattern: \"((a{1000}){1000}){1000}\"}\n  # https:"}, "setting-pattern"},
		{"pattern of two groups", []string{"patient: https:", "patient: {system: \"urn:oid:2.999.1\", pattern: \"(a)(b)\"}\n  # https:"}, "setting-pattern"},
		{"scheme of nobody", []string{"patient: https:", "patient: {system: \"urn:oid:2.999.1\", check-digit: mod-10}\n  # https:"}, "schema-enum"},
		{"weights without a scheme", []string{"patient: https:", "patient: {system: \"urn:oid:2.999.1\", weights: [2, 3]}\n  # https:"}, "setting-check-digit"},
		{"scheme without weights", []string{"patient: https:", "patient: {system: \"urn:oid:2.999.1\", check-digit: weighted-mod-11}\n  # https:"}, "setting-check-digit"},
		{"weight of nought", []string{"patient: https:", "patient: {system: \"urn:oid:2.999.1\", check-digit: weighted-mod-11, weights: [2, 0]}\n  # https:"}, "schema-range"},
		{"what sessions look like", []string{"patient: https:", "session: {system: \"urn:oid:2.999.1\"}\n  patient: https:"}, "schema-type"},
		{"right of nobody", []string{"write:\n", "people: {demo-person-7: {may: [prescribe]}}\nwrite:\n"}, "schema-enum"},
		{"person until before from", []string{"write:\n", "people: {demo-person-7: {may: [operate], from: 2031-02-01, until: 2031-01-01}}\nwrite:\n"}, "setting-date"},
		{"monitor referred to in two ways", []string{"    model: Invented dilution monitor A\n    serial: DEMO-MONITOR-1\n", "    reference: Device/m-1\n    identifier: {system: \"urn:oid:2.999.5\", value: M1}\n"}, "setting-device"},
		{"monitor referred to and described", []string{"    serial: DEMO-MONITOR-1\n", "    reference: Device/m-1\n"}, "setting-device"},
		{"monitor that is no Device", []string{"    serial: DEMO-MONITOR-1\n", "    reference: Patient/m-1\n"}, "schema-pattern"},
		{"tubing set of the record", []string{"    model: Invented infant tubing set\n", "    reference: Device/m-1\n"}, "schema-unknown-element"},
		{"young below a weight", []string{"young-below: {value: 28 d", "young-below: {value: 28 kg"}, "unit-dimension"},
		{"form of nobody", []string{"write:\n", "write:\n  form: batch\n"}, "setting-write"},
		{"subject left out", []string{"write:\n", "write:\n  subject: none\n"}, "setting-write"},
		{"limit of no row", []string{"oxygen:", "plausible:\n  - {rule: plausible-heart-rate, of: weight, high: 9 kg, source: x}\noxygen:"}, "setting-range"},
		{"limit beyond what is possible", []string{"oxygen:", "plausible:\n  - {rule: plausible-heart-rate, of: heart-rate, high: 500 /min, source: x}\noxygen:"}, "setting-range"},
	} {
		t.Run(c.name, func(t *testing.T) {
			settings, list := read(changed(t, c.text...))
			if len(list) != 1 || list[0].Rule != c.want || settings != nil {
				t.Errorf("%v, want one %s", list, c.want)
			}
		})
	}
}

func TestASiteSetsItsOwnPlausibleLimits(t *testing.T) {
	settings, list := read(changed(t, "oxygen:", "plausible:\n  - {rule: plausible-weight-for-age, of: weight, from: 28 d, high: 18 kg, source: our own}\noxygen:"))
	if len(list) > 0 {
		t.Fatal(list)
	}
	for i, r := range settings.Ranges {
		want := sheet.DefaultRanges()[i]
		if r.Rule == "plausible-weight-for-age" && r.FromDays == 28 {
			want.High, want.Source = "18", "our own"
		}
		if diff := cmp.Diff(want, r); diff != "" {
			t.Error(diff)
		}
	}
}

func TestTheHashIsThatOfWhatIsDecided(t *testing.T) {
	hash := site.Demo().Hash()
	for name, text := range map[string]string{
		"a comment":           demoText(t) + "# more words\n",
		"another notation":    changed(t, "tolerance: {value: \"10 %\"", "tolerance: {value: 10 %"),
		"a default left out":  changed(t, "language: en\n", ""),
		"a default spelt out": changed(t, "systems:\n", "systems:\n  device: https://saltmark.example/fhir/sid/device\n"),
		"an age left out":     changed(t, "  young-below: {value: 28 d, source: \"common practice, no source\"}\n", ""),
	} {
		settings, list := read(text)
		if list.HasErrors() {
			t.Fatal(name, list)
		}
		if settings.Hash() != hash {
			t.Errorf("%s changes the hash", name)
		}
	}
	for name, text := range map[string]string{
		"a limit":  changed(t, "value: 20 min", "value: 25 min"),
		"a digit":  changed(t, "value: 20 min", "value: 20.0 min"),
		"a source": changed(t, "invented for the demo", "invented"),
		"a device": changed(t, "DEMO-MONITOR-1", "DEMO-MONITOR-9"),
	} {
		if settings, _ := read(text); settings.Hash() == hash {
			t.Errorf("%s does not change the hash", name)
		}
	}
}

func TestBloodVolumeIsThatOfAgeAndSex(t *testing.T) {
	// Linderkamp et al. 1977, table 1, as the demo settings quote it.
	for _, c := range []struct{ birth, sex, want string }{
		{"2031-05-03", "", "81.9 mL/kg"},
		{"2031-05-02", "", "81.9 mL/kg"},
		{"2031-05-01", "", "84.4 mL/kg"},
		{"2031-04-03", "", "84.4 mL/kg"},
		{"2031-04-02", "", "79.4 mL/kg"},
		{"2030-09-01", "female", "82.4 mL/kg"},
		{"2028-06-01", "male", "80.5 mL/kg"},
		{"2028-06-01", "female", "79.0 mL/kg"},
		{"2028-06-01", "", "79.0 mL/kg"},
		{"2026-06-01", "unknown", "76.7 mL/kg"},
		{"1986-06-01", "female", "65 mL/kg"},
		{"", "male", ""},
	} {
		s := &record.Session{Start: "2031-05-03T14:20:00+02:00"}
		add := func(key string, v record.Value) {
			s.Facts = append(s.Facts, record.Fact{Ref: record.Ref{About: record.TheSession, Measure: key, Origin: record.Stated}, Value: v})
		}
		if c.birth != "" {
			add("birth-date", record.Value{Time: record.Time(c.birth)})
		}
		if c.sex != "" {
			add("sex", record.Value{Code: c.sex})
		}
		site.Demo().Complete(s)
		got := ""
		if f := s.Get(record.TheSession, "blood-volume-by-weight"); f != nil {
			got = f.Value.Quantity.String()
		}
		if got != c.want {
			t.Errorf("born %s, %q: %s, want %s", c.birth, c.sex, got, c.want)
		}
	}
}

func TestWhatTheSheetStatesStays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sheettest.Session().Draw(t, "session")
		before := map[record.Ref]record.Fact{}
		for _, f := range s.Facts {
			before[f.Ref] = f
		}
		if list := site.Demo().Complete(s); len(list) > 0 {
			t.Fatal(list)
		}
		about := map[[2]string]int{}
		for _, f := range s.Facts {
			if f.Origin == record.Setting {
				about[[2]string{string(f.About.Kind), f.Measure}]++
			} else if diff := cmp.Diff(before[f.Ref], f); diff != "" {
				t.Fatal(diff)
			}
			if f.About == record.TheSession {
				about[[2]string{"any", f.Measure}]++
			}
		}
		for key, n := range about {
			if n > 1 {
				t.Fatalf("%v has %d values", key, n)
			}
		}
	})
}

func TestCompletingTwiceIsCompletingOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sheettest.Session().Draw(t, "session")
		site.Demo().Complete(s)
		once := *s
		once.Facts, once.Devices = slices.Clone(s.Facts), slices.Clone(s.Devices)
		site.Demo().Complete(s)
		if diff := cmp.Diff(&once, s, cmpopts.IgnoreFields(record.Session{}, "Places")); diff != "" {
			t.Fatal(diff)
		}
	})
}

func TestEveryMeasureOfTheSettingsIsInTheDemo(t *testing.T) {
	demo := site.Demo()
	for i := range measure.All() {
		m := &measure.All()[i]
		if m.Setting == "" {
			continue
		}
		_, supplied := demo.Supplies[m.Key]
		for _, devices := range []map[string]site.Device{demo.Monitors, demo.Loops} {
			for _, d := range devices {
				_, there := d.Values[m.Key]
				supplied = supplied || there
			}
		}
		// A flush without heparin, and profiles that a remark shows.
		if !supplied && m.Key != "flush-heparin" && m.Key != "national-profiles" {
			t.Errorf("the demo settings do not say %s", m.Setting)
		}
	}
}
