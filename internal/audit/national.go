package audit

import (
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// Claims of published national profiles. What each profile fixes stands in internal/terms,
// what all of them demand here.

// nationalDemand is one thing that a national profile demands of an Observation.
type nationalDemand struct {
	at      string // the element that a finding names
	allowed finding.Text
	holds   func(c *check, r *resource, p terms.Profile) bool
}

// nationalDemands are those of the German profiles for dilution flows and of their base;
// that a withheld value conforms to none was tried with the reference engine 6.7.9.
var nationalDemands = []nationalDemand{
	{"category", "one category vital-signs, beside others", func(_ *check, r *resource, _ terms.Profile) bool { return countVital(r) == 1 }},
	{"code", "the LOINC code of the profile, once, and no other LOINC code", func(_ *check, r *resource, p terms.Profile) bool {
		return slices.Equal(codesOfSystem(r, terms.SystemLOINC), []string{p.LOINC})
	}},
	{"code", "no coding of SNOMED CT or of ISO/IEEE 11073", func(_ *check, r *resource, _ terms.Profile) bool {
		return len(codesOfSystem(r, terms.SystemSNOMED)) == 0 && len(codesOfSystem(r, terms.SystemMDC)) == 0
	}},
	{"subject", "a subject", func(_ *check, r *resource, _ terms.Profile) bool { return r.node.Get("subject") != nil }},
	{"effectiveDateTime", "a dateTime or a Period", func(_ *check, r *resource, _ terms.Profile) bool {
		return r.node.Get("effectiveDateTime") != nil || r.node.Get("effectivePeriod") != nil
	}},
	{"valueQuantity", "a quantity with number, unit in words, and UCUM code", func(_ *check, r *resource, _ terms.Profile) bool {
		q := r.node.Get("valueQuantity")
		return q.Get("value") != nil && r4.Text(q, "unit") != "" && r4.Text(q, "system") == terms.SystemUCUM && r4.Text(q, "code") != ""
	}},
	{"dataAbsentReason", "no reason for absence: a withheld value claims no profile", func(_ *check, r *resource, _ terms.Profile) bool { return r.node.Get("dataAbsentReason") == nil }},
	{"partOf", "a Procedure alone", func(c *check, r *resource, _ terms.Profile) bool { return c.isPartOfProcedures(r) }},
	{"component", "components with quantities alone", func(_ *check, r *resource, _ terms.Profile) bool { return onlyQuantities(r) }},
}

// nationalBroken: an Observation that claims a national profile satisfies it, whoever
// wrote it.
func nationalBroken(c *check, r *resource) {
	for i, claim := range r4.Items(r.node.Get("meta"), "profile") {
		p, version, known := terms.ProfileAt(claim.Text)
		if !known {
			continue
		}
		for _, d := range nationalDemands {
			if !d.holds(c, r, p) {
				c.breaks(r, d.at, i, d.allowed)
			}
		}
		c.unitOfProfile(r, p, version, i)
	}
}

// unitOfProfile: the value is in the unit and the words that the profile fixes. Version 4
// allowed several spellings of a unit.
func (c *check) unitOfProfile(r *resource, p terms.Profile, version string, claim int) {
	q := r.node.Get("valueQuantity")
	if code := r4.Text(q, "code"); code != "" && code != p.Unit && !strings.HasPrefix(version, "4.") {
		c.breaks(r, "valueQuantity", claim, finding.Say("the UCUM code {1}", finding.Data(p.Unit)))
	}
	if words := r4.Text(q, "unit"); p.Words != "" && words != "" && words != p.Words {
		c.breaks(r, "valueQuantity", claim, finding.Say("the unit in the words {1}", finding.Quoted(p.Words)))
	}
}

// breaks tells of an element, or where it is not there of the claim.
func (c *check) breaks(r *resource, element string, claim int, allowed finding.Text) {
	n, pointer := r.node.Get(element), r.at("/"+element)
	if n == nil {
		n, pointer = r.node.Get("meta"), r.at("/meta/profile"+source.Pointer(claim))
	}
	c.say("national-profile-broken", n, pointer, finding.Say("the value claims a national profile and breaks it: {1}", finding.Data(element)), "", allowed)
}

func countVital(r *resource) int {
	n := 0
	for _, category := range r4.Items(r.node, "category") {
		if slices.Contains(codingsOf(category), coding{terms.SystemObservationCategory, "vital-signs"}) {
			n++
		}
	}
	return n
}

func codesOfSystem(r *resource, system string) []string {
	var codes []string
	for _, c := range r.codes {
		if c.system == system {
			codes = append(codes, c.code)
		}
	}
	return codes
}

// isPartOfProcedures tells whether what the Observation is part of is no resource that is
// known to be something else.
func (c *check) isPartOfProcedures(r *resource) bool {
	for _, ref := range r4.Items(r.node, "partOf") {
		address := r4.Text(ref, "reference")
		kind, _, _ := strings.Cut(address, "/")
		if target := c.byURL[address]; target != nil {
			kind = target.kind
		}
		if said := r4.Text(ref, "type"); said != "" {
			kind = said
		}
		if kind != "Procedure" && judgedTypes[kind] {
			return false
		}
	}
	return true
}

func onlyQuantities(r *resource) bool {
	for _, n := range r4.Items(r.node, "component") {
		if name, _ := valueOf(n); name != "" && name != "valueQuantity" {
			return false
		}
	}
	return true
}

// nationalClaim: a session whose settings ask for national profiles claims them on every
// value that may, and on no other; one whose settings ask for none claims none.
func nationalClaim(c *check, session *record.Session) {
	wanted := mapping.NationalClaims(session)
	for _, r := range c.resources {
		if !r.ours || r.kind != "Observation" {
			continue
		}
		claimed := nationalClaimOf(r)
		switch want := wanted[r.identity.ref]; {
		case want == claimed:
		case want == "":
			c.say("national-profile-claim", r.node.Get("meta"), r.at("/meta/profile"), "the value claims a national profile", "",
				"only a final value of the left ventricle, where the settings ask for it")
		default:
			c.say("national-profile-claim", r.node, r.pointer, "the value does not claim the national profile that the settings ask for", "", finding.Data(want))
		}
	}
}

// nationalClaimOf gives the national profile that an Observation claims, "" for none.
func nationalClaimOf(r *resource) string {
	for _, claim := range r4.Items(r.node.Get("meta"), "profile") {
		if p, _, known := terms.ProfileAt(claim.Text); known {
			return p.Canonical
		}
	}
	return ""
}
