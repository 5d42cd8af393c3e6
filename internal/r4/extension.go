package r4

import "github.com/samply/golang-fhir-models/fhir-models/fhir"

// ExtensionQuantity gives an extension whose value is a quantity.
func ExtensionQuantity(url string, quantity *fhir.Quantity) fhir.Extension {
	return fhir.Extension{Url: url, ValueQuantity: quantity}
}
