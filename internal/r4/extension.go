package r4

import "github.com/samply/golang-fhir-models/fhir-models/fhir"

// ExtensionCode gives an extension whose value is a code.
func ExtensionCode(url, code string) fhir.Extension {
	return fhir.Extension{Url: url, ValueCode: &code}
}

// ExtensionText gives an extension whose value is text.
func ExtensionText(url, text string) fhir.Extension {
	return fhir.Extension{Url: url, ValueString: &text}
}

// ExtensionConcept gives an extension whose value is a concept.
func ExtensionConcept(url string, concept fhir.CodeableConcept) fhir.Extension {
	return fhir.Extension{Url: url, ValueCodeableConcept: &concept}
}

// ExtensionQuantity gives an extension whose value is a quantity.
func ExtensionQuantity(url string, quantity *fhir.Quantity) fhir.Extension {
	return fhir.Extension{Url: url, ValueQuantity: quantity}
}

// ExtensionReference gives an extension whose value is a reference.
func ExtensionReference(url string, to fhir.Reference) fhir.Extension {
	return fhir.Extension{Url: url, ValueReference: &to}
}

// ExtensionOf gives an extension made of further ones, which then has no value.
func ExtensionOf(url string, parts ...fhir.Extension) fhir.Extension {
	return fhir.Extension{Url: url, Extension: parts}
}
