package audit

import (
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/terms"
)

// vitalOf gives the vital-signs profile that the LOINC codes of an Observation
// demand. Codes that FHIR's own list has and the reference engine leaves alone bind
// only us: the official examples break it there.
func vitalOf(r *resource) (terms.Vital, bool) {
	for _, c := range r.codes {
		if c.system != terms.SystemLOINC {
			continue
		}
		if v, ok := terms.VitalSign(c.code); ok && (v.ByEngine || r.ours) {
			return v, true
		}
	}
	return terms.Vital{}, false
}

// vitalMainCode: a near relation of a vital sign also carries the sign's own
// code.
func vitalMainCode(c *check, r *resource) {
	v, ok := vitalOf(r)
	if ok && !slices.Contains(r.codes, coding{terms.SystemLOINC, v.Main}) {
		c.say("vital-sign-main-code", r.node.Get("code"), r.at("/code"), finding.Say("LOINC {1} stands alone", finding.Data(v.Code)), "", finding.Say("the vital-signs profile wants LOINC {1} beside it", finding.Data(v.Main)))
	}
}

// vitalCategory: a vital sign has the category vital-signs.
func vitalCategory(c *check, r *resource) {
	v, ok := vitalOf(r)
	if !ok {
		return
	}
	for _, category := range r4.Items(r.node, "category") {
		if slices.Contains(codingsOf(category), coding{terms.SystemObservationCategory, "vital-signs"}) {
			return
		}
	}
	c.say("vital-sign-category", r.node, r.pointer, finding.Say("LOINC {1} without the category vital-signs", finding.Data(v.Code)), "", "the vital-signs profile demands it")
}

// vitalIncomplete (vs-1, vs-2): a vital sign has a subject, a time to the day or
// finer, and a value, a reason, a component or a member.
func vitalIncomplete(c *check, r *resource) {
	v, ok := vitalOf(r)
	if !ok {
		return
	}
	var lacks []finding.Text
	if r.node.Get("subject") == nil {
		lacks = append(lacks, finding.Data("subject"))
	}
	if when := r4.Text(r.node, "effectiveDateTime"); len(when) < len(wholeDate) && r.node.Get("effectivePeriod") == nil {
		lacks = append(lacks, "a time to the day or finer")
	}
	name, _ := valueOf(r.node)
	if name == "" && r.node.Get("dataAbsentReason") == nil && r.node.Get("component") == nil && r.node.Get("hasMember") == nil {
		lacks = append(lacks, "a value or a reason for its absence")
	}
	if len(lacks) > 0 {
		c.say("vital-sign-incomplete", r.node, r.pointer, finding.Say("LOINC {1} lacks {2}", finding.Data(v.Code), finding.Commas(lacks...)), "", "the vital-signs profile demands it")
	}
}

// vitalUnit: a vital sign's value is in a unit that its profile allows.
func vitalUnit(c *check, r *resource) {
	v, ok := vitalOf(r)
	value := r.node.Get("valueQuantity")
	if !ok || value == nil || len(v.Units) == 0 {
		return
	}
	if unit := r4.Text(value, "code"); !slices.Contains(v.Units, unit) {
		c.say("vital-sign-unit", value, r.at("/valueQuantity"), finding.Say("LOINC {1} is given {2}", finding.Data(v.Code), inUnit(unit)), unit, finding.Say("the profile allows {1}", finding.Data(strings.Join(v.Units, ", "))))
	}
}

func inUnit(code string) finding.Text {
	if code == "" {
		return "without a unit code"
	}
	return "in {}"
}

// vitalSignUnits is the value set ucum-vitals-common of FHIR R4 (CC0).
var vitalSignUnits = []string{"%", "cm", "[in_i]", "kg", "g", "[lb_av]", "Cel", "[degF]", "mm[Hg]", "/min", "kg/m2", "m2"}

// vitalComponent: components of a vital sign are quantities in vital-signs units
// or absent with a reason (vs-3); the 4.0.1 profile binds them as required.
func vitalComponent(c *check, r *resource) {
	if _, ok := vitalOf(r); !ok {
		return
	}
	for i, n := range r.parts() {
		name, value := valueOf(n)
		unit := r4.Text(value, "code")
		switch {
		case i < 0:
		case name == "" && n.Get("dataAbsentReason") == nil:
			c.say("vital-sign-component", n, r.part(i, ""), "a component of a vital sign has no value", "", "a value or a reason for its absence")
		case name == "valueQuantity" && !slices.Contains(vitalSignUnits, unit):
			c.say("vital-sign-component", value, r.part(i, "/valueQuantity"), finding.Say("a component of a vital sign is given {1}", inUnit(unit)), unit, finding.Say("vital signs allow {1}", finding.Data(strings.Join(vitalSignUnits, ", "))))
		case name != "" && name != "valueQuantity":
			c.say("vital-sign-component", value, r.part(i, "/"+name), finding.Say("a component of a vital sign has {1}", finding.Data(name)), "", "only quantities stand beside a vital sign")
		}
	}
}
