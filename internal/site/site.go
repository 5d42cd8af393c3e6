// Package site holds what a site decides once for all its sessions: limits and
// constants, monitors and tubing sets by name, systems of identifiers, and how its
// bundles are written. One YAML file, read as strictly as a sheet.
//
// Complete brings what the settings supply into a session, as facts of the origin
// "setting", where the sheet states none: so all that derivation needs travels in
// the bundle, and a bundle can be proved from itself. Which values those are
// follows from the column "setting" of the table of measures.
//
// Every limit has a source, or the words "common practice, no source". Only the
// demo settings have numbers for all of them; a site writes its own. The package
// refuses to know what a limit is for: derive and sheet do.
//
// The settings of production take effect when somebody has approved them: Approved
// compares what is in force, and the table of measures, with what was approved.
// Decisions lists what is in force and where each comes from.
//
// Version 2 is written; version 1, which knew no approval, is read as it was.
package site

import (
	_ "embed"
	"sync"

	"saltmark/internal/finding"
	"saltmark/internal/schema"
	"saltmark/internal/sheet"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Version is the version of the format of the settings.
const Version = 2

// Versions gives every version that is read, each by a schema of its own.
func Versions() []int { return []int{1, Version} }

// environments are the words for what settings are for, by whether it is test data.
var environments = map[bool]string{true: "test", false: "production"}

// Settings are what one site decides. They do not change once they are read.
type Settings struct {
	Name string
	// Test is the environment "test": what is charted are test data, and every resource
	// carries the HTEST label.
	Test     bool
	Approval Approval

	// Base is the canonical base of code systems, extensions and identifiers.
	Base    string
	Systems mapping.Systems
	// Identifiers are what the identifiers of a system look like, by its name.
	Identifiers map[string]Identifier
	// People are the persons whom the site knows, by identifier; nil knows everybody.
	People map[string]Person

	// Write is how bundles are written, as far as the settings decide it.
	Write mapping.Options
	// Codings are the site's own, by measure, which stand behind ours; SNOMED adds
	// SNOMED CT codes.
	Codings map[string][]mapping.Coding
	SNOMED  bool
	// Language is that of words and narratives in bundles.
	Language measure.Language

	// VerifierMayBeOperator lets the person who measured verify.
	VerifierMayBeOperator bool

	// Monitors and Loops are the devices that a sheet names.
	Monitors, Loops map[string]Device

	// Supplies are the values for sessions whose sheet states none, by measure.
	Supplies map[string][]Supply

	// Ranges are the plausible values, those of the site among them, and Load the
	// limits of what a measurement may cost.
	Ranges []sheet.Range
	Load   []sheet.Range

	// doc is the file, for places, and ranged says where the rows of Ranges stand.
	doc    *source.Document
	ranged map[int]string
}

// Supply is one value, for all or for those from an age on and of one sex.
type Supply struct {
	FromDays int
	Sex      string // "" = both
	Value    record.Value
	Source   string
	pointer  string
}

// Limits gives what sheet.Check needs to know of the site.
func (t *Settings) Limits() sheet.Limits {
	return sheet.Limits{
		Ranges:                append(append([]sheet.Range(nil), t.Ranges...), t.Load...),
		VerifierMayBeOperator: t.VerifierMayBeOperator,
	}.Prepare()
}

// Mapping gives what mapping.Write needs to know of the site. Software, curves and
// the other hashes are the caller's.
func (t *Settings) Mapping() mapping.Options {
	o := t.Write
	o.Base, o.Systems, o.Language, o.SettingsHash = t.Base, t.Systems, t.Language, t.Hash()
	o.Codings, o.SNOMED = t.Codings, t.SNOMED
	return o
}

// Read reads settings. They are nil when the list holds an error.
func Read(doc *source.Document) (*Settings, finding.List) {
	if doc == nil || doc.Root == nil {
		return nil, nil
	}
	if list := sheet.Misplaced(doc, "saltmark-site", "settings of a site are wanted, which have the key saltmark-site"); list != nil {
		return nil, list
	}
	if list := wallOf(doc).Check(doc); list.HasErrors() {
		return nil, list
	}
	r := reader{doc: doc, t: &Settings{
		doc: doc, ranged: map[int]string{}, Identifiers: map[string]Identifier{},
		Monitors: map[string]Device{}, Loops: map[string]Device{}, Supplies: map[string][]Supply{},
		Ranges: sheet.DefaultRanges(),
	}}
	r.read()
	r.list.Sort()
	if r.list.HasErrors() {
		return nil, r.list
	}
	return r.t, r.list
}

//go:embed demo.yaml
var demoText []byte

// Demo gives the settings of an invented children's hospital. That they can be
// read is shown by a test.
func Demo() *Settings { return theDemo() }

var theDemo = sync.OnceValue(func() *Settings {
	doc, list := source.ReadYAML("demo.yaml", demoText, source.SheetLimits())
	t, more := Read(doc)
	for _, f := range append(list, more...) {
		if f.Severity == finding.Error {
			panic("demo settings: " + f.Text(true))
		}
	}
	return t
})

// wallOf gives the schema by which a file is read: that of the version that it names,
// else that of the newest.
func wallOf(doc *source.Document) *schema.Schema {
	if n := doc.Root.Get("saltmark-site"); n != nil && n.Kind == source.Number && n.Text == "1" {
		return theFirstWall()
	}
	return theWall()
}

var (
	theWall      = sync.OnceValue(func() *schema.Schema { return schema.Lazy("site settings", Schema) })
	theFirstWall = sync.OnceValue(func() *schema.Schema {
		return schema.Lazy("site settings 1", func() []byte { return schemaOf(1) })
	})
)
