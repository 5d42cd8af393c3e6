package r4_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/r4"
)

// The words of the required value sets of HL7 FHIR R4 4.0.1 that written resources
// use (observation-status, bundle-type, http-verb, ...).
func TestEveryEnumInUseWritesTheWordItWasMadeOf(t *testing.T) {
	each[fhir.ObservationStatus](t, "registered preliminary final amended corrected cancelled entered-in-error unknown")
	each[fhir.BundleType](t, "document message transaction transaction-response batch batch-response history searchset collection")
	each[fhir.HTTPVerb](t, "GET HEAD POST PUT DELETE PATCH")
	each[fhir.DiagnosticReportStatus](t, "registered partial preliminary final amended corrected appended cancelled entered-in-error unknown")
	each[fhir.EventStatus](t, "preparation in-progress not-done on-hold stopped completed entered-in-error unknown")
	each[fhir.CompositionStatus](t, "preliminary final amended entered-in-error")
	each[fhir.CompositionAttestationMode](t, "personal professional legal official")
	each[fhir.FHIRDeviceStatus](t, "active inactive entered-in-error unknown")
	each[fhir.DeviceNameType](t, "udi-label-name user-friendly-name patient-reported-name manufacturer-name model-name other")
	each[fhir.ProvenanceEntityRole](t, "derivation revision quotation source removal")
	each[fhir.NarrativeStatus](t, "generated extensions additional empty")
	each[fhir.IdentifierUse](t, "usual official temp secondary old")
	each[fhir.IssueSeverity](t, "fatal error warning information")
	each[fhir.IssueType](t, `invalid structure required value invariant security login unknown expired forbidden suppressed processing
		not-supported duplicate multiple-matches not-found deleted too-long code-invalid extension too-costly business-rule conflict
		transient lock-error no-store exception timeout incomplete throttled informational`)
}

func each[T any, P interface {
	*T
	json.Unmarshaler
}](t *testing.T, words string) {
	t.Helper()
	for _, word := range strings.Fields(words) {
		value, err := r4.Enum[T, P](word)
		if text, _ := json.Marshal(value); err != nil || string(text) != `"`+word+`"` {
			t.Errorf("%T: %s became %s (%v)", value, word, text, err)
		}
	}
	for _, word := range []string{"", "Final", "final ", `"final"`, "<unknown>", "none"} {
		if value, err := r4.Enum[T, P](word); err == nil {
			t.Errorf("%T: %q became %v; an error is wanted", value, word, value)
		}
	}
}
