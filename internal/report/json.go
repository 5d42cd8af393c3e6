package report

import (
	"bytes"
	"encoding/json"

	"saltmark/internal/finding"
)

// jsonFinding is a finding in JSON. The names are our own and stay.
type jsonFinding struct {
	Rule     string `json:"rule"`
	Severity string `json:"severity"`
	Place    place  `json:"place"`
	// Expression is the FHIRPath of place, where it leads into a FHIR resource.
	Expression string `json:"expression,omitempty"`
	Origin     *place `json:"origin,omitempty"` // in the sheet, when place is in what was written from it
	Found      string `json:"found"`
	Allowed    string `json:"allowed,omitempty"`
	Hidden     bool   `json:"valueHidden,omitempty"` // a private value was left out of found
	// State tells whether an earlier report had it, Reason why it is known, Known the
	// suppression that says so.
	State  State  `json:"state,omitempty"`
	Reason string `json:"reason,omitempty"`
	Known  string `json:"suppression,omitempty"`
}

type place struct {
	File    string `json:"file,omitempty"`
	Line    int    `json:"line,omitempty"`
	Column  int    `json:"column,omitempty"`
	Pointer string `json:"pointer,omitempty"`
}

func jsonItem(f finding.Finding, o Options) ([]byte, error) { return encoded(jsonOf(f, o)) }

func jsonOf(f finding.Finding, o Options) jsonFinding {
	r := jsonFinding{
		Rule: f.Rule, Severity: f.Severity.String(), Place: place(f.Place),
		Found: f.FoundIn(o.Language, o.ShowValues), Allowed: f.Allowed.In(o.Language),
		Hidden: f.Private && !o.ShowValues, Expression: expressionOf(f, o),
	}
	if f.Origin != (finding.Place{}) {
		from := place(f.Origin)
		r.Origin = &from
	}
	return r
}

// encoded gives JSON on one line, with markup characters as they are and
// unprintable ones as escapes, which mean the same in JSON.
func encoded(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return []byte(Escaped(string(bytes.TrimSuffix(b.Bytes(), []byte("\n"))))), nil
}
