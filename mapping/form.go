package mapping

import (
	"slices"
	"strings"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"
)

// form is what sets one form of a bundle apart from the others.
type form struct {
	name string // Bundle.type
	kind fhir.BundleType
	// searches: a reference to the patient may be a search, which the server
	// resolves; R4 allows that in transactions only.
	searches bool
}

var forms = []form{
	{name: "transaction", kind: fhir.BundleTypeTransaction, searches: true},
}

func formOf(name string) *form {
	if i := slices.IndexFunc(forms, func(f form) bool { return f.name == name }); i >= 0 {
		return &forms[i]
	}
	return nil
}

func formNames() string {
	var names []string
	for _, f := range forms {
		names = append(names, f.name)
	}
	return strings.Join(names, ", ")
}
