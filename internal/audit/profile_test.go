package audit_test

import (
	"encoding/json"
	"strings"
	"testing"

	"saltmark/internal/audit"
	"saltmark/internal/profile"
	"saltmark/mapping/measure"
)

// breaks gives every change of a resource that breaks an element of a profile, by what it
// does.
func breaks(e *profile.Element) map[string]func(r node) {
	changes := map[string]func(r node){}
	member, below, _ := strings.Cut(e.Name, ".")
	if stem, choice := e.Stem(); choice {
		breaksOfChoice(e, stem, changes)
		return changes
	}
	switch {
	case e.Slice != "":
		of := func(x any) bool { return x.(node)["url"] == measure.DefaultBase+e.Address }
		changes["left out"] = func(r node) { r[member] = without(list(r, member), of) }
		changes["there twice"] = func(r node) {
			for _, x := range list(r, member) {
				if of(x) {
					r[member] = append(list(r, member), clone(x.(node)))
				}
			}
		}
		return changes
	case e.Codes != "":
		changes["another code"] = func(r node) {
			concept(r, member, below)["coding"] = list(code1(measure.DefaultBase+"/CodeSystem/measures", "weight"), "coding")
		}
	}
	if e.Min > 0 {
		changes["left out"] = func(r node) { delete(r, member) }
	}
	if e.Max == "1" {
		changes["there twice"] = func(r node) { r[member] = append(list(r, member), clone(at(r, member, 0))) }
	}
	return changes
}

func breaksOfChoice(e *profile.Element, stem string, changes map[string]func(r node)) {
	if e.Min > 0 {
		changes["left out"] = func(r node) { deleteChoice(r, stem) }
	}
	if e.Max == "0" {
		changes["there"] = func(r node) { r[stem+"String"] = "x" }
	}
	if e.Types != nil {
		changes["of another type"] = func(r node) {
			deleteChoice(r, stem)
			delete(r, "dataAbsentReason")
			if stem == "value" {
				r["valueString"] = "x"
			} else {
				r[stem+"Instant"] = "2031-05-03T14:30:00+02:00"
			}
		}
	}
}

func deleteChoice(r node, stem string) {
	for name := range r {
		if strings.HasPrefix(name, stem) && name != stem {
			delete(r, name)
		}
	}
}

func without(items []any, of func(any) bool) []any {
	var kept []any
	for _, x := range items {
		if !of(x) {
			kept = append(kept, x)
		}
	}
	return kept
}

// concept gives the concept of a member, or of the first item of a list.
func concept(r node, member, below string) node {
	c, ok := r[member].(node)
	if !ok {
		c = at(r, member, 0)
	}
	if below != "" {
		c = at(c, below)
	}
	return c
}

// sampleOf gives a bundle and the first resource in it that claims a profile.
func sampleOf(t *testing.T, id string) (b node, r node) {
	t.Helper()
	for _, name := range []string{"27-with-traces", "03-term-duct-area-counted"} {
		b := parse(t, golden(t, name))
		for _, e := range list(b, "entry") {
			r := at(e, "resource")
			for _, claim := range list(at(r, "meta"), "profile") {
				if claim == measure.DefaultBase+"/StructureDefinition/"+id && (id != "flow" || r["valueQuantity"] != nil) {
					return b, r
				}
			}
		}
	}
	t.Fatalf("no golden claims %s", id)
	return nil, nil
}

// Whatever a profile of ours demands, a claim that breaks it is found: every demand of
// every profile is broken in turn.
func TestEveryDemandOfEveryProfileIsEnforced(t *testing.T) {
	count := 0
	for _, p := range profile.All() {
		for i := range p.Elements {
			e := &p.Elements[i]
			changes := breaks(e)
			if e.Demands() && len(changes) == 0 {
				t.Errorf("%s %s: no change is known that breaks it", p.ID, e.Name)
			}
			for what, change := range changes {
				count++
				b, r := sampleOf(t, p.ID)
				change(r)
				if !has(audit.Check("bundle.json", format(t, b), audit.Options{}), "profile-broken") {
					t.Errorf("%s %s%s %s: not found", p.ID, e.Name, e.Slice, what)
				}
			}
		}
		if p.HasValue() {
			count++
			b, r := sampleOf(t, p.ID)
			deleteChoice(r, "value")
			if !has(audit.Check("bundle.json", format(t, b), audit.Options{}), "profile-broken") {
				t.Errorf("%s: neither a value nor a reason, not found", p.ID)
			}
		}
	}
	if count < 60 {
		t.Errorf("%d demands were broken", count)
	}
}

// A claim counts for what others wrote too, and for a canonical with a version.
func TestAProfileOfOursIsHeldAgainstWhatOthersWrote(t *testing.T) {
	text := func(change func(r node)) []byte {
		r := node{
			"resourceType": "Observation", "meta": node{"profile": []any{measure.DefaultBase + "/StructureDefinition/flow|0.1.0"}},
			"status": "final", "code": code1("http://loinc.org", "8737-9"), "valueQuantity": node{"value": json.Number("0.6")},
		}
		change(r)
		return format(t, r)
	}
	if found := audit.Check("one.json", text(func(node) {}), audit.Options{}); !has(found, "profile-broken") {
		t.Error(found)
	}
	elsewhere := func(r node) { at(r, "meta")["profile"] = []any{"https://elsewhere.example/StructureDefinition/flow"} }
	if found := audit.Check("one.json", text(elsewhere), audit.Options{}); has(found, "profile-broken") {
		t.Error(found)
	}
	onAnother := func(r node) { at(r, "meta")["profile"] = []any{measure.DefaultBase + "/StructureDefinition/report"} }
	if found := audit.Check("one.json", text(onAnother), audit.Options{}); !has(found, "profile-broken") {
		t.Error(found)
	}
}
