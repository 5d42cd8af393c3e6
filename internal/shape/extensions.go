package shape

import (
	_ "embed"
	"strings"
	"sync"
)

// DefinitionsOfR4 is where the profiles and the extensions are that FHIR itself defines.
const DefinitionsOfR4 = "http://hl7.org/fhir/StructureDefinition/"

//go:embed extensions.tsv
var extensionTable string

// Extension is what FHIR R4 says of one of its extensions.
type Extension struct {
	Values []string // members that may have its value; none where it has parts
	Parts  []string // names of the extensions inside it
}

var extensions = sync.OnceValue(func() map[string]Extension {
	all := map[string]Extension{}
	for line := range strings.Lines(extensionTable) {
		cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		switch {
		case strings.HasPrefix(line, "#") || len(cells) < 2:
		case cells[1] == "+":
			all[cells[0]] = Extension{Parts: cells[2:]}
		default:
			all[cells[0]] = Extension{Values: cells[1:]}
		}
	}
	return all
})

// ExtensionOf gives the definition of an extension by its address, if it is one of FHIR R4.
func ExtensionOf(address string) (Extension, bool) {
	name, official := strings.CutPrefix(address, DefinitionsOfR4)
	if !official {
		return Extension{}, false
	}
	e, known := extensions()[name]
	return e, known
}
