// Package terms holds the codes of others that this program writes or checks:
// LOINC, ISO/IEEE 11073, DICOM and SNOMED CT codes in use, value sets of FHIR R4 whose
// displays are written, the LOINC codes that demand a vital-signs profile, and the codes
// of currencies.
//
// All of it is data in the .tsv files beside this one; each file opens with its
// source, its licence and the notice that goes with it. The package holds no rule
// on when a code may be used (the table of measures does), no codes of our own,
// and no units: it knows codes, not quantities.
//
// Limits: the tables are what this program needs and no terminology server. A code
// that they lack may be a good one; only what a table calls whole is whole.
package terms

// Systems of the codes, as FHIR writes them.
const (
	SystemLOINC  = "http://loinc.org"
	SystemMDC    = "urn:iso:std:iso:11073:10101"
	SystemDICOM  = "http://dicom.nema.org/resources/ontology/DCM"
	SystemSNOMED = "http://snomed.info/sct"
	SystemUCUM   = "http://unitsofmeasure.org"

	SystemActReason             = "http://terminology.hl7.org/CodeSystem/v3-ActReason"
	SystemDataAbsentReason      = "http://terminology.hl7.org/CodeSystem/data-absent-reason"
	SystemDataOperation         = "http://terminology.hl7.org/CodeSystem/v3-DataOperation"
	SystemDiagnosticSection     = "http://terminology.hl7.org/CodeSystem/v2-0074"
	SystemObservationCategory   = "http://terminology.hl7.org/CodeSystem/observation-category"
	SystemProvenanceParticipant = "http://terminology.hl7.org/CodeSystem/provenance-participant-type"
)

// Code is a code of a system with the display that the system gives it.
type Code struct {
	System  string
	Code    string
	Display string
}

// Entry is a published code in use.
type Entry struct {
	System string
	Code   string
	// Name is the name or meaning that the source gives the code, "" where none
	// was seen. It goes out as a display only when SendDisplay is true.
	Name        string
	SendDisplay bool
	Use         string // what this program uses the code for
	Source      string
}

// Display gives the display that may be sent with the code, "" when none may.
func (e Entry) Display() string {
	if e.SendDisplay {
		return e.Name
	}
	return ""
}

// LOINC finds a LOINC code in use.
func LOINC(code string) (Entry, bool) { return lookup(SystemLOINC, code) }

// Lookup finds a code in the tables of codes in use and in the value sets.
func Lookup(system, code string) (Entry, bool) { return lookup(system, code) }

// Entries gives every published code in use, ordered by table (LOINC, 11073,
// DICOM, SNOMED CT) and then as the table has them. Codes that only stand in a
// value set are not among them.
func Entries() []Entry { return entries() }
