package mapping

import (
	"cmp"

	"saltmark/mapping/measure"
)

// Options is how a site wants its bundles. The zero value is usable.
type Options struct {
	// Base is the canonical base of our code systems and extensions; "" is
	// measure.DefaultBase.
	Base    string
	Systems Systems

	// Form is what a session is written as, Mode how the requests of a transaction
	// name what is to be written.
	Form Form
	Mode Mode
	// Subject is how the patient is referred to; "" is Search in a transaction and
	// Logical elsewhere. Encounter is that for the encounter; "" is Logical, since an
	// encounter that the server does not know must not lose the result.
	Subject, Encounter ReferenceMode

	Software Software
	// SHA-256, in hex, of the settings of the site, of the table of measures and
	// of the sheet; "" is left out.
	SettingsHash, TableHash, SourceHash string

	// Curves writes traces as SampledData.
	Curves bool
	// Picture is the session as an SVG document, a further form of the report with the
	// same content; nil is none. It is not read back: what it shows follows from facts.
	Picture []byte
	// Comparators writes values of other methods into transactions too, though they
	// mostly come from the record that the bundle goes to. Other forms have them.
	Comparators bool
	// Injections says whether single injections are written.
	Injections Injections

	// Codings are those of the site, by the key of the measure. They stand behind
	// ours (codings.go says what may be one).
	Codings map[string][]Coding
	// SNOMED adds SNOMED CT codes to lesions, directions, vessels and the Procedure;
	// never to a flow.
	SNOMED bool

	// Language of words and narratives.
	Language measure.Language
}

// Systems are the systems of business identifiers. One that is "" lies below the
// base: Base + "/sid/session" and so on.
type Systems struct {
	Session string // sessions and what belongs to one
	Device  string // shared devices: monitors, tubing sets, software
	Person  string // operator, verifier and others

	// Patient, Encounter and Order serve references that name none themselves.
	Patient, Encounter, Order string
}

// Software is the program that writes.
type Software struct{ Name, Version string }

// Injections says how single injections are written.
type Injections string

// The zero value is InjectionsSeparate.
const (
	InjectionsSeparate Injections = "separate" // Observations of their own
	InjectionsNone     Injections = "none"     // not at all
)

// Systems of hashes, below the base: what a Provenance was made from.
const (
	sheetHashSystem    = "/sid/sheet-sha256"
	settingsHashSystem = "/sid/settings-sha256"
	tableHashSystem    = "/sid/table-sha256"
	traceHashSystem    = "/sid/trace-sha256"

	// FactsHashSystem, below the base, is that of the Digest.
	FactsHashSystem = "/sid/facts-sha256"
)

// complete fills in what the options leave open.
func (o Options) complete() Options {
	put := func(field *string, value string) {
		if *field == "" {
			*field = value
		}
	}
	put(&o.Base, measure.DefaultBase)
	put(&o.Systems.Session, o.Base+"/sid/session")
	put(&o.Systems.Device, o.Base+"/sid/device")
	put(&o.Systems.Person, o.Base+"/sid/person")
	put(&o.Systems.Patient, o.Base+"/sid/patient")
	put(&o.Systems.Encounter, o.Base+"/sid/encounter")
	put(&o.Systems.Order, o.Base+"/sid/order")
	put(&o.Software.Name, "saltmark")
	o.Form = cmp.Or(o.Form, Transaction)
	o.Mode = cmp.Or(o.Mode, Conditional)
	if o.Form == Transaction {
		o.Subject = cmp.Or(o.Subject, Search)
	} else {
		o.Comparators = true
	}
	o.Subject = cmp.Or(o.Subject, Logical)
	o.Encounter = cmp.Or(o.Encounter, Logical)
	o.Codings = inOrderOfCodes(o.Codings)
	return o
}
