package audit

import (
	"slices"
	"strings"

	"saltmark/internal/source"
)

// targets are the types that a reference may point to, by the element that holds
// it. Source: FHIR R4 4.0.1, the definitions of the resources (CC0).
var targets = map[string][]string{
	"Observation.subject":                 {"Patient", "Group", "Device", "Location"},
	"Observation.encounter":               {"Encounter"},
	"Observation.performer":               {"Practitioner", "PractitionerRole", "Organization", "CareTeam", "Patient", "RelatedPerson"},
	"Observation.device":                  {"Device", "DeviceMetric"},
	"Observation.hasMember":               {"Observation", "QuestionnaireResponse", "MolecularSequence"},
	"Observation.derivedFrom":             {"DocumentReference", "ImagingStudy", "Media", "QuestionnaireResponse", "Observation", "MolecularSequence"},
	"Observation.partOf":                  {"MedicationAdministration", "MedicationDispense", "MedicationStatement", "Procedure", "Immunization", "ImagingStudy"},
	"Observation.basedOn":                 {"CarePlan", "DeviceRequest", "ImmunizationRecommendation", "MedicationRequest", "NutritionOrder", "ServiceRequest"},
	"DiagnosticReport.subject":            {"Patient", "Group", "Device", "Location"},
	"DiagnosticReport.encounter":          {"Encounter"},
	"DiagnosticReport.result":             {"Observation"},
	"DiagnosticReport.basedOn":            {"CarePlan", "ImmunizationRecommendation", "MedicationRequest", "NutritionOrder", "ServiceRequest"},
	"DiagnosticReport.performer":          {"Practitioner", "PractitionerRole", "Organization", "CareTeam"},
	"DiagnosticReport.resultsInterpreter": {"Practitioner", "PractitionerRole", "Organization", "CareTeam"},
	"Procedure.subject":                   {"Patient", "Group"},
	"Procedure.encounter":                 {"Encounter"},
	"Procedure.usedReference":             {"Device", "Medication", "Substance"},
	"Procedure.report":                    {"DiagnosticReport", "DocumentReference", "Composition"},
	"Procedure.basedOn":                   {"CarePlan", "ServiceRequest"},
	"Device.patient":                      {"Patient"},
	"Composition.encounter":               {"Encounter"},
	"Composition.author":                  {"Practitioner", "PractitionerRole", "Device", "Patient", "RelatedPerson", "Organization"},
}

// isReference tells whether an object is a Reference by its member.
func isReference(n *source.Node) bool {
	m := n.Get("reference")
	return n.Kind == source.Object && m != nil && m.Kind == source.String
}

// referenceUnresolved: a urn:uuid points to an entry of the bundle, and "#x" to a
// contained resource.
func referenceUnresolved(w *walk, _ string, n *source.Node) {
	if !isReference(n) {
		return
	}
	ref := textAt(n, "reference")
	switch {
	case strings.HasPrefix(ref, "urn:") && w.byURL[ref] == nil:
		w.below("reference-unresolved", n, "reference", "the reference is {}", ref, "no entry of the bundle has this fullUrl")
	case strings.HasPrefix(ref, "#") && ref != "#" && !w.contains(ref[1:]):
		w.below("reference-unresolved", n, "reference", "the reference is {}", ref, "no contained resource has this id")
	}
}

func (w *walk) contains(id string) bool {
	for _, c := range items(w.resource.node, "contained") {
		if textAt(c, "id") == id {
			return true
		}
	}
	return false
}

// referenceType: a reference points to a type that its element allows, judged by
// the entry it resolves to, by its address or by its stated type.
func referenceType(w *walk, name string, n *source.Node) {
	if n.Kind != source.Object || len(w.steps) == 0 || w.depth() > 1 {
		return
	}
	allowed := targets[w.resource.kind+"."+name]
	if allowed == nil {
		return
	}
	kind := w.targetType(n)
	if kind != "" && !slices.Contains(allowed, kind) {
		w.report("reference-type", n, name+" points to a "+kind, "", "it may point to "+strings.Join(allowed, ", "))
	}
}

// depth counts the members on the way, not the items.
func (w *walk) depth() int {
	n := 0
	for _, s := range w.steps {
		if s.name != "" {
			n++
		}
	}
	return n
}

func (w *walk) targetType(n *source.Node) string {
	ref := textAt(n, "reference")
	if target := w.byURL[ref]; target != nil {
		return target.kind
	}
	if ref == "" || strings.HasPrefix(ref, "urn:") || strings.HasPrefix(ref, "#") {
		return textAt(n, "type")
	}
	path, _, _ := strings.Cut(ref, "?")
	parts := strings.Split(path, "/")
	for i := len(parts) - 1; i >= 0 && i >= len(parts)-2; i-- {
		if p := parts[i]; p != "" && p[0] >= 'A' && p[0] <= 'Z' && !strings.ContainsAny(p, ".:-") {
			return p
		}
	}
	return ""
}
