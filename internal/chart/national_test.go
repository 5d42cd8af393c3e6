package chart_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/internal/r4"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

const nationalFolder = "../../testdata/national"

// siteWithProfiles gives the demo settings that ask for national profiles.
func siteWithProfiles(t *testing.T) *site.Settings {
	t.Helper()
	return settingsWith(t, "#| profiles:", "profiles:")
}

// nationalGoldens are sheets charted under such settings, with how many profiles their
// bundles claim: none where nobody verified, where the flow is not the left ventricle's,
// where it is withheld, and where the session was taken back.
var nationalGoldens = []struct {
	sheet  string
	claims int
}{
	{"01-plain-infant", 4},
	{"02-minimal", 0},
	{"03-term-duct-area-counted", 0},
	{"05-preterm-foramen", 2},
	{"16-no-agreeing-pair", 0},
	{"27-with-traces", 4},
	{"series-1-preliminary", 0},
	{"series-2-final", 4},
	{"series-3-corrected", 4},
	{"series-4-withdrawn", 0},
}

func TestFinalValuesOfTheLeftVentricleClaimNationalProfilesWhereTheSiteAsks(t *testing.T) {
	settings := siteWithProfiles(t)
	var previous *record.Session // of the series
	for _, g := range nationalGoldens {
		path := filepath.Join(sheetFolder, g.sheet+".yaml")
		number, series := strings.CutPrefix(g.sheet, "series-")
		if series {
			path = filepath.Join(sheetFolder, "series", number+".yaml")
		}
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		o := options(filepath.Dir(path), previous)
		o.Site = settings
		r := chart.Sheet(filepath.Base(path), text, o)
		if r.Findings.HasErrors() || r.Bundle == nil {
			t.Fatalf("%s was not charted: %v", g.sheet, r.Findings)
		}
		compareGolden(t, filepath.Join(nationalFolder, g.sheet+".json"), indented(t, r.Bundle))
		if n := claimsIn(t, r.Bundle); n != g.claims {
			t.Errorf("%s: %d values claim a profile, %d wanted", g.sheet, n, g.claims)
		}
		for _, f := range audit.Check(g.sheet, r.Bundle, audit.Options{}) {
			t.Errorf("%s: %s", g.sheet, f.Text(true))
		}
		back, found := mapping.Read(g.sheet, r.Bundle)
		if len(found) > 0 || back.Code(record.TheSession, "national-profiles") != "german-intensive-care" {
			t.Errorf("%s: %v", g.sheet, found)
		}
		if series {
			previous = back
		}
	}
	kept, err := filepath.Glob(filepath.Join(nationalFolder, "*.json"))
	if err != nil || len(kept) != len(nationalGoldens) {
		t.Errorf("%d goldens for %d sheets, %v", len(kept), len(nationalGoldens), err)
	}
}

func claimsIn(t *testing.T, bundle []byte) int {
	t.Helper()
	doc, _ := source.ReadJSON("", bundle, source.ResourceLimits())
	n := 0
	for _, e := range r4.Items(doc.Root, "entry") {
		for _, claim := range r4.Items(e.Get("resource").Get("meta"), "profile") {
			if _, _, known := terms.ProfileAt(claim.Text); known {
				n++
			}
		}
	}
	return n
}

// A value that claims a profile is the one that it is without: its identity stays, its
// number, its label; what a reader finds of it too.
func TestAClaimChangesNoFactAndNoIdentity(t *testing.T) {
	plain, claiming := underSite(t, site.Demo(), "01-plain-infant"), underSite(t, siteWithProfiles(t), "01-plain-infant")
	of := func(s *record.Session) string {
		var facts []record.Fact
		for _, f := range s.Facts {
			if f.Measure != "national-profiles" {
				facts = append(facts, f)
			}
		}
		text, err := json.Marshal(facts)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	back, _ := mapping.Read("", claiming.Bundle)
	without, _ := mapping.Read("", plain.Bundle)
	if of(back) != of(without) {
		t.Error("the facts of a bundle that claims profiles are not those of one that does not")
	}
}
