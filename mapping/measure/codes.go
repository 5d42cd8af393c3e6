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
	{"obtained", Words{"how the value was obtained", "wie der Wert gewonnen wurde"}},
	{"origin", Words{"origin of the value", "Herkunft des Werts"}},
	{"revision", Words{"revision of the session", "Revision der Messung"}},
	{"verified-revision", Words{"revision that was verified", "geprüfte Revision"}},
	{"verified-at", Words{"when it was verified", "Zeitpunkt der Prüfung"}},
	{"changed-in", Words{"revision that last changed what had been released", "Revision, die zuletzt Freigegebenes geändert hat"}},
	{"flow-before", Words{"blood flow before that change", "Blutfluss vor dieser Änderung"}},
	{"curve-file-hash", Words{"SHA-256 of the file of the curve", "SHA-256 der Datei der Kurve"}},
	{"curve-resampled", Words{"samples were drawn on even steps", "Werte auf gleiche Abstände gebracht"}},
	{"program", Words{"program that wrote this", "Programm, das dies geschrieben hat"}},
	{"table-hash", Words{"SHA-256 of the table of measures", "SHA-256 der Tabelle der Messgrößen"}},
	{"settings-hash", Words{"SHA-256 of the settings of the site", "SHA-256 der Einstellungen der Klinik"}},
	{"report", Words{"report of a measurement session", "Bericht über eine Messung des Herzzeitvolumens"}},
	{"session-document", Words{"document of a measurement session", "Dokument über eine Messung des Herzzeitvolumens"}},
	{"injections", Words{"injections of indicator", "Injektionen des Indikators"}},
	{"recordings", Words{"recorded curves", "aufgezeichnete Kurven"}},
	{"loop", Words{
		"measurement of cardiac output by indicator dilution through an extracorporeal loop",
		"Messung des Herzzeitvolumens durch Indikatordilution über eine extrakorporale Schleife",
	}},
	{"device-monitor", Words{"monitor of indicator dilution", "Monitor der Indikatordilution"}},
	{"device-loop", Words{"tubing set of an extracorporeal loop", "Schlauchset einer extrakorporalen Schleife"}},
	{"device-disposable", Words{"disposable part", "Einmalartikel"}},
	{"device-software", Words{"software that charts a measurement session", "Software, die eine Messung dokumentiert"}},
}

// LocalCodes gives every local code of the table with its words, in the order of
// the table and each once: for the code system and for the reader.
func LocalCodes() []Coded {
	var codes []Coded
	seen := map[string]bool{}
	add := func(code string, words Words) {
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
			add(m.Used, usedWords.around(m.Words))
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

// What the words of a measure become under its other codes.
var (
	usedWords          = Words{"{}, value used for the calculation", "{}, für die Berechnung verwendet"}
	oneInjectionWords  = Words{"{}, one injection", "{}, eine Injektion"}
	notDeterminedWords = Words{"{}, which flow is not known", "{}, unklar, welcher Fluss"}
	systemicWords      = Words{"systemic {}", "systemischer {}"}
)

func (m *Measure) wordsAbout(about About, thing string) Words {
	if about == Injection && m.InjectionCode != "" {
		return oneInjectionWords.around(m.Words)
	}
	return m.wordsFor(thing)
}

func (m *Measure) wordsUnder(w CodeWhen) Words {
	if w.When == NotDetermined {
		return notDeterminedWords.around(m.Words)
	}
	return systemicWords.around(m.Words)
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
