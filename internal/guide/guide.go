// Package guide writes our profiles as an implementation guide: the definitions that a
// server, a validator or a programmer needs to work with our bundles, and a page for each
// profile that says in plain words what its elements mean.
//
// Nothing in it is written twice. What profiles demand comes from internal/profile, codes
// and their words from mapping/measure, published codes from mapping and internal/terms,
// what a server must be able to do from the write modes of mapping. A snapshot is made
// from the elements of FHIR R4 4.0.1 (base.json.gz, by basemaker) and the differential.
//
// Make gives files; the same tables give the same bytes. The package is the form in which
// FHIR tools exchange guides: a gzipped tar with package.json and .index.json.
//
// Limits: the words of definitions are English, those of code systems and pages English
// and German. The guide is about resources that this program writes; what it asks of
// others is in the CapabilityStatement alone.
package guide

import (
	"cmp"
	"slices"
	"strings"

	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// Version is that of the guide; it rises whenever one of its definitions says something
// else. Date is the day of that version.
const (
	Version = "0.1.0"
	Date    = "2026-11-29"
)

// Options say for whom the guide is made.
type Options struct {
	// Base is the canonical base of the site; "" is measure.DefaultBase.
	Base string
	// Examples are resources of one invented session, as they are written for a server.
	Examples []Example
}

// Example is a resource of an example.
type Example struct {
	Type, ID string
	Profile  string // identifier of the profile of ours that it claims, "" for none
	Text     []byte
}

// File is a file of the guide, its name with slashes.
type File struct {
	Name string
	Text []byte
}

// maker makes the resources of one guide.
type maker struct {
	base     string
	examples []Example
}

func newMaker(o Options) *maker {
	return &maker{base: cmp.Or(o.Base, measure.DefaultBase), examples: o.Examples}
}

// Make gives every file: definitions in resources, examples in examples, pages in pages,
// and the package.
func Make(o Options) ([]File, error) {
	m := newMaker(o)
	resources, err := m.resources()
	if err != nil {
		return nil, err
	}
	var files []File
	for _, r := range resources {
		files = append(files, File{"resources/" + fileName(r), r.encode()})
	}
	for _, e := range m.examples {
		files = append(files, File{"examples/" + e.Type + "-" + e.ID + ".json", e.Text})
	}
	pages, err := m.pages()
	if err != nil {
		return nil, err
	}
	files = append(files, pages...)
	packed, err := m.pack(resources)
	if err != nil {
		return nil, err
	}
	files = append(files, File{m.packageName() + "-" + Version + ".tgz", packed})
	slices.SortFunc(files, func(a, b File) int { return cmp.Compare(a.Name, b.Name) })
	return files, nil
}

// fileName is that which FHIR packages use.
func fileName(r object) string { return r.text("resourceType") + "-" + r.text("id") + ".json" }

// resources gives the definitions, in the order of the guide.
func (m *maker) resources() ([]object, error) {
	profiles, err := m.profiles()
	if err != nil {
		return nil, err
	}
	extensions, err := m.extensions()
	if err != nil {
		return nil, err
	}
	list := slices.Concat(profiles, extensions, m.codeSystems(), m.valueSets(), m.conceptMaps(), []object{m.searchParameter(), m.capabilities()})
	return append(list, m.implementationGuide(list)), nil
}

// head gives the first members of a definition: what it is, where it is, and in words
// what it is for.
func (m *maker) head(kind, id, title, description string) object {
	return obj(
		"resourceType", kind, "id", id, "text", narrative(title, description),
		"url", m.base+"/"+kind+"/"+id, "version", Version, "name", computable(id), "title", title,
		"status", "draft", "experimental", false, "date", Date, "publisher", "saltmark", "description", description,
	)
}

// narrative gives the definition in two lines, as a person reads it.
func narrative(title, description string) object {
	return obj("status", "generated", "div", `<div xmlns="http://www.w3.org/1999/xhtml"><p>`+escaped(title)+`</p><p>`+escaped(description)+`</p></div>`)
}

var markup = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

func escaped(text string) string { return markup.Replace(text) }

// computable gives a name that programs can use: shunt-context becomes ShuntContext.
func computable(id string) string {
	name := ""
	for part := range strings.SplitSeq(id, "-") {
		name += strings.ToUpper(part[:1]) + part[1:]
	}
	return name
}

// address gives the address of a definition, below the base, by kind and identifier.
func (m *maker) address(kind, id string) string { return m.base + "/" + kind + "/" + id }

// profileAddress gives that of a profile or extension.
func (m *maker) profileAddress(id string) string { return m.base + mapping.ProfileAddress(id) }
