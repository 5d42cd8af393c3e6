package r4

import (
	"bytes"
	"fmt"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"
)

// Entry is one entry of a bundle that is to be written: its resource is what Encode
// takes.
type Entry struct {
	FullURL  string                   `json:"fullUrl,omitempty"`
	Resource any                      `json:"resource,omitempty"`
	Request  *fhir.BundleEntryRequest `json:"request,omitempty"`
}

// EncodeBundle writes a bundle with its entries in one pass. It gives the bytes that
// Encode gives for entries that were encoded one by one, at a fraction of the cost
// (Encode reads what it is given once more, and looks at every member that R4
// allows). b itself has no entries.
func EncodeBundle(b fhir.Bundle, entries []Entry) ([]byte, error) {
	a := appender{b: make([]byte, 0, roomFor(entries))}
	head, err := Encode(b)
	if err != nil {
		return nil, err
	}
	a.b = append(a.b, bytes.TrimSuffix(head, []byte("}"))...)
	at := 0
	var failed error
	list(&a, "entry", entries, func(a *appender, e *Entry) {
		if err := a.entry(e); err != nil && failed == nil {
			failed = fmt.Errorf("entry %d: %w", at, err)
		}
		at++
	})
	if failed != nil {
		return nil, failed
	}
	a.close()
	return a.whole(b)
}

// roomFor gives about how many bytes entries take.
func roomFor(entries []Entry) int {
	const usual = 3600 // for one without samples: a plain bundle has 3,100 an entry
	size := usual * len(entries)
	for _, e := range entries {
		if o, is := e.Resource.(*Observation); is && o.ValueSampledData != nil && o.ValueSampledData.Data != nil {
			size += len(*o.ValueSampledData.Data)
		}
	}
	return size
}

func (a *appender) entry(e *Entry) error {
	a.open()
	if e.FullURL != "" {
		a.code("fullUrl", e.FullURL)
	}
	a.name("resource")
	if err := a.resource(e.Resource); err != nil {
		return err
	}
	one(a, "request", e.Request, (*appender).request)
	a.close()
	return nil
}

func (a *appender) resource(resource any) error {
	if a.shortly(resource) {
		return nil
	}
	plain, err := methodless(resource)
	if err == nil {
		a.long(plain)
	}
	return err
}

// EncodeLines writes the resources of entries one on each line (NDJSON), without a
// line end after the last.
func EncodeLines(entries []Entry) ([]byte, error) {
	a := appender{b: make([]byte, 0, roomFor(entries))}
	for i, e := range entries {
		if i > 0 {
			a.b = append(a.b, '\n')
		}
		if err := a.resource(e.Resource); err != nil {
			return nil, fmt.Errorf("line %d: %w", i+1, err)
		}
		if a.err != nil {
			return a.whole(e.Resource)
		}
	}
	return a.b, nil
}

func (a *appender) request(r *fhir.BundleEntryRequest) {
	if r.Id != nil || r.Extension != nil || r.ModifierExtension != nil || r.IfNoneMatch != nil || r.IfModifiedSince != nil || r.IfMatch != nil {
		a.long(r)
		return
	}
	a.open()
	a.code("method", r.Method.Code())
	a.code("url", r.Url)
	a.text("ifNoneExist", r.IfNoneExist)
	a.close()
}
