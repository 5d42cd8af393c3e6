package r4

import (
	"fmt"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"
)

// Entry is one entry of a bundle that is to be written: its resource is a model
// value, as Encode takes it.
type Entry struct {
	FullURL  string                   `json:"fullUrl,omitempty"`
	Resource any                      `json:"resource,omitempty"`
	Request  *fhir.BundleEntryRequest `json:"request,omitempty"`
}

// EncodeBundle writes a bundle with its entries in one pass. It gives the bytes that
// Encode gives for entries that were encoded one by one, at half the cost (Encode
// reads what it is given once more). b itself has no entries.
func EncodeBundle(b fhir.Bundle, entries []Entry) ([]byte, error) {
	whole := struct {
		named
		fhir.OtherBundle
		Entry []Entry `json:"entry,omitempty"`
	}{named{"Bundle"}, fhir.OtherBundle(b), make([]Entry, len(entries))}
	for i, e := range entries {
		plain, err := methodless(e.Resource)
		if err != nil {
			return nil, fmt.Errorf("entry %d: %w", i, err)
		}
		whole.Entry[i] = Entry{e.FullURL, plain, e.Request}
	}
	return encode(whole, b)
}
