package mapping

import (
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
)

// unitWords gives the words for units whose UCUM code is not what a person writes.
// The index by weight is spoken in the order in which it is spoken at the bedside.
var unitWords = map[string]string{
	"mL/min/kg":    "mL/kg/min",
	"mm[Hg]":       "mmHg",
	"mL/dL/mm[Hg]": "mL/dL/mmHg",
	"Cel":          "°C",
	"[iU]":         "IU",
	"[iU]/mL":      "IU/mL",
	"[iU]/kg":      "IU/kg",
	"[Ch]":         "Ch",
	"[ppm]":        "ppm",
	"ug/kg/min":    "µg/kg/min",
	"dyn.s/cm5":    "dyn·s/cm5",
	"dyn.s.m2/cm5": "dyn·s·m2/cm5",
}

func wordsOfUnit(unit string) string {
	if words, ok := unitWords[unit]; ok {
		return words
	}
	return unit
}

// methodSets are the sets of coded values that name methods.
var methodSets = []string{"method", "area-formula", "comparator-method"}

func wordsOfMethod(method string, l measure.Language) string {
	for _, set := range methodSets {
		if words := measure.WordsOf(set, method, l); words != "" {
			return words
		}
	}
	return method
}

// publishedValues are DICOM's codes for coded values of ours. Its meaning of a body
// surface formula is the formula itself (internal/terms).
var publishedValues = map[string]string{
	"haycock":      "122243",
	"mosteller":    "122244",
	"du-bois":      "122241",
	"boyd":         "122240",
	"gehan-george": "122242",
}

// publishedMethods are those for methods of measuring a flow.
var publishedMethods = map[string]string{"echo": "125219"}

func publishedValue(value string) []code { return entry(terms.SystemDICOM, publishedValues[value]) }

// snomedValues are the SNOMED CT codes of coded values, by the name of their set, that
// a site may switch on. All are in the Global Patient Set (internal/terms). A shunt in
// both directions has none.
var snomedValues = map[string]map[string]string{
	"lesion": {
		"patent-duct":        "83330001",
		"patent-foramen":     "204317008",
		"atrial-defect":      "70142008",
		"ventricular-defect": "30288003",
	},
	"level-direction": {
		"left-to-right": "66130006",
		"right-to-left": "79692001",
	},
	"vessel": {
		"femoral-artery":        "7657000",
		"radial-artery":         "45631007",
		"umbilical-artery":      "50536004",
		"brachial-artery":       "17137000",
		"internal-jugular-vein": "12123001",
		"femoral-vein":          "83419000",
		"subclavian-vein":       "9454009",
	},
}

// snomedProcedure is that of the measurement.
const snomedProcedure = "117610000"

// publishedFor gives what others have published for a coded value of a set.
func (o Options) publishedFor(set, value string) []code {
	codes := publishedValue(value)
	if o.SNOMED {
		codes = append(codes, entry(terms.SystemSNOMED, snomedValues[set][value])...)
	}
	return codes
}

// publishedProcedure gives that for the Procedure.
func (o Options) publishedProcedure() []code {
	if !o.SNOMED {
		return nil
	}
	return entry(terms.SystemSNOMED, snomedProcedure)
}

func publishedMethod(method string) []code {
	if c := entry(terms.SystemDICOM, publishedMethods[method]); c != nil {
		return c
	}
	return publishedValue(method)
}

// methodCategories are the categories of what was measured by a method, where it is
// not that of its row.
var methodCategories = map[string]string{"echo": "imaging", "phase-contrast": "imaging"}
