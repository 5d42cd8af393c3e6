package measure

import (
	"crypto/sha256"
	"encoding/hex"
	"sync"
)

// Systems of codes, as FHIR names them.
const (
	SystemLOINC = "http://loinc.org"
	SystemUCUM  = "http://unitsofmeasure.org"
	SystemMDC   = "urn:iso:std:iso:11073:10101"
	SystemDICOM = "http://dicom.nema.org/resources/ontology/DCM"

	// DefaultBase is the canonical base of our own code systems, extensions and
	// profiles where the site sets none. The domain is reserved and resolves to
	// nothing (RFC 2606).
	DefaultBase = "https://saltmark.example/fhir"
)

// Our own code systems, below the canonical base.
const (
	MeasureCodes = "/CodeSystem/measures"    // local codes of measures
	LabelCodesAt = "/CodeSystem/flow-labels" // which flow a number stands for
	ReasonCodes  = "/CodeSystem/reasons"     // why absent, why not determined
	ValueCodes   = "/CodeSystem/values"      // all other coded values
)

// beside are codes of what is written beside the measures: parts of a value, the
// administration of a session, and the resources that are no Observation.
var beside = []Coded{
	{"obtained", "how the value was obtained"},
	{"origin", "origin of the value"},
	{"revision", "revision of the session"},
	{"verified-revision", "revision that was verified"},
	{"verified-at", "when it was verified"},
	{"changed-in", "revision that last changed what had been released"},
	{"flow-before", "blood flow before that change"},
	{"curve-file-hash", "SHA-256 of the file of the curve"},
	{"curve-resampled", "samples were drawn on even steps"},
	{"program", "program that wrote this"},
	{"table-hash", "SHA-256 of the table of measures"},
	{"settings-hash", "SHA-256 of the settings of the site"},
	{"report", "report of a measurement session"},
	{"loop", "measurement of cardiac output by indicator dilution through an extracorporeal loop"},
	{"device-monitor", "monitor of indicator dilution"},
	{"device-loop", "tubing set of an extracorporeal loop"},
	{"device-disposable", "disposable part"},
	{"device-software", "software that charts a measurement session"},
}

// LocalCodes gives every local code of the table with its words, in the order of
// the table and each once: for the code system and for the reader.
func LocalCodes() []Coded {
	var codes []Coded
	seen := map[string]bool{}
	add := func(code, words string) {
		if code != "" && !seen[code] {
			seen[code] = true
			codes = append(codes, Coded{code, words})
		}
	}
	for i := range All() {
		m := &All()[i]
		for _, about := range m.About {
			for _, thing := range ThingsOf(about) {
				add(m.LocalCode(about, thing), m.wordsAbout(about, thing))
			}
		}
		if m.Used != "" {
			add(m.Used, m.Words+", value used for the calculation")
		}
		for _, w := range m.Codes {
			add(w.Local, m.wordsUnder(w))
		}
	}
	for _, extra := range beside {
		add(extra.Code, extra.Words)
	}
	return codes
}

func (m *Measure) wordsAbout(about About, thing string) string {
	if about == Injection && m.InjectionCode != "" {
		return m.Words + ", one injection"
	}
	return m.WordsFor(thing)
}

func (m *Measure) wordsUnder(w CodeWhen) string {
	if w.When == NotDetermined {
		return m.Words + ", which flow is not known"
	}
	return "systemic " + m.Words
}

// ThingsOf gives the keys of things that form a closed set: levels and
// catheters; for the others one empty key.
func ThingsOf(about About) []string {
	switch about {
	case Level:
		return Levels
	case Catheter:
		return Catheters
	}
	return []string{""}
}

// Catheters gives the two catheters of the loop.
var Catheters = []string{"arterial", "venous"}

// TableHash gives the SHA-256, in hex, of the table of measures: it changes
// whenever a row does.
func TableHash() string { return tableHash() }

var tableHash = sync.OnceValue(func() string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
})
