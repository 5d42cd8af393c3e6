package r4

import "github.com/samply/golang-fhir-models/fhir-models/fhir"

// URN is the prefix of a fullUrl made of a UUID.
const URN = "urn:uuid:"

// ReferenceURN refers to the entry of the same bundle whose fullUrl is
// urn:uuid:uuid.
func ReferenceURN(uuid string) fhir.Reference {
	return fhir.Reference{Reference: new(URN + uuid)}
}

// ReferenceLiteral refers to a resource by type and id on the same server.
func ReferenceLiteral(resourceType, id string) fhir.Reference {
	return fhir.Reference{Reference: new(resourceType + "/" + id)}
}

// ReferenceLogical refers to something by its identifier alone: servers keep it as
// it is and do not resolve it.
func ReferenceLogical(resourceType string, id fhir.Identifier) fhir.Reference {
	return fhir.Reference{Type: &resourceType, Identifier: &id}
}
