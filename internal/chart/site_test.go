package chart_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saltmark/internal/chart"
	"saltmark/internal/finding"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/mapping"
)

// settingsWith gives the demo settings with pieces exchanged: old, new, old, new.
func settingsWith(t *testing.T, pieces ...string) *site.Settings {
	t.Helper()
	text, err := os.ReadFile("../site/demo.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(pieces); i += 2 {
		if !bytes.Contains(text, []byte(pieces[i])) {
			t.Fatalf("the demo settings have no %q", pieces[i])
		}
		text = bytes.Replace(text, []byte(pieces[i]), []byte(pieces[i+1]), 1)
	}
	doc, list := source.ReadYAML("site.yaml", text, source.SheetLimits())
	settings, more := site.Read(doc)
	if settings == nil {
		t.Fatal(list, more)
	}
	return settings
}

// chartedUnder charts a demo sheet, changed, under settings.
func chartedUnder(t *testing.T, settings *site.Settings, name string, change func(string) string) chart.Result {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(sheetFolder, name))
	if err != nil {
		t.Fatal(err)
	}
	return chart.Sheet(name, []byte(change(string(text))), chart.Options{Site: settings, Software: mapping.Software{Name: "saltmark", Version: "golden"}})
}

func asItIs(text string) string { return text }

const described = "    model: Invented dilution monitor A\n    serial: DEMO-MONITOR-1\n"

// A monitor that the record holds is referred to, audited and read back; no Device of
// it is written.
func TestAMonitorOfTheRecordIsReferredTo(t *testing.T) {
	for _, c := range []struct{ setting, reference string }{
		{"    reference: Device/demo-1\n", `"usedReference":[{"reference":"Device/demo-1","type":"Device","display":"m1"}`},
		{"    identifier: {system: \"urn:oid:2.999.5\", value: DEMO-1}\n", `"usedReference":[{"type":"Device","identifier":{"system":"urn:oid:2.999.5","value":"DEMO-1"},"display":"m1"}`},
	} {
		settings := settingsWith(t, described, c.setting)
		r := chartedUnder(t, settings, "01-plain-infant.yaml", asItIs)
		for _, f := range r.Findings {
			if f.Severity > finding.Info {
				t.Errorf("%s%s", c.setting, f.Text(true))
			}
		}
		if !bytes.Contains(r.Bundle, []byte(c.reference)) || bytes.Contains(r.Bundle, []byte("DEMO-MONITOR-1")) {
			t.Errorf("%s is not what the bundle refers to", c.setting)
		}
		s, found := mapping.Read("bundle", r.Bundle)
		if found.HasErrors() || len(s.Devices) == 0 || s.Devices[0].Key != "m1" || s.Devices[0].Reference.IsZero() {
			t.Errorf("%v %v", s.Devices, found)
		}
		r = chartedUnder(t, settings, "01-plain-infant.yaml", func(text string) string {
			return strings.Replace(text, "monitor: m1", `monitor: {name: m1, software: "2.10"}`, 1)
		})
		if rules(r) != "monitor-of-the-record" || r.Bundle == nil {
			t.Errorf("with a version of the software: %s", rules(r))
		}
	}
}

func TestLiteralReferencesAreAskedFor(t *testing.T) {
	settings := settingsWith(t, "write:\n", "write:\n  subject: literal\n")
	if r := chartedUnder(t, settings, "02-minimal.yaml", asItIs); rules(r) != "reference-not-literal" || r.Bundle != nil {
		t.Errorf("%s", rules(r))
	}
	r := chartedUnder(t, settings, "02-minimal.yaml", func(text string) string {
		return strings.Replace(text, "patient: DEMO-P-0002", "patient: {reference: Patient/p-77}", 1)
	})
	if rules(r) != "" || !bytes.Contains(r.Bundle, []byte(`"reference":"Patient/p-77"`)) {
		t.Errorf("%s", rules(r))
	}
}

// Nothing is charted under settings of production that nobody approved, whoever calls.
func TestUnapprovedSettingsChartNothing(t *testing.T) {
	r := chartedUnder(t, settingsWith(t, "environment: test", "environment: production"), "02-minimal.yaml", func(text string) string {
		return strings.Replace(text, "  test: \"yes\"\n", "", 1)
	})
	if rules(r) != "settings-not-approved" || r.Bundle != nil {
		t.Errorf("%s", rules(r))
	}
}

// rules names the rules of the findings that are more than information.
func rules(r chart.Result) string {
	var all []string
	for _, f := range r.Findings {
		if f.Severity > finding.Info {
			all = append(all, f.Rule)
		}
	}
	return strings.Join(all, " ")
}
