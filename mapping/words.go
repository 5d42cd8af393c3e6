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

func publishedMethod(method string) []code {
	if c := entry(terms.SystemDICOM, publishedMethods[method]); c != nil {
		return c
	}
	return publishedValue(method)
}

// methodCategories are the categories of what was measured by a method, where it is
// not that of its row.
var methodCategories = map[string]string{"echo": "imaging", "phase-contrast": "imaging"}
