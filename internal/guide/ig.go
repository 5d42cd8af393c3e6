package guide

import (
	"cmp"
	"net/url"
	"slices"
	"strings"

	"saltmark/internal/profile"
)

// implementationGuide names all that the guide holds.
func (m *maker) implementationGuide(definitions []object) object {
	var resources []object
	for _, r := range definitions {
		resources = append(resources, obj(
			"reference", obj("reference", r.text("resourceType")+"/"+r.text("id")),
			"name", cmp.Or(r.text("title"), r.text("name")), "description", r.text("description"), "exampleBoolean", false))
	}
	for _, e := range m.examples {
		o := obj("reference", obj("reference", e.Type+"/"+e.ID), "name", "Example: "+e.Type, "description", "Invented data.")
		if e.Profile != "" {
			o = append(o, member{"exampleCanonical", m.profileAddress(e.Profile)})
		} else {
			o = append(o, member{"exampleBoolean", true})
		}
		resources = append(resources, o)
	}
	var pages []object
	for _, p := range profile.All() {
		pages = append(pages, obj("nameUrl", p.ID+".md", "title", english(p.Title), "generation", "markdown"))
	}
	pages = append(pages, obj("nameUrl", "qa.md", "title", "What a validator says of the guide", "generation", "markdown"))
	return append(m.head("ImplementationGuide", "saltmark", "Measurement sessions by indicator dilution",
		"Profiles, extensions and codes of sessions in which cardiac output was measured by indicator dilution at the bedside. For documentation, quality review and research; not for diagnosis, treatment decisions or monitoring."), obj(
		"packageId", m.packageName(), "license", "Apache-2.0", "fhirVersion", []string{"4.0.1"},
		"definition", obj("resource", resources, "page", obj("nameUrl", "index.md", "title", "Overview", "generation", "markdown", "page", pages)),
	)...)
}

// packageName turns the canonical base round, as packages are named:
// https://saltmark.example/fhir is example.saltmark.fhir.
func (m *maker) packageName() string {
	u, err := url.Parse(m.base)
	if err != nil || u.Hostname() == "" {
		return "saltmark.guide"
	}
	parts := strings.Split(strings.ToLower(u.Hostname()), ".")
	slices.Reverse(parts)
	for part := range strings.SplitSeq(strings.ToLower(u.Path), "/") {
		if part = strings.Map(nameLetter, part); part != "" {
			parts = append(parts, part)
		}
	}
	if len(parts) == 1 {
		parts = append(parts, "guide")
	}
	return strings.Join(parts, ".")
}

// nameLetter keeps what the name of a package may hold.
func nameLetter(r rune) rune {
	if 'a' <= r && r <= 'z' || '0' <= r && r <= '9' || r == '-' {
		return r
	}
	return -1
}
