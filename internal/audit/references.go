package audit

import (
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
)

// targets are the types that a reference may point to, by resource type and
// element. Source: FHIR R4 4.0.1, the definitions of the resources (CC0).
var targets = map[string]map[string][]string{
	"Observation": {
		"subject":     {"Patient", "Group", "Device", "Location"},
		"encounter":   {"Encounter"},
		"performer":   {"Practitioner", "PractitionerRole", "Organization", "CareTeam", "Patient", "RelatedPerson"},
		"device":      {"Device", "DeviceMetric"},
		"specimen":    {"Specimen"},
		"hasMember":   {"Observation", "QuestionnaireResponse", "MolecularSequence"},
		"derivedFrom": {"DocumentReference", "ImagingStudy", "Media", "QuestionnaireResponse", "Observation", "MolecularSequence"},
		"partOf":      {"MedicationAdministration", "MedicationDispense", "MedicationStatement", "Procedure", "Immunization", "ImagingStudy"},
		"basedOn":     {"CarePlan", "DeviceRequest", "ImmunizationRecommendation", "MedicationRequest", "NutritionOrder", "ServiceRequest"},
	},
	"DiagnosticReport": {
		"subject":            {"Patient", "Group", "Device", "Location"},
		"encounter":          {"Encounter"},
		"result":             {"Observation"},
		"specimen":           {"Specimen"},
		"imagingStudy":       {"ImagingStudy"},
		"basedOn":            {"CarePlan", "ImmunizationRecommendation", "MedicationRequest", "NutritionOrder", "ServiceRequest"},
		"performer":          {"Practitioner", "PractitionerRole", "Organization", "CareTeam"},
		"resultsInterpreter": {"Practitioner", "PractitionerRole", "Organization", "CareTeam"},
	},
	"Procedure": {
		"subject":       {"Patient", "Group"},
		"encounter":     {"Encounter"},
		"usedReference": {"Device", "Medication", "Substance"},
		"report":        {"DiagnosticReport", "DocumentReference", "Composition"},
		"basedOn":       {"CarePlan", "ServiceRequest"},
		"partOf":        {"Procedure", "Observation", "MedicationAdministration"},
		"location":      {"Location"},
	},
	"Device": {
		"patient":  {"Patient"},
		"owner":    {"Organization"},
		"location": {"Location"},
		"parent":   {"Device"},
	},
	"Composition": {
		"encounter": {"Encounter"},
		"author":    {"Practitioner", "PractitionerRole", "Device", "Patient", "RelatedPerson", "Organization"},
		"custodian": {"Organization"},
	},
	"Encounter": {
		"subject":         {"Patient", "Group"},
		"serviceProvider": {"Organization"},
		"partOf":          {"Encounter"},
	},
}

// referenceType: a reference points to a type that its element allows, judged by
// the entry it resolves to, by its address or by its stated type.
func referenceType(c *check, r *resource) {
	allowed := targets[r.kind]
	for i := range r.node.Members {
		m := &r.node.Members[i]
		types := allowed[m.Name]
		if types == nil {
			continue
		}
		for _, p := range appendValues(nil, m.Value, r.pointer, m.Name) {
			if kind := c.targetType(p.node); kind != "" && !slices.Contains(types, kind) {
				c.say("reference-type", p.node, p.pointer(), finding.Say("{1} points to a resource of type {}", finding.Data(m.Name)), kind, finding.Say("it may point to {1}", finding.Data(strings.Join(types, ", "))))
			}
		}
	}
}

func (v *view) targetType(reference *source.Node) string {
	ref := r4.Text(reference, "reference")
	if target := v.byURL[ref]; target != nil {
		return target.kind
	}
	if ref == "" || strings.HasPrefix(ref, "urn:") || strings.HasPrefix(ref, "#") {
		return r4.Text(reference, "type")
	}
	return typeIn(ref)
}

// referenceUnresolved: a urn:uuid points to an entry of the bundle, "#x" to a
// contained resource; what a session of ours refers to of itself is in the bundle.
func referenceUnresolved(w *walk, _ string, _, n *source.Node) {
	if n.Kind != source.String || w.byURL[n.Text] != nil {
		return
	}
	switch ref := n.Text; {
	case strings.HasPrefix(ref, "urn:uuid:") || strings.HasPrefix(ref, "urn:oid:"):
		w.report("reference-unresolved", n, "the reference leads nowhere", "", "an entry of the bundle has it as fullUrl")
	case strings.HasPrefix(ref, "#") && ref != "#" && !w.contains(ref[1:]):
		w.report("reference-unresolved", n, "the reference leads nowhere", "", "a contained resource has it as id")
	case w.whole() && !strings.ContainsAny(ref, ":?#") && slices.Contains(ownTypes, typeIn(ref)):
		w.report("reference-unresolved", n, "the reference leads to a resource of type {} elsewhere", typeIn(ref), "what belongs to a session is in its bundle")
	}
}

// ownTypes are the types of the resources that a session is made of, and that it
// never refers to elsewhere.
var ownTypes = []string{"Observation", "DiagnosticReport", "Procedure", "Provenance", "Composition"}

func (w *walk) contains(id string) bool {
	if w.ids == nil || w.idsOf != w.container {
		w.ids, w.idsOf = map[string]bool{}, w.container
		for _, c := range r4.Items(w.container, "contained") {
			w.ids[r4.Text(c, "id")] = true
		}
	}
	return w.ids[id]
}

// referenceCycle: what was derived, or has members, does not come back to itself.
func referenceCycle(c *check) {
	const (
		open = iota + 1
		done
	)
	state := map[*resource]int{}
	var visit func(r *resource) bool
	visit = func(r *resource) bool {
		if state[r] != 0 {
			return state[r] == open
		}
		state[r] = open
		for _, name := range []string{"derivedFrom", "hasMember"} {
			for i, ref := range r4.Items(r.node, name) {
				target := c.byURL[r4.Text(ref, "reference")]
				if target != nil && visit(target) {
					c.say("reference-cycle", ref, r.at("/"+name+"/"+strconv.Itoa(i)), "this reference leads back to where it started", "", "no circle of derivedFrom and hasMember")
				}
			}
		}
		state[r] = done
		return false
	}
	for _, r := range c.resources {
		if r.kind == "Observation" {
			visit(r)
		}
	}
}
