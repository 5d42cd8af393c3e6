package schema

import (
	"errors"
	"strings"

	"github.com/xeipuuv/gojsonschema"
)

// fault is one answer of the library: its type, the member names and list indices
// that lead to the place from the root of what was judged, and its details.
type fault struct {
	kind    string
	path    []string
	details gojsonschema.ErrorDetails
}

// between stands between two steps of a path while the library holds it as text.
// It is not UTF-8, so no name can hold it.
const between = "\xff"

var errStopped = errors.New("the schema checker stopped")

// judge asks the library. An error means that it panicked.
func (p *prepared) judge(value any) (faults []fault, err error) {
	defer func() {
		if recover() != nil {
			faults, err = nil, errStopped
		}
	}()
	result, err := p.library.Validate(gojsonschema.NewRawLoader(value))
	if err != nil {
		return nil, errStopped
	}
	for _, e := range result.Errors() {
		steps := strings.Split(e.Context().String(between), between)
		faults = append(faults, fault{e.Type(), steps[1:], e.Details()})
	}
	return faults, nil
}

// summaries are the faults that only say that something inside them is wrong.
var summaries = map[string]bool{
	"number_any_of": true, "number_one_of": true, "number_all_of": true,
	"condition_then": true, "condition_else": true,
}

// withoutNoise leaves out a summary when a fault at its place or below explains it.
func withoutNoise(faults []fault) []fault {
	explained := map[string]bool{}
	for _, f := range faults {
		if !summaries[f.kind] {
			for i := range len(f.path) + 1 {
				explained[strings.Join(f.path[:i], between)] = true
			}
		}
	}
	var kept []fault
	for _, f := range faults {
		if !summaries[f.kind] || !explained[strings.Join(f.path, between)] {
			kept = append(kept, f)
		}
	}
	return kept
}
