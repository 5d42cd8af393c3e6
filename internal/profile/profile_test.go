package profile_test

import (
	"testing"

	"saltmark/internal/profile"
	"saltmark/mapping"
	"saltmark/mapping/measure"
)

func TestEveryElementIsExplainedInEveryLanguage(t *testing.T) {
	for _, p := range profile.All() {
		for _, l := range measure.Languages() {
			if p.Title.In(l) == "" || p.Purpose.In(l) == "" {
				t.Errorf("%s has no title or purpose in %s", p.ID, l.Code())
			}
			for _, e := range p.Elements {
				if e.Words.In(l) == "" {
					t.Errorf("%s does not explain %s in %s", p.ID, e.Name, l.Code())
				}
			}
		}
	}
}

// A profile that no measure is under would promise what nothing keeps.
func TestEveryProfileOfObservationsHasMeasures(t *testing.T) {
	of := map[string]int{}
	for i := range measure.All() {
		if id := mapping.ProfileOf(&measure.All()[i]); id != "" {
			of[id]++
			if _, known := profile.Named(id); !known {
				t.Errorf("%s is under %s, which is no profile", measure.All()[i].Key, id)
			}
		}
	}
	for _, p := range profile.All() {
		if p.Resource == "Observation" && of[p.ID] == 0 {
			t.Errorf("no measure is under %s", p.ID)
		}
	}
	for _, c := range []struct {
		profile  string
		measures int
	}{{mapping.FlowProfile, 7}, {mapping.ContextProfile, 1}, {mapping.InjectionProfile, 1}, {mapping.PanelProfile, 1}, {mapping.TraceProfile, 2}} {
		if of[c.profile] != c.measures {
			t.Errorf("%d measures are under %s, %d wanted", of[c.profile], c.profile, c.measures)
		}
	}
}

func TestEveryCodeOfAValueSetHasWords(t *testing.T) {
	known := map[string]bool{}
	for _, c := range measure.LocalCodes() {
		known[c.Code] = true
	}
	for _, p := range profile.All() {
		for _, e := range p.Elements {
			if e.Codes == "" {
				continue
			}
			set, there := profile.SetNamed(e.Codes)
			if !there {
				t.Errorf("%s %s: no value set %s", p.ID, e.Name, e.Codes)
			}
			for _, code := range set.Codes {
				if set.System == measure.MeasureCodes && !known[code] {
					t.Errorf("%s: %s is no code of ours", set.ID, code)
				}
			}
			if e.Codes != profile.LabelSet && len(set.Codes) == 0 {
				t.Errorf("%s is empty", set.ID)
			}
		}
	}
}

func TestAProfileIsFoundByItsAddressBelowTheBaseAlone(t *testing.T) {
	for _, c := range []struct {
		canonical, base string
		found           bool
	}{
		{"https://a.example/StructureDefinition/flow", "https://a.example", true},
		{"https://a.example/StructureDefinition/flow|0.1.0", "https://a.example", true},
		{"https://b.example/StructureDefinition/flow", "https://a.example", false},
		{"https://a.example/StructureDefinition/flow/1", "https://a.example", false},
		{"https://a.example/StructureDefinition/flow-label", "https://a.example", false}, // an extension
		{"flow", "", false},
	} {
		if _, found := profile.At(c.canonical, c.base); found != c.found {
			t.Errorf("%s below %s: %v", c.canonical, c.base, found)
		}
	}
}
