package guide

import (
	"slices"

	"saltmark/internal/profile"
	"saltmark/mapping"
)

// What a server must be able to do.

// searchParameter finds values by the flow that they stand for.
func (m *maker) searchParameter() object {
	const id = "flow-label"
	address := m.profileAddress(id)
	head := m.head("SearchParameter", id, "Flow label", "Finds Observations by the flow that their number stands for, such as every one whose label contains the output of the left ventricle alone.")
	head = slices.DeleteFunc(head, func(x member) bool { return x.name == "title" }) // R4 has none here
	return append(head, obj(
		"code", id, "base", []string{"Observation"}, "type", "token",
		"expression", "Observation.extension.where(url = '"+address+"').value",
		"xpathUsage", "normal", "xpath", "f:Observation/f:extension[@url='"+address+"']/f:valueCodeableConcept",
	)...)
}

// served are the resources of a session, with what is searched for.
var served = []struct {
	kind       string
	identified bool // has a business identifier to write and search by
}{
	{"Composition", true}, {"Device", true}, {"DiagnosticReport", true}, {"Observation", true}, {"Procedure", true}, {"Provenance", false},
}

// capabilities says what a server must support to take our bundles: a transaction, and
// for each write mode what it uses.
func (m *maker) capabilities() object {
	var resources []object
	for _, s := range served {
		resources = append(resources, m.served(s.kind, s.identified))
	}
	documentation := "Takes the bundles of measurement sessions. A transaction writes all of a session or nothing. " +
		"The mode " + string(mapping.Conditional) + " needs conditional update and conditional create, " +
		string(mapping.ByID) + " update as create and conditional create, " + string(mapping.CreateOnce) + " conditional create alone."
	return append(m.head("CapabilityStatement", "receiving-server", "A server that takes measurement sessions", documentation), obj(
		"kind", "requirements", "fhirVersion", "4.0.1", "format", []string{"json"},
		"rest", []object{obj(
			"mode", "server", "documentation", documentation,
			"resource", resources,
			"interaction", []object{obj("code", "transaction")},
		)},
	)...)
}

func (m *maker) served(kind string, identified bool) object {
	var profiles []string
	for _, p := range profile.All() {
		if p.Resource == kind {
			profiles = append(profiles, m.profileAddress(p.ID))
		}
	}
	o := obj("type", kind, "supportedProfile", profiles,
		"interaction", []object{obj("code", "read"), obj("code", "create"), obj("code", "update"), obj("code", "search-type")},
		"updateCreate", true, "conditionalCreate", true, "conditionalUpdate", true)
	var searches []object
	if identified {
		searches = append(searches, obj("name", "identifier", "definition", "http://hl7.org/fhir/SearchParameter/"+searchDefinition(kind), "type", "token"))
	}
	if kind == "Observation" {
		searches = append(searches, obj("name", "flow-label", "definition", m.address("SearchParameter", "flow-label"), "type", "token"))
	}
	if searches != nil {
		o = o.with("searchParam", searches)
	}
	return o
}

// searchDefinition names FHIR's definition of the search by identifier, which several
// types share.
func searchDefinition(kind string) string {
	if kind == "Device" {
		return "Device-identifier"
	}
	return "clinical-identifier"
}
