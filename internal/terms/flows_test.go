package terms

import (
	"slices"
	"strings"
	"testing"
)

// A code that names a flow is one of the tables, and every code of the tables whose
// name or use speaks of an output, a stroke volume or a flow names one, but for those
// of a method.
func TestEveryCodeThatNamesAFlowIsInTheTableOfFlows(t *testing.T) {
	table, err := flows()
	if err != nil || len(table) == 0 {
		t.Fatal(err)
	}
	for k, flow := range table {
		if _, known := Lookup(k.system, k.code); !known {
			t.Errorf("%s is in no table of its system", k.code)
		}
		if !slices.Contains([]string{"LVO", "RVO", "vessel", "ratio"}, flow) {
			t.Errorf("%s names the flow %q", k.code, flow)
		}
	}
	for _, e := range Entries() {
		says := strings.ToLower(e.Name + " " + e.Use)
		speaks := strings.Contains(says, "output") || strings.Contains(says, "stroke") || strings.Contains(says, "ventricular index") || strings.Contains(says, "flow")
		ofMethod := e.System == SystemDICOM && e.Code == "125219" || strings.Contains(says, "(procedure)")
		if _, named := NamedFlow(e.System, e.Code); speaks && !ofMethod && !named {
			t.Errorf("%s %s (%s) names a flow and is not in the table", e.System, e.Code, e.Name)
		}
	}
}
