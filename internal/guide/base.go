package guide

import (
	"bytes"
	"compress/gzip"
	_ "embed"
	"fmt"
	"io"
	"sync"

	"saltmark/internal/source"
)

//go:embed base.json.gz
var packedBase []byte

// baseElements are the elements of the types of FHIR R4 that are constrained here. That
// they can be read is shown by a test.
var baseElements = sync.OnceValues(func() (map[string][]object, error) {
	z, err := gzip.NewReader(bytes.NewReader(packedBase))
	if err != nil {
		return nil, fmt.Errorf("read the definitions of FHIR R4: %w", err)
	}
	text, err := io.ReadAll(z)
	if err != nil {
		return nil, fmt.Errorf("read the definitions of FHIR R4: %w", err)
	}
	doc, found := source.ReadJSON("base.json", text, source.ResourceLimits())
	if found.HasErrors() {
		return nil, fmt.Errorf("read the definitions of FHIR R4: %s", found[0].Text(false))
	}
	elements := map[string][]object{}
	for _, kind := range doc.Root.Get("Elements").Members {
		for _, n := range kind.Value.Items {
			elements[kind.Name] = append(elements[kind.Name], objectOf(n))
		}
	}
	return elements, nil
})
