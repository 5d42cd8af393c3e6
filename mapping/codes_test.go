package mapping_test

import (
	"slices"
	"strings"
	"testing"

	"saltmark/mapping"
	"saltmark/mapping/record"
)

// coded gives the codes of an Observation, found by what follows the session in its
// identity, published ones as "LOINC 8737-9"; nil where there is no such Observation.
func coded(t *testing.T, s *record.Session, identity string) []string {
	t.Helper()
	r := observationOf(t, s, identity)
	if r == nil {
		return nil
	}
	var codes []string
	for _, c := range r["code"].(map[string]any)["coding"].([]any) {
		coding := c.(map[string]any)
		code := coding["code"].(string)
		if coding["system"] == "http://loinc.org" {
			code = "LOINC " + code
		}
		codes = append(codes, code)
	}
	return codes
}

func observationOf(t *testing.T, s *record.Session, identity string) map[string]any {
	t.Helper()
	for _, e := range entriesOf(t, write(t, s, everything)) {
		if ids, ok := e.Resource["identifier"].([]any); ok && strings.HasSuffix(ids[0].(map[string]any)["value"].(string), s.ID+"/"+identity) {
			return e.Resource
		}
	}
	return nil
}

const (
	flowIdentity   = "session/blood-flow/derived"
	strokeIdentity = "session/stroke-volume/derived"
	perAreaIndex   = "session/blood-flow-index-by-area/derived"
	perWeightIndex = "session/blood-flow-index-by-weight/derived"
)

// The rows are those of the page on flow labels: which codes the session's flow
// carries, and that it alone does.
func TestCodesFollowTheFlowLabel(t *testing.T) {
	tests := []struct {
		name  string
		state func(*record.Session)
		want  map[string][]string
	}{
		{"all closed", func(*record.Session) {}, map[string][]string{
			flowIdentity:   {"LOINC 8737-9", "systemic-blood-flow"},
			strokeIdentity: {"LOINC 8771-8", "stroke-volume"},
			perAreaIndex:   {"LOINC 8751-0", "systemic-blood-flow-index-by-area"},
			perWeightIndex: {"systemic-blood-flow-index-by-weight"},
		}},
		{"atrial left to right", func(s *record.Session) { look(s, "atrial", "left-to-right", "13:40") }, map[string][]string{
			flowIdentity:   {"LOINC 8737-9", "systemic-blood-flow"},
			strokeIdentity: {"LOINC 8771-8", "stroke-volume"},
		}},
		{"ventricular left to right", func(s *record.Session) { look(s, "ventricular", "left-to-right", "13:40") }, map[string][]string{
			flowIdentity:   {"systemic-blood-flow"},
			strokeIdentity: {"stroke-volume"},
			perAreaIndex:   {"systemic-blood-flow-index-by-area"},
		}},
		{"ductal left to right", func(s *record.Session) { look(s, "ductal", "left-to-right", "13:40") }, map[string][]string{
			flowIdentity:   {"systemic-blood-flow"},
			strokeIdentity: {"stroke-volume"},
		}},
		{"ductal right to left", func(s *record.Session) { look(s, "ductal", "right-to-left", "13:40") }, map[string][]string{
			flowIdentity:   {"blood-flow-not-determined"},
			strokeIdentity: {"stroke-volume"},
			perAreaIndex:   {"blood-flow-index-by-area-not-determined"},
			perWeightIndex: {"blood-flow-index-by-weight-not-determined"},
		}},
		{"not seen", func(s *record.Session) { look(s, "ductal", "not-seen", "13:40") }, map[string][]string{
			flowIdentity: {"blood-flow-not-determined"},
		}},
		{"a sign not answered", func(s *record.Session) { put(s, `injection 1 | shunt-sign | yes`) }, map[string][]string{
			flowIdentity:   {"systemic-blood-flow"},
			strokeIdentity: {"stroke-volume"},
			perAreaIndex:   {"systemic-blood-flow-index-by-area"},
		}},
		{"no agreeing pair", func(s *record.Session) { put(s, `injection 2 | blood-flow | 0.722 L/min | 14:30`) }, map[string][]string{
			flowIdentity:   {"LOINC 8737-9", "systemic-blood-flow"},
			strokeIdentity: {"stroke-volume"},
			perAreaIndex:   {"blood-flow-index-by-area"},
		}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			test.state(s)
			settled(t, s, nil)
			test.want["injection-1/blood-flow/reported"] = []string{"blood-flow-of-one-injection"}
			for identity, want := range test.want {
				if got := coded(t, s, identity); !slices.Equal(got, want) {
					t.Errorf("%s is coded %v, want %v", identity, got, want)
				}
			}
		})
	}
}

func TestOnlyWhatWasMeasuredHereHasAPublishedCode(t *testing.T) {
	s := plain()
	put(s, `
		sample 1 | blood-sample || 14:00
		sample 1 | haemoglobin | 13.2 g/dL | 14:00 | measured-here
		sample 2 | blood-sample || 14:00
		sample 2 | haemoglobin | 13.2 g/dL | 14:00 | estimated`)
	settled(t, s, nil)
	for identity, want := range map[string][]string{
		"session/weight/stated":       {"LOINC 29463-7", "weight"},
		"session/length/stated":       {"length-used"},
		"sample-1/haemoglobin/stated": {"LOINC 718-7", "haemoglobin"},
		"sample-2/haemoglobin/stated": {"haemoglobin-used"},
	} {
		if got := coded(t, s, identity); !slices.Equal(got, want) {
			t.Errorf("%s is coded %v, want %v", identity, got, want)
		}
	}
}

// Recomputed values and what derives from them have local codes only.
func TestWhatIsRecomputedHasLocalCodesAndStaysPreliminary(t *testing.T) {
	s := settled(t, plain(), nil)
	recomputed := record.Ref{About: record.TheSession, Measure: "blood-flow", Origin: record.Recomputed}
	label := s.Find(record.TheSession, "blood-flow", record.Derived).Label
	quantity := record.Value{Quantity: record.Quantity{Number: "0.61", Unit: "L/min"}}
	s.Facts = append(s.Facts, record.Fact{Ref: recomputed, Value: quantity, At: clock("14:30"), Label: label})
	s.Find(record.TheSession, "stroke-volume", record.Derived).From = []record.Ref{recomputed}
	if findings := mapping.Settle(s, nil); len(findings) > 0 {
		t.Fatal(findings)
	}
	if got := coded(t, s, "session/blood-flow/recomputed"); !slices.Equal(got, []string{"blood-flow"}) {
		t.Errorf("the recomputed flow is coded %v", got)
	}
	if got := coded(t, s, strokeIdentity); !slices.Equal(got, []string{"stroke-volume"}) {
		t.Errorf("the stroke volume made from it is coded %v", got)
	}
	for _, r := range []record.Ref{recomputed, {About: record.TheSession, Measure: "stroke-volume", Origin: record.Derived}} {
		if f := s.Find(r.About, r.Measure, r.Origin); f.Status != record.Preliminary {
			t.Errorf("%s is %s", r.Measure, f.Status)
		}
	}
	if f := s.Find(record.TheSession, "blood-flow", record.Derived); f.Status != record.Final {
		t.Errorf("the charted flow beside it is %s", f.Status)
	}
}

func TestMethodIsSaidWhereTheCodeDoesNotSayIt(t *testing.T) {
	s := settled(t, plain(), nil)
	if m := observationOf(t, s, flowIdentity)["method"]; m != nil {
		t.Errorf("8737-9 has the method %v", m)
	}
	if m := observationOf(t, s, "injection-1/blood-flow/reported")["method"]; m == nil {
		t.Error("a flow under a local code has no method")
	}
	if m := observationOf(t, s, "session/body-surface-area/derived")["method"]; m == nil {
		t.Error("the area does not say its formula")
	}
}
