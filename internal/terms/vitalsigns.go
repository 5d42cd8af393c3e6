package terms

import (
	"slices"
	"strings"
	"sync"
)

// Vital tells what FHIR R4 demands of an Observation whose code is a LOINC code of
// a vital sign. It binds the Observation's own code, not the code of a component.
type Vital struct {
	Code    string
	Main    string   // LOINC code that must be there too; Code itself for most
	Profile string   // canonical of the profile
	Units   []string // UCUM codes allowed for the value, or for the components of the pressure profile; none for the panel
	// ByStandard: the code is in FHIR's own list. ByEngine: the reference
	// validation engine applies the profile to it.
	ByStandard bool
	ByEngine   bool
}

var vitals = sync.OnceValues(readVitals)

func readVitals() (map[string]Vital, error) {
	lines, err := rows("vitalsigns.tsv", "code", "main", "profile", "units", "demanded")
	if err != nil {
		return nil, err
	}
	m := map[string]Vital{}
	for _, c := range lines {
		m[c[0]] = Vital{
			Code: c[0], Main: c[1], Profile: c[2], Units: strings.Fields(c[3]),
			ByStandard: strings.Contains(c[4], "standard"), ByEngine: strings.Contains(c[4], "engine"),
		}
	}
	return m, nil
}

// VitalSign tells whether a LOINC code demands a vital-signs profile, and which.
func VitalSign(code string) (Vital, bool) {
	m, _ := vitals()
	v, ok := m[code]
	v.Units = slices.Clone(v.Units)
	return v, ok
}
