package audit

import (
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/internal/terms"
)

// What the profiles of single vital signs ask of values. Source: FHIR R4 4.0.1, the
// profiles heartrate to vitalspanel (CC0).

// profileOf gives the last part of the canonical of a vital-signs profile.
func profileOf(v terms.Vital) string { return v.Profile[strings.LastIndexByte(v.Profile, '/')+1:] }

// vitalValue: a vital sign is a number in words and code of its unit; a pressure and a
// panel have no value beside those of their parts.
func vitalValue(c *check, r *resource) {
	v, ok := vitalOf(r)
	if !ok {
		return
	}
	name, value := valueOf(r.node)
	code := finding.Data(v.Code)
	switch profile := profileOf(v); {
	case profile == "vitalsigns":
	case name == "" && profile == "bmi":
		c.say("vital-sign-value", r.node, r.pointer, finding.Say("LOINC {1} has no value", code), "", "the profile of the body mass index demands one")
	case name == "":
	case profile == "bp" || profile == "vitalspanel":
		c.say("vital-sign-value", value, r.at("/"+name), finding.Say("LOINC {1} has {2}", code, finding.Data(name)), "", "the profile has values in components or members alone")
	case name != "valueQuantity":
		c.say("vital-sign-value", value, r.at("/"+name), finding.Say("LOINC {1} has {2}", code, finding.Data(name)), "", "the profile allows valueQuantity alone")
	default:
		c.wholeQuantity(value, r.at("/"+name), code)
	}
}

// wholeQuantity wants all four parts of the value of a vital sign.
func (c *check) wholeQuantity(value *source.Node, pointer string, code finding.Text) {
	for _, part := range []string{"value", "unit", "system", "code"} {
		if !has(value, part) {
			c.say("vital-sign-value", value, pointer, finding.Say("the value of LOINC {1} lacks {2}", code, finding.Data(part)), "", "the profile demands number, unit in words, system and code")
			return
		}
	}
	if system := r4.Text(value, "system"); system != "" && system != terms.SystemUCUM {
		c.say("vital-sign-value", value.Get("system"), pointer+"/system", finding.Say("the unit of LOINC {1} is of another system than UCUM", code), "", finding.Data(terms.SystemUCUM))
	}
}

// pressures are the components that the profile of the blood pressure demands once each.
var pressures = []string{"8480-6", "8462-4"}

// vitalPressure: a blood pressure has one systolic and one diastolic component, and each
// a value in mm[Hg] where it has one.
func vitalPressure(c *check, r *resource) {
	v, ok := vitalOf(r)
	if !ok || profileOf(v) != "bp" || v.Code != v.Main {
		return
	}
	for _, want := range pressures {
		count := 0
		for i, part := range r.parts() {
			if i < 0 || !hasLOINC(part.Get("code"), want) {
				continue
			}
			count++
			if name, value := valueOf(part); name == "valueQuantity" && r4.Text(value, "code") != "mm[Hg]" {
				c.say("vital-sign-pressure", value, r.part(i, "/valueQuantity"), finding.Say("LOINC {1} is given {2}", finding.Data(want), inUnit(r4.Text(value, "code"))), r4.Text(value, "code"), finding.Say("the profile allows {1}", finding.Data("mm[Hg]")))
			}
		}
		if count != 1 {
			c.say("vital-sign-pressure", r.node, r.at("/component"), finding.Say("components of LOINC {1}: {2}", finding.Data(want), finding.Number(count)), "", "the profile of the blood pressure demands one systolic and one diastolic component, with a reason for absence where it was not measured")
		}
	}
}

func hasLOINC(concept *source.Node, code string) bool {
	for _, c := range r4.Items(concept, "coding") {
		if r4.Text(c, "system") == terms.SystemLOINC && r4.Text(c, "code") == code {
			return true
		}
	}
	return false
}

// vitalMembers: a panel of vital signs has members, and a vital sign is of a patient.
func vitalMembers(c *check, r *resource) {
	v, ok := vitalOf(r)
	if !ok {
		return
	}
	if profileOf(v) == "vitalspanel" && len(r4.Items(r.node, "hasMember")) == 0 {
		c.say("vital-sign-members", r.node, r.pointer, "the panel of vital signs has no members", "", "hasMember names each vital sign")
	}
	if kind := c.targetType(r, r4.Text(r.node.Get("subject"), "reference")); kind != "" && kind != "Patient" {
		c.say("vital-sign-members", r.node.Get("subject"), r.at("/subject"), finding.Say("LOINC {1} is about a {2}", finding.Data(v.Code), finding.Data(kind)), "", "the vital-signs profile is of patients alone")
	}
}
