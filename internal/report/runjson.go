package report

import (
	"io"
	"strings"

	"saltmark/internal/finding"
)

// jsonRun is the report of a run in JSON, but for the documents, which stand behind
// it. The names are our own and stay.
type jsonRun struct {
	Report     string          `json:"report"`
	Version    int             `json:"version"` // of this form
	Command    string          `json:"command"`
	Program    jsonProgram     `json:"program"`
	DryRun     bool            `json:"dryRun,omitempty"`
	Stopped    string          `json:"stopped,omitempty"`
	FailOn     string          `json:"failOn"`
	Counts     jsonCounts      `json:"counts"`
	Inputs     []jsonInput     `json:"inputs,omitempty"`
	NewOnly    bool            `json:"newOnly,omitempty"`
	Selection  *jsonSelection  `json:"selection,omitempty"`
	Baseline   *jsonBaseline   `json:"baseline,omitempty"`
	NotChecked []jsonUnchecked `json:"notChecked,omitempty"`
}

type jsonInput struct {
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

type jsonTable struct {
	Name    string `json:"name"`
	Version string `json:"version,omitempty"`
	SHA256  string `json:"sha256"`
}

type jsonProgram struct {
	Name     string      `json:"name"`
	Version  string      `json:"version"`
	Measures string      `json:"measuresSha256"`
	Settings string      `json:"settingsSha256,omitempty"`
	Tables   []jsonTable `json:"tables,omitempty"`
}

// jsonCounts are numbers of documents, but for Findings and Withheld.
type jsonCounts struct {
	Documents    int             `json:"documents"`
	NotReached   int             `json:"notReached"`
	Failing      int             `json:"failing"` // with a finding as grave as failOn
	Outcomes     map[Outcome]int `json:"outcomes"`
	Findings     map[string]int  `json:"findings"` // by severity
	Errors       map[string]int  `json:"errors"`   // by rule
	Statuses     map[string]int  `json:"statuses,omitempty"`
	Held         map[string]int  `json:"held,omitempty"` // by reason
	Flows        map[string]int  `json:"flows,omitempty"`
	Withheld     map[string]int  `json:"withheld,omitempty"`     // values, by reason
	Relabelled   int             `json:"relabelled,omitempty"`   // flows
	Accepted     int             `json:"accepted,omitempty"`     // findings that do not stand
	Acknowledged int             `json:"acknowledged,omitempty"` // findings that stand and are known
	Files        map[Written]int `json:"files,omitempty"`
}

// jsonDocument is what became of one document, in JSON.
type jsonDocument struct {
	Name       string         `json:"name"`
	Line       int            `json:"line,omitempty"`
	Session    string         `json:"session,omitempty"`
	Outcome    Outcome        `json:"outcome"`
	Status     string         `json:"status,omitempty"`
	Flow       string         `json:"flow,omitempty"`
	Held       []string       `json:"held,omitempty"`
	Withheld   map[string]int `json:"withheld,omitempty"`
	Beside     []jsonBeside   `json:"fromCurves,omitempty"`
	File       Written        `json:"file,omitempty"`
	Failure    string         `json:"failure,omitempty"`
	Findings   []jsonFinding  `json:"findings"`
	Accepted   []jsonFinding  `json:"accepted,omitempty"`
	Relabelled int            `json:"relabelled,omitempty"`
}

func (r *Run) jsonItem(i Item) ([]byte, error) {
	d := jsonDocument{
		Name: i.Name, Line: i.Line, Session: i.Session, Outcome: i.Outcome, Status: string(i.Status), Flow: i.Flow,
		Withheld: i.Withheld, Beside: besideInJSON(i.Beside), File: i.Written, Findings: []jsonFinding{}, Relabelled: i.Relabelled,
	}
	for _, reason := range i.Held {
		d.Held = append(d.Held, reason.Code)
	}
	if i.Failure != nil {
		d.Failure = finding.Of(i.Failure).In(r.head.Language)
	}
	o := Options{Language: r.head.Language}
	for n, f := range i.Findings {
		one := jsonOf(f, o)
		one.State = i.state(n)
		one.Known, one.Reason = i.Acknowledged[n].By, i.Acknowledged[n].Reason
		d.Findings = append(d.Findings, one)
	}
	for _, a := range i.Accepted {
		one := jsonOf(a.Finding, o)
		one.Known, one.Reason = a.By, a.Reason
		d.Accepted = append(d.Accepted, one)
	}
	return encoded(d)
}

func (r *Run) writeJSON(w io.Writer, end End) error {
	head, err := encoded(jsonRun{
		Report: runReportName, Version: 1, Command: r.head.Command,
		Program: r.program(),
		DryRun:  r.head.DryRun, Stopped: end.Stopped.In(r.head.Language), FailOn: r.head.FailOn.String(), Counts: r.counts(len(end.Missed)),
		Inputs: inputsInJSON(end.Inputs), NewOnly: r.head.NewOnly,
		Selection: r.selectionInJSON(end.Selection), Baseline: baselineInJSON(end.Baseline), NotChecked: r.uncheckedInJSON(end.Unchecked),
	})
	if err != nil {
		return err
	}
	for _, name := range end.Missed {
		text, err := encoded(jsonDocument{Name: name, Outcome: notReached, Findings: []jsonFinding{}})
		if err != nil {
			return err
		}
		if err := r.items.add(text); err != nil {
			return err
		}
	}
	return r.around(w, strings.TrimSuffix(string(head), "}")+",\n\"documents\":[\n", "\n]}\n")
}

func (r *Run) program() jsonProgram {
	p := jsonProgram{Name: "saltmark", Version: r.head.Version, Measures: r.head.MeasuresHash, Settings: r.head.SettingsHash}
	for _, t := range r.head.Tables {
		p.Tables = append(p.Tables, jsonTable(t))
	}
	return p
}

func inputsInJSON(inputs []Input) []jsonInput {
	list := make([]jsonInput, len(inputs))
	for i, in := range inputs {
		list[i] = jsonInput(in)
	}
	return list
}

// notReached is the outcome of a document that an interrupted run did not come to.
const notReached Outcome = "not-reached"

func (r *Run) counts(missed int) jsonCounts {
	t := &r.tally
	c := jsonCounts{
		Documents: t.Documents() + missed, NotReached: missed, Failing: r.failed,
		Outcomes: t.outcomes, Findings: map[string]int{}, Errors: t.errors.documents(),
		Statuses: t.statuses.documents(), Held: t.held.documents(), Flows: t.flows.documents(),
		Withheld: t.withheld.values(), Files: t.files, Relabelled: t.relabelled, Accepted: t.accepted, Acknowledged: t.acknowledged,
	}
	if c.Outcomes == nil {
		c.Outcomes = map[Outcome]int{}
	}
	for _, s := range []finding.Severity{finding.Error, finding.Warning, finding.Info} {
		c.Findings[s.String()] = t.findings[s]
	}
	return c
}
