package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"time"
)

// The elements of CycloneDX 1.6 that a bill of ours has, named as that standard names
// them (ECMA-424, first edition; JSON).
type (
	cyclone struct {
		Schema       string             `json:"$schema"`
		BOMFormat    string             `json:"bomFormat"`
		SpecVersion  string             `json:"specVersion"`
		SerialNumber string             `json:"serialNumber"`
		Version      int                `json:"version"`
		Metadata     cycloneMetadata    `json:"metadata"`
		Components   []cycloneComponent `json:"components"`
		Dependencies []cycloneNeeds     `json:"dependencies"`
		Compositions []cycloneWhole     `json:"compositions"`
	}
	cycloneMetadata struct {
		Timestamp  string             `json:"timestamp"`
		Lifecycles []cycloneLifecycle `json:"lifecycles"`
		Tools      cycloneTools       `json:"tools"`
		Component  cycloneComponent   `json:"component"`
	}
	cycloneLifecycle struct {
		Phase string `json:"phase"`
	}
	cycloneTools struct {
		Components []cycloneComponent `json:"components"`
	}
	cycloneComponent struct {
		Type        string            `json:"type"`
		BOMRef      string            `json:"bom-ref,omitempty"`
		Name        string            `json:"name"`
		Version     string            `json:"version,omitempty"`
		Description string            `json:"description,omitempty"`
		Scope       string            `json:"scope,omitempty"`
		Hashes      []cycloneHash     `json:"hashes,omitempty"`
		Licenses    []cycloneLicence  `json:"licenses,omitempty"`
		Copyright   string            `json:"copyright,omitempty"`
		PURL        string            `json:"purl,omitempty"`
		Properties  []cycloneProperty `json:"properties,omitempty"`
	}
	cycloneHash struct {
		Algorithm string `json:"alg"`
		Content   string `json:"content"`
	}
	cycloneLicence struct {
		License cycloneLicenceID `json:"license"`
	}
	cycloneLicenceID struct {
		ID   string `json:"id,omitempty"`
		Name string `json:"name,omitempty"`
	}
	cycloneProperty struct {
		Name  string `json:"name"`
		Value string `json:"value"`
	}
	cycloneNeeds struct {
		Ref       string   `json:"ref"`
		DependsOn []string `json:"dependsOn"`
	}
	cycloneWhole struct {
		Aggregate    string   `json:"aggregate"`
		Dependencies []string `json:"dependencies"`
	}
)

// bill gives the bill of materials of a program.
func (p *plan) bill(t target, program []byte, m *materials) ([]byte, error) {
	notice, err := readNotice(p.top)
	if err != nil {
		return nil, err
	}
	whole := m.ours.component("application")
	whole.Scope, whole.PURL = "", ""
	whole.Description = "Turns the sheet of a bedside indicator-dilution measurement into audited FHIR R4 bundles. For documentation, quality review and research."
	whole.Hashes = []cycloneHash{{"SHA-256", sum(program)}}
	whole.Properties = []cycloneProperty{{"go:target", t.String()}, {"source:revision", p.revision}}
	b := cyclone{
		Schema: "http://cyclonedx.org/schema/bom-1.6.schema.json", BOMFormat: "CycloneDX", SpecVersion: "1.6", Version: 1,
		SerialNumber: serialNumber(program),
		Metadata: cycloneMetadata{
			Timestamp:  p.time.Format(time.RFC3339),
			Lifecycles: []cycloneLifecycle{{"build"}},
			Tools:      cycloneTools{[]cycloneComponent{{Type: "application", Name: "saltmark/internal/release", Version: p.version}}},
			Component:  whole,
		},
		Compositions: []cycloneWhole{{"complete", []string{whole.BOMRef}}},
	}
	for _, mod := range append([]*module{m.standard}, m.modules...) {
		b.Components = append(b.Components, mod.component("library"))
	}
	needs := m.ours.dependencies(m)
	for _, d := range notice.data {
		c := cycloneComponent{Type: "data", BOMRef: "data:" + d.name, Name: d.name, Licenses: []cycloneLicence{{cycloneLicenceID{Name: "see NOTICE"}}}, Copyright: d.text}
		b.Components = append(b.Components, c)
		needs.DependsOn = append(needs.DependsOn, c.BOMRef)
	}
	b.Dependencies = append(b.Dependencies, needs)
	for _, mod := range append([]*module{m.standard}, m.modules...) {
		b.Dependencies = append(b.Dependencies, mod.dependencies(m))
	}
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	err = e.Encode(b)
	return out.Bytes(), err
}

// reference gives the name of a module inside the bill: its package URL, but for ours,
// which is to be had nowhere yet.
func (m *module) reference() string {
	if m.path == "saltmark" {
		return m.path + "@" + m.version
	}
	return "pkg:golang/" + m.path + "@" + m.version
}

func (m *module) component(kind string) cycloneComponent {
	c := cycloneComponent{
		Type: kind, BOMRef: m.reference(), Name: m.path, Version: m.version, Scope: "required", PURL: m.reference(),
		Licenses: []cycloneLicence{{cycloneLicenceID{ID: m.licence}}},
	}
	if m.sum != "" {
		c.Properties = []cycloneProperty{{"go:sum", m.sum}}
	}
	return c
}

// dependencies tells which modules a module needs itself.
func (m *module) dependencies(all *materials) cycloneNeeds {
	needs := cycloneNeeds{Ref: m.reference(), DependsOn: []string{}}
	for _, other := range slices.Concat(all.modules, []*module{all.standard}) {
		if slices.Contains(slices.Collect(maps.Keys(m.needs)), other.path) {
			needs.DependsOn = append(needs.DependsOn, other.reference())
		}
	}
	return needs
}

// serialNumber makes a UUID (version 8, RFC 9562) of the program's bytes, so that the
// same program has the same bill.
func serialNumber(program []byte) string {
	s := sha256.Sum256(append([]byte("saltmark bill of materials\n"), program...))
	s[6], s[8] = s[6]&0x0f|0x80, s[8]&0x3f|0x80
	return fmt.Sprintf("urn:uuid:%x-%x-%x-%x-%x", s[:4], s[4:6], s[6:8], s[8:10], s[10:16])
}
