package report

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io"
	"maps"
	"net/url"
	"path/filepath"
	"slices"
	"strings"

	"saltmark/internal/finding"
)

// The report of a run in SARIF 2.1.0 (Static Analysis Results Interchange Format, an
// OASIS standard), which review tools and code hosts read. A finding is a result, what
// kept a document from being worked on a notification, an input an artifact with its
// SHA-256. A test holds what is written against the official schema.

// sarifSchema is where OASIS publishes the schema.
const sarifSchema = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"

// The objects of SARIF, with those of their properties that are in use.
type (
	sarifText struct {
		Text string `json:"text"`
	}
	sarifResult struct {
		Rule         string            `json:"ruleId"`
		Level        string            `json:"level"`
		Message      sarifText         `json:"message"`
		Locations    []sarifLocation   `json:"locations,omitempty"`
		Related      []sarifLocation   `json:"relatedLocations,omitempty"`
		Fingerprints map[string]string `json:"partialFingerprints"`
		State        string            `json:"baselineState,omitempty"`
		Suppressions []sarifSuppressed `json:"suppressions,omitempty"`
		Properties   map[string]string `json:"properties,omitempty"`
	}
	sarifSuppressed struct {
		Kind          string `json:"kind"`
		Status        string `json:"status"`
		Justification string `json:"justification"`
	}
	sarifLocation struct {
		Physical *sarifPhysical `json:"physicalLocation,omitempty"`
		Logical  []sarifLogical `json:"logicalLocations,omitempty"`
		Message  *sarifText     `json:"message,omitempty"`
	}
	sarifPhysical struct {
		Artifact sarifURI     `json:"artifactLocation"`
		Region   *sarifRegion `json:"region,omitempty"`
	}
	sarifURI struct {
		URI string `json:"uri"`
	}
	sarifRegion struct {
		Line   int `json:"startLine"`
		Column int `json:"startColumn,omitempty"`
	}
	sarifLogical struct {
		FullName string `json:"fullyQualifiedName"`
		Kind     string `json:"kind"`
	}
	sarifRule struct {
		ID            string         `json:"id"`
		Short         *sarifText     `json:"shortDescription,omitempty"`
		Help          *sarifText     `json:"help,omitempty"`
		Configuration sarifConfigure `json:"defaultConfiguration"`
	}
	sarifConfigure struct {
		Level string `json:"level"`
	}
	sarifArtifact struct {
		Location sarifURI          `json:"location"`
		Length   int64             `json:"length"`
		Hashes   map[string]string `json:"hashes"`
	}
	sarifNotification struct {
		Level     string          `json:"level"`
		Message   sarifText       `json:"message"`
		Locations []sarifLocation `json:"locations,omitempty"`
	}
	sarifInvocation struct {
		Successful    bool                `json:"executionSuccessful"`
		Notifications []sarifNotification `json:"toolExecutionNotifications,omitempty"`
	}
	sarifDriver struct {
		Name       string         `json:"name"`
		Version    string         `json:"version"`
		Rules      []sarifRule    `json:"rules"`
		Properties map[string]any `json:"properties"`
	}
	sarifRun struct {
		Tool struct {
			Driver sarifDriver `json:"driver"`
		} `json:"tool"`
		Language    string            `json:"language"`
		ColumnKind  string            `json:"columnKind"`
		Invocations []sarifInvocation `json:"invocations"`
		Artifacts   []sarifArtifact   `json:"artifacts"`
		Properties  map[string]any    `json:"properties"`
		Results     json.RawMessage   `json:"results"`
	}
	sarifLog struct {
		Schema  string     `json:"$schema"`
		Version string     `json:"version"`
		Runs    []sarifRun `json:"runs"`
	}
)

// sarifLevels are the words of SARIF for severities; one left unset must not pass for
// harmless.
var sarifLevels = map[finding.Severity]string{finding.Info: "note", finding.Warning: "warning", finding.Error: "error", 0: "error"}

// sarifItem gives the results of a document, with commas between, and keeps in mind the
// rules and failures, which stand elsewhere.
func (r *Run) sarifItem(i Item) ([]byte, error) {
	if i.Failure != nil {
		n := sarifNotification{Level: "error", Message: sarifText{finding.Of(i.Failure).In(r.head.Language)}}
		if i.Name != "" {
			n.Locations = []sarifLocation{{Physical: &sarifPhysical{Artifact: sarifURI{uriOf(i.Name)}}}}
		}
		r.failures = append(r.failures, n)
	}
	var results []sarifResult
	for n, f := range i.Findings {
		one := r.sarifResult(f)
		one.State = sarifStates[i.state(n)]
		if why, known := i.Acknowledged[n]; known { // it stands: a tool may show the reason and still count it
			one.Suppressions = []sarifSuppressed{{"external", "rejected", why.Reason}}
		}
		results = append(results, one)
	}
	for _, a := range i.Accepted {
		one := r.sarifResult(a.Finding)
		one.Suppressions = []sarifSuppressed{{"external", "accepted", a.Reason}}
		results = append(results, one)
	}
	return joined(results)
}

// sarifStates are the words of SARIF for what an earlier report had.
var sarifStates = map[State]string{IsNew: "new", Remaining: "unchanged"}

// joined gives results with commas between, one on each line.
func joined(results []sarifResult) ([]byte, error) {
	texts := make([][]byte, len(results))
	for i, one := range results {
		text, err := encoded(one)
		if err != nil {
			return nil, err
		}
		texts[i] = text
	}
	return bytes.Join(texts, []byte(",\n")), nil
}

// sarifEnd gives the results that belong to no document: what is wrong with the
// selection, and what an earlier report had and is gone.
func (r *Run) sarifEnd(end End) ([]byte, error) {
	var results []sarifResult
	if end.Selection != nil {
		for _, f := range end.Selection.Findings {
			results = append(results, r.sarifResult(f))
		}
	}
	if end.Baseline != nil {
		for _, g := range end.Baseline.Gone {
			f := finding.Finding{Rule: g.Rule, Severity: severityOf(g.Severity), Place: finding.Place{File: g.File, Pointer: g.Pointer}, Found: goneWords}
			one := r.sarifResult(f)
			one.State = "absent"
			results = append(results, one)
		}
	}
	return joined(results)
}

// goneWords stand for those of a finding that is there no more.
const goneWords finding.Text = "an earlier report had this finding; it is there no more"

// severityOf reads the word of a severity; an unknown one must not pass for harmless.
func severityOf(word string) finding.Severity {
	for _, s := range []finding.Severity{finding.Info, finding.Warning} {
		if s.String() == word {
			return s
		}
	}
	return finding.Error
}

func (r *Run) sarifResult(f finding.Finding) sarifResult {
	o := Options{Language: r.head.Language}
	result := sarifResult{
		Rule: f.Rule, Level: sarifLevels[f.Severity], Message: sarifText{f.SentenceIn(o.Language, false)},
		Fingerprints: map[string]string{"rulePlace/v1": fingerprint(f)},
	}
	if at, ok := sarifPlace(f.Place); ok {
		result.Locations = []sarifLocation{at}
	}
	if from, ok := sarifPlace(f.Origin); ok {
		from.Message = &sarifText{sheetPlace.In(o.Language)}
		result.Related = []sarifLocation{from}
	}
	if path := expressionOf(f, o); path != "" {
		result.Properties = map[string]string{"expression": path}
	}
	return result
}

// sheetPlace names the place that a value was written from.
const sheetPlace finding.Text = "the place in the session sheet"

// fingerprint stands for a finding whatever line it moves to: rule, file and pointer.
func fingerprint(f finding.Finding) string {
	sum := sha256.Sum256([]byte(f.Rule + "\x00" + f.Place.File + "\x00" + f.Place.Pointer))
	return hex.EncodeToString(sum[:16])
}

func sarifPlace(p finding.Place) (l sarifLocation, ok bool) {
	if p.File != "" {
		l.Physical = &sarifPhysical{Artifact: sarifURI{uriOf(p.File)}}
		if p.Line > 0 {
			l.Physical.Region = &sarifRegion{p.Line, p.Column}
		}
	}
	if p.Pointer != "" {
		l.Logical = []sarifLogical{{p.Pointer, "value"}}
	}
	return l, p != (finding.Place{})
}

// uriOf gives the URI of a file name: relative where the name is, so that reports of
// two machines are the same.
func uriOf(name string) string {
	u := url.URL{Path: filepath.ToSlash(name)}
	if filepath.IsAbs(name) {
		u.Scheme = "file"
		u.Path = "/" + strings.TrimPrefix(u.Path, "/")
	}
	return u.String()
}

func (r *Run) writeSARIF(w io.Writer, end End) error {
	run := sarifRun{
		Language: r.head.Language.Code(), ColumnKind: "unicodeCodePoints",
		Invocations: []sarifInvocation{r.sarifInvocation(end)}, Artifacts: []sarifArtifact{},
		Properties: map[string]any{"command": r.head.Command, "failOn": r.head.FailOn.String(), "counts": r.counts(len(end.Missed))},
		Results:    json.RawMessage("[]"),
	}
	run.Tool.Driver = sarifDriver{Name: "saltmark", Version: r.head.Version, Rules: r.sarifRules(), Properties: map[string]any{"program": r.program()}}
	for _, in := range end.Inputs {
		run.Artifacts = append(run.Artifacts, sarifArtifact{sarifURI{uriOf(in.Name)}, in.Bytes, map[string]string{"sha-256": in.SHA256}})
	}
	r.addEnd(run.Properties, end)
	last, err := r.sarifEnd(end)
	if err != nil {
		return err
	}
	text, err := encoded(sarifLog{sarifSchema, "2.1.0", []sarifRun{run}})
	if err != nil {
		return err
	}
	// The results are the last member and are written as they are, one on each line.
	if err := r.items.add(last); err != nil {
		return err
	}
	return r.around(w, strings.TrimSuffix(string(text), "[]}]}")+"[\n", "\n]}]}\n")
}

// addEnd puts into a bag of properties what SARIF has no place for.
func (r *Run) addEnd(bag map[string]any, end End) {
	if s := r.selectionInJSON(end.Selection); s != nil {
		s.Findings = nil // they are results
		bag["selection"] = s
	}
	if b := end.Baseline; b != nil {
		bag["baseline"] = map[string]any{"name": b.Name, "sha256": b.SHA256, "new": b.New, "remaining": b.Remaining, "gone": len(b.Gone)}
	}
	if u := r.uncheckedInJSON(end.Unchecked); u != nil {
		bag["notChecked"] = u
	}
}

func (r *Run) sarifInvocation(end End) sarifInvocation {
	notes := r.failures
	for _, name := range end.Missed {
		notes = append(notes, sarifNotification{Level: "warning", Message: sarifText{"not reached: " + name}})
	}
	if end.Stopped != "" {
		notes = append(notes, sarifNotification{Level: "error", Message: sarifText{end.Stopped.In(r.head.Language)}})
	}
	return sarifInvocation{Successful: len(notes) == 0, Notifications: notes}
}

// sarifRules lists the rules of the findings, with what their pages say.
func (r *Run) sarifRules() []sarifRule {
	rules := []sarifRule{}
	for _, id := range slices.Sorted(maps.Keys(r.tally.rules)) {
		known, ok := finding.RuleOf(id)
		rule := sarifRule{ID: id, Configuration: sarifConfigure{sarifLevels[known.Severity]}}
		if ok {
			rule.Short = &sarifText{known.SaysIn(r.head.Language)}
			if mend := mendOf(known.Page()); mend != "" {
				rule.Help = &sarifText{mend}
			}
		}
		rules = append(rules, rule)
	}
	return rules
}
