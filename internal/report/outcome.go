package report

import (
	"cmp"
	_ "embed"
	"strings"
	"sync"

	"saltmark/internal/finding"
)

// nothingFound is said where there is no finding.
const nothingFound finding.Text = "Nothing was found."

// outcomeOpen begins an outcome, which says what language its texts are in.
func outcomeOpen(o Options) string {
	return `{"resourceType":"OperationOutcome","language":"` + o.Language.Code() + `","issue":[`
}

// outcomeEmpty is an outcome without findings.
func outcomeEmpty(o Options) string {
	return outcomeOpen(o) + `{"severity":"information","code":"informational","details":{"text":"` + nothingFound.In(o.Language) + `"}}]}` + "\n"
}

// issue is one issue of an OperationOutcome. R4 wants at least one, with severity
// and code; location is not used, since R4 keeps it for XPath.
type issue struct {
	Severity    string   `json:"severity"`
	Code        string   `json:"code"`
	Details     details  `json:"details"`
	Diagnostics string   `json:"diagnostics"`
	Expression  []string `json:"expression,omitempty"`
}

type details struct {
	Text string `json:"text"`
}

func issueItem(f finding.Finding, o Options) ([]byte, error) {
	kind := issueOf(f.Rule)
	i := issue{
		Severity:    severityCode(f.Severity),
		Code:        kind.code,
		Details:     details{Text: sentence(f, o)},
		Diagnostics: diagnostics(f, o),
	}
	if path := expressionOf(f, o); path != "" {
		i.Expression = []string{path}
	}
	return encoded(i)
}

// Expression gives the FHIRPath of the element that a finding is about, "" where it is
// about none of a FHIR resource.
func Expression(f finding.Finding) string { return expressionOf(f, Options{}) }

// expressionOf gives the FHIRPath of a finding, "" where it is about no FHIR resource.
func expressionOf(f finding.Finding, o Options) string {
	root := cmp.Or(f.Root, o.Root)
	if f.Root == "" && !issueOf(f.Rule).leadsIntoFHIR(f.Place, o) {
		return ""
	}
	return expression(root, f.Place.Pointer)
}

// severityCode gives the code of the required value set issue-severity. A finding
// never is fatal: what stops the work is an error of the program, not a finding. A
// severity left unset is a bug that must not pass for harmless.
func severityCode(s finding.Severity) string {
	if s == 0 {
		s = finding.Error
	}
	return s.String()
}

// diagnostics names the rule and the place, which have no field of their own in
// R4 where the place is in a text file.
func diagnostics(f finding.Finding, o Options) string {
	says := finding.Say("rule {1}", finding.Data(f.Rule))
	if p := f.Place.String(); p != "" {
		says = finding.Say("{1} at {2}", says, finding.Data(p))
	}
	if f.Place.Line > 0 && f.Place.Pointer != "" {
		says = finding.Say("{1} ({2})", says, finding.Data(f.Place.Pointer))
	}
	if p := f.Origin.String(); p != "" {
		says = finding.Say("{1}, from {2}", says, finding.Data(p))
	}
	return Escaped(says.In(o.Language))
}

//go:embed issues.tsv
var issuesText string

// issueKind is one line of issues.tsv.
type issueKind struct {
	code string // of the required value set issue-type
	// pointers tells what the JSON pointers of the layer lead into: a FHIR resource
	// ("fhir"), a text of ours ("text"), or one or the other ("either").
	pointers string
}

// leadsIntoFHIR: where a layer judges both, a place with a line is in a text of
// ours, unless the caller named the resource.
func (k issueKind) leadsIntoFHIR(p finding.Place, o Options) bool {
	return k.pointers == "fhir" || k.pointers == "either" && (p.Line == 0 || o.Root != "")
}

// fallback is for a layer that the table lacks, which a test reports.
var fallback = issueKind{code: "processing", pointers: "text"}

// kinds gives the issue type of each layer.
var kinds = sync.OnceValue(func() map[string]issueKind {
	m := map[string]issueKind{}
	for line := range strings.Lines(issuesText) {
		if cells := strings.Split(strings.TrimSpace(line), "\t"); len(cells) == 4 && cells[0] != "layer" {
			m[cells[0]] = issueKind{code: cells[1], pointers: cells[2]}
		}
	}
	return m
})

// layers gives the layer of each rule.
var layers = sync.OnceValue(func() map[string]string {
	m := map[string]string{}
	for _, r := range finding.Rules() {
		m[r.ID] = r.Layer
	}
	return m
})

func issueOf(rule string) issueKind {
	if k, ok := kindOf(layers()[rule]); ok {
		return k
	}
	return fallback
}

// kindOf finds the line of a layer, or else of the room that its first word names:
// "audit bundle" is a part of "audit".
func kindOf(layer string) (issueKind, bool) {
	if k, ok := kinds()[layer]; ok {
		return k, true
	}
	room, _, _ := strings.Cut(layer, " ")
	k, ok := kinds()[room]
	return k, ok
}
