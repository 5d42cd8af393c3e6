package report

import (
	"strings"

	fhirshape "saltmark/internal/shape" // a shape is a form of report here
)

// expression turns a JSON pointer into a FHIR resource into the simple FHIRPath that
// R4 wants in an issue: element names, list positions and dots. Choices lose their
// type (value, not valueQuantity) and the underscore of a primitive's extension is
// dropped. Where the pointer leaves what FHIR could name, the path ends before it;
// it is "" when nothing is left.
func expression(root, pointer string) string {
	path := root
	if pointer == "" {
		return path
	}
	walk := fhirshape.WalkFrom(root)
	for _, token := range strings.Split(strings.TrimPrefix(pointer, "/"), "/") {
		switch {
		case isIndex(token):
			if path == root {
				return path // a list on its own is no resource
			}
			path += "[" + token + "]"
		case isElementName(token):
			if path != "" {
				path += "."
			}
			var name string
			name, walk = walk.Into(token)
			path += name
		default:
			return path
		}
	}
	return path
}

func isIndex(token string) bool {
	return token != "" && strings.Trim(token, "0123456789") == ""
}

// isElementName tells whether FHIR could have an element of that name; resourceType
// is a word of the JSON form and no element.
func isElementName(token string) bool {
	name := strings.TrimPrefix(token, "_")
	if name == "" || name == "resourceType" || name[0] < 'a' || name[0] > 'z' {
		return false
	}
	return strings.IndexFunc(name, func(r rune) bool {
		return !('a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || '0' <= r && r <= '9')
	}) < 0
}
