package guide

import (
	"fmt"

	"saltmark/internal/profile"
	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// StructureDefinitions of the profiles and of the extensions.

const fhirBase = "http://hl7.org/fhir/StructureDefinition/"

// profiles gives a StructureDefinition for each profile.
func (m *maker) profiles() ([]object, error) {
	var list []object
	for _, p := range profile.All() {
		differential := m.differential(&p)
		all, err := snapshot(p.Resource, differential)
		if err != nil {
			return nil, fmt.Errorf("profile %s: %w", p.ID, err)
		}
		definition := append(m.head("StructureDefinition", p.ID, english(p.Title), english(p.Purpose)), obj(
			"fhirVersion", "4.0.1", "kind", "resource", "abstract", false, "type", p.Resource,
			"baseDefinition", fhirBase+p.Resource, "derivation", "constraint",
			"snapshot", obj("element", all), "differential", obj("element", differential),
		)...)
		list = append(list, definition)
	}
	return list, nil
}

func english(w measure.Words) string { return w.In(measure.English) }

// differential gives what a profile says beyond FHIR, an element each.
func (m *maker) differential(p *profile.Profile) []object {
	root := obj("id", p.Resource, "path", p.Resource, "short", english(p.Title), "definition", english(p.Purpose))
	if p.HasValue() {
		root = root.with("constraint", []object{obj(
			"key", p.ID+"-1", "severity", "error", "human", "a value, or the reason for having none",
			"expression", "value.exists() or dataAbsentReason.exists()", "source", m.profileAddress(p.ID),
		)})
	}
	list := []object{root}
	sliced := 0
	for i := range p.Elements {
		if p.Elements[i].Slice != "" {
			sliced++
		}
	}
	for i := range p.Elements {
		e := &p.Elements[i]
		if e.Slice != "" && sliced > 0 {
			list = append(list, slicing(p, sliced))
			sliced = 0
		}
		list = append(list, m.element(p, e))
	}
	return list
}

// slicing says that extensions are told apart by their address.
func slicing(p *profile.Profile, least int) object {
	at := p.Resource + ".extension"
	const short = "extensions, told apart by their address"
	return obj("id", at, "path", at, "slicing", obj(
		"discriminator", []object{obj("type", "value", "path", "url")}, "ordered", false, "rules", "open",
	), "short", short, "definition", short, "min", least)
}

func (m *maker) element(p *profile.Profile, e *profile.Element) object {
	at := p.Resource + "." + e.Name
	o := obj("id", at, "path", at)
	if e.Slice != "" {
		o = obj("id", at+":"+e.Slice, "path", at, "sliceName", e.Slice)
	}
	o = append(o, obj("short", english(e.Words), "definition", english(e.Words))...)
	if e.Min > 0 {
		o = o.with("min", e.Min)
	}
	if e.Max != "" {
		o = o.with("max", e.Max)
	}
	switch {
	case e.Slice != "":
		o = o.with("type", []object{obj("code", "Extension", "profile", []string{m.base + e.Address})})
	case e.Types != nil:
		var types []object
		for _, t := range e.Types {
			types = append(types, obj("code", t))
		}
		o = o.with("type", types)
	}
	if e.Max != "0" {
		o = o.with("mustSupport", true)
	}
	if e.Codes != "" {
		o = o.with("binding", m.binding(e.Codes))
	}
	return o
}

func (m *maker) binding(set string) object {
	s, _ := profile.SetNamed(set)
	return obj("strength", "required", "description", english(s.Title), "valueSet", m.address("ValueSet", set))
}

// extensionRow is an extension of ours: where it may stand, and what it holds.
type extensionRow struct {
	id    string
	title measure.Words
	on    []string
	value string // type of the value
	set   string // value set that it is bound to, "" for none
}

// extensionRows are those that mapping writes. Behind them come the coded parts that a
// national profile drives out of components.
func extensionRows() []extensionRow {
	rows := []extensionRow{
		{"flow-label", setTitle(profile.LabelSet), []string{"Observation", "Observation.component"}, "CodeableConcept", profile.LabelSet},
		{"origin", measure.Words{"how a value came to be", "wie ein Wert entstand"}, []string{"Observation", "Observation.component"}, "code", "origin"},
		{"obtained", measure.Words{"how a vital sign was obtained", "wie ein Vitalzeichen gewonnen wurde"}, []string{"Observation"}, "code", "obtained"},
		{"bound", measure.Words{"the bound that a value lay beyond", "die Grenze, jenseits derer ein Wert lag"}, []string{"Observation.dataAbsentReason", "Observation.component.dataAbsentReason"}, "Quantity", ""},
	}
	for _, part := range mapping.CodedParts() {
		rows = append(rows, extensionRow{part.Key, part.Words, []string{"Observation"}, "CodeableConcept", part.Values})
	}
	return rows
}

func setTitle(id string) measure.Words {
	s, _ := profile.SetNamed(id)
	return s.Title
}

// extensions gives their StructureDefinitions.
func (m *maker) extensions() ([]object, error) {
	var list []object
	for _, row := range extensionRows() {
		differential := m.extensionElements(row)
		all, err := snapshot("Extension", differential)
		if err != nil {
			return nil, fmt.Errorf("extension %s: %w", row.id, err)
		}
		var context []object
		for _, place := range row.on {
			context = append(context, obj("type", "element", "expression", place))
		}
		list = append(list, append(m.head("StructureDefinition", row.id, english(row.title), "Extension: "+english(row.title)+"."), obj(
			"fhirVersion", "4.0.1", "kind", "complex-type", "abstract", false, "context", context, "type", "Extension",
			"baseDefinition", fhirBase+"Extension", "derivation", "constraint",
			"snapshot", obj("element", all), "differential", obj("element", differential),
		)...))
	}
	return list, nil
}

func (m *maker) extensionElements(row extensionRow) []object {
	value := obj("id", "Extension.value[x]", "path", "Extension.value[x]", "min", 1, "type", []object{obj("code", row.value)})
	if row.set != "" {
		value = value.with("binding", m.binding(row.set))
	}
	return []object{
		obj("id", "Extension", "path", "Extension", "short", english(row.title), "definition", english(row.title), "max", "1"),
		obj("id", "Extension.extension", "path", "Extension.extension", "short", "none: it holds a value alone", "definition", "none: it holds a value alone", "max", "0"),
		obj("id", "Extension.url", "path", "Extension.url", "fixedUri", m.profileAddress(row.id)),
		value,
	}
}
