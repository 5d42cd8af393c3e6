package shape_test

import (
	"slices"
	"strings"
	"testing"

	"saltmark/internal/shape"
)

// The codes as the code systems of FHIR R4 4.0.1 list them.
func TestValueSetsOfFHIRAreWhole(t *testing.T) {
	for _, c := range []struct {
		name string
		want []string
	}{
		{"observation-status", []string{"registered", "preliminary", "final", "amended", "corrected", "cancelled", "entered-in-error", "unknown"}},
		{"diagnostic-report-status", []string{"registered", "partial", "preliminary", "final", "amended", "corrected", "appended", "cancelled", "entered-in-error", "unknown"}},
		{"event-status", []string{"preparation", "in-progress", "not-done", "on-hold", "stopped", "completed", "entered-in-error", "unknown"}},
		{"composition-status", []string{"preliminary", "final", "amended", "entered-in-error"}},
		{"narrative-status", []string{"generated", "extensions", "additional", "empty"}},
		{"http-verb", []string{"GET", "HEAD", "POST", "PUT", "DELETE", "PATCH"}},
		{"identifier-use", []string{"usual", "official", "temp", "secondary", "old"}},
		{"quantity-comparator", []string{"<", "<=", ">=", ">"}},
		{"issue-severity", []string{"fatal", "error", "warning", "information"}},
		{"bundle-type", []string{"document", "message", "transaction", "transaction-response", "batch", "batch-response", "history", "searchset", "collection"}},
	} {
		if got := shape.ValueSet(c.name); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
	if shape.ValueSet("no-such-set") != nil {
		t.Error("a set that is not there has codes")
	}
}

func TestMembersAreNamedAsFHIRDoes(t *testing.T) {
	for _, c := range []struct {
		kind    string
		members []string
		want    string
	}{
		{"Observation", []string{"component", "valueQuantity", "value"}, "component value value"},
		{"Observation", []string{"_status", "extension", "valueCode"}, "status extension value"},
		{"Observation", []string{"effectiveDateTime"}, "effective"},
		{"Observation", []string{"extension", "valueAnnotation", "authorString"}, "extension value author"},
		{"Device", []string{"property", "valueQuantity", "value"}, "property valueQuantity value"}, // R4 has it as a name of its own
		{"Bundle", []string{"entry", "resource", "valueQuantity", "value"}, "entry resource value value"},
		{"ValueSet", []string{"compose", "include", "valueSet"}, "compose include valueSet"},
		{"", []string{"valueQuantity"}, "value"},
		{"Observation", []string{"valeu", "valueString"}, "valeu value"},
	} {
		got, w := []string{}, shape.WalkFrom(c.kind)
		for _, m := range c.members {
			var name string
			name, w = w.Into(m)
			got = append(got, name)
		}
		if words := strings.Join(got, " "); words != c.want {
			t.Errorf("%s %q: %s, want %s", c.kind, c.members, words, c.want)
		}
	}
}
