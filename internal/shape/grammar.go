package shape

import (
	"saltmark/internal/finding"
	"saltmark/internal/terms"
	"saltmark/internal/ucum"
)

// A grammar judges the codes of a system that the standard does not list, since others
// keep it or since it has no end.
type grammar struct {
	has   func(code string) bool
	words finding.Text // what the system has, said behind 'the value set has'
}

// grammars are those of the systems that R4 binds to as a whole.
var grammars = map[string]grammar{
	"urn:ietf:bcp:13":      {isMediaType, "media types, for example application/pdf"},
	"urn:ietf:bcp:47":      {isLanguageTag, "tags of languages, for example de or en-GB"},
	"urn:iso:std:iso:4217": {terms.IsCurrency, "codes of currencies (ISO 4217), for example EUR"},
	terms.SystemUCUM:       {isUnit, "units of UCUM, for example L/min"},
}

func isUnit(code string) bool {
	_, err := ucum.Parse(code)
	return err == nil
}
