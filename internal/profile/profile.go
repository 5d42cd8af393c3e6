// Package profile holds our profiles: what each resource that a session is written as
// owes to those who read it, element by element, with what the element means to a
// clinician. One table for three uses: the guide is made of it, the audit holds it
// against what claims a profile, and the pages explain it.
//
// Which resource is under which profile, and which codes its components have, follows
// from the table of measures (mapping.ProfileOf, mapping.ComponentCodes). The package
// knows no bundle and no server; a profile is about one resource.
package profile

import (
	"strings"

	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// Profile is one of our profiles.
type Profile struct {
	ID       string // the last part of its address: "flow"
	Resource string // the type that it constrains
	Title    measure.Words
	Purpose  measure.Words
	Elements []Element // in the order of the resource
}

// Element is one element of a profile: what it demands, and what it means.
type Element struct {
	// Name is that of the member, "subject" or "component.code"; a choice of types ends
	// in [x].
	Name string
	// Slice names one of several uses of the member, "" for the member itself: an
	// extension with Address below the base.
	Slice, Address string

	Min int    // 1 = must be there
	Max string // "1" or "0" where it is less than FHIR's; "" = as FHIR has it
	// Types are those that are left of a choice.
	Types []string
	// Codes is the value set whose codes it must have, by its identifier; "" = none.
	Codes string

	Words measure.Words
}

// Demands tells whether the element constrains more than FHIR does; others are there for
// their words alone.
func (e *Element) Demands() bool {
	return e.Min > 0 || e.Max != "" || e.Types != nil || e.Codes != ""
}

// HasValue tells whether what is under the profile has a value, or a reason for having
// none.
func (p *Profile) HasValue() bool {
	for i := range p.Elements {
		if e := &p.Elements[i]; e.Name == "value[x]" {
			return e.Max != "0"
		}
	}
	return false
}

// Stem gives the name of a choice without its [x]; ok is false for what is no choice.
func (e *Element) Stem() (stem string, ok bool) { return strings.CutSuffix(e.Name, "[x]") }

// All gives every profile in the order of the table.
func All() []Profile { return table }

// Named gives the profile of an identifier.
func Named(id string) (*Profile, bool) {
	for i := range table {
		if table[i].ID == id {
			return &table[i], true
		}
	}
	return nil, false
}

// At gives the profile of ours that a canonical below a base names, with or without a
// version.
func At(canonical, base string) (*Profile, bool) {
	canonical, _, _ = strings.Cut(canonical, "|")
	id, ours := strings.CutPrefix(canonical, base+mapping.ProfileAddress(""))
	if !ours {
		return nil, false
	}
	return Named(id)
}
