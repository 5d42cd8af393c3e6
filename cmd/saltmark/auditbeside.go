package main

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/internal/finding"
	"saltmark/internal/language"
	"saltmark/internal/report"
	"saltmark/internal/selection"
	"saltmark/internal/source"
)

// What an audit takes besides the documents: a file of rules, an earlier report, sheets.

// shown gives the name under which a file is shown.
func (f *auditFlags) shown(path string) string {
	if f.baseNames && path != "" {
		return filepath.Base(path)
	}
	return path
}

// beside gives a file that a flag names as an input.
func (f *auditFlags) beside(path string) input { return input{name: f.shown(path), path: path} }

// prepare reads them, before any work.
func (r *auditRun) prepare(f *auditFlags, l language.Language) error {
	if err := r.readRules(f, l); err != nil {
		return err
	}
	if f.baseline != "" {
		doc, err := readWhole(r.env, f.beside(f.baseline), l)
		if err == nil {
			r.known, err = report.ReadKnown(doc, f.shown)
		}
		if err != nil {
			return fmt.Errorf("%s cannot be compared with: %w (named by --baseline)", shownPath(f.shown(f.baseline)), err)
		}
	}
	if len(f.sheets) > 0 {
		sheets, err := sheetsByHash(r.env, f.sheets, f.shown)
		if err != nil {
			return err
		}
		r.sheets = sheets
	}
	return nil
}

func (r *auditRun) readRules(f *auditFlags, l language.Language) error {
	if f.rules == "" {
		return nil
	}
	in := f.beside(f.rules)
	text, err := in.read(r.env, source.SheetLimits().Bytes)
	if err != nil {
		return fmt.Errorf("%w (named by --rules)", err)
	}
	doc, found := source.Read(in.name, text, source.SheetLimits())
	if !found.HasErrors() {
		var more finding.List
		r.rules, more = selection.Read(doc, audit.Guards())
		found = append(found, more...)
	}
	if found.HasErrors() {
		if err := report.Write(r.env.Stderr, f.format(), found, report.Options{Language: l}); err != nil {
			return err
		}
		return errors.New("the file of rules cannot be used; nothing was judged")
	}
	r.use = selection.NewUse(r.rules, r.env.Now().UTC())
	return nil
}

// readWhole reads a report, which this program wrote and which tells of many documents.
// What is wrong with its text is the error.
func readWhole(e *env, in input, l language.Language) (*source.Document, error) {
	limits := source.ResourceLimits()
	limits.Bytes, limits.Nodes = 256<<20, 4_000_000
	text, err := in.read(e, limits.Bytes)
	if err != nil {
		return nil, err
	}
	doc, found := source.ReadJSON(in.name, text, limits)
	if found.HasErrors() {
		return nil, errors.New(found[0].TextIn(l, false))
	}
	return doc, nil
}

// sheetsByHash looks through sheets, and gives each by the SHA-256 of its text. Only
// their names are held; shown gives that under which one is shown.
func sheetsByHash(e *env, args []string, shown func(string) string) (chart.Sheets, error) {
	names := map[string]string{}
	for _, in := range inputsOf(args, ".yaml", ".yml", ".json").each() {
		in.name = shown(in.path)
		in.err = in.named(in.err)
		text, err := in.read(e, source.SheetLimits().Bytes)
		if err != nil {
			return nil, fmt.Errorf("%w (named by --sheet)", err)
		}
		names[chart.SumOf(text)] = in.path
	}
	return func(sum string) (string, []byte, bool) {
		path, ok := names[sum]
		if !ok {
			return "", nil, false
		}
		text, err := input{name: path, path: path}.read(e, source.SheetLimits().Bytes)
		return shown(path), text, err == nil && chart.SumOf(text) == sum
	}, nil
}

// withSheet adds the places of the sheet to the findings about a document.
func (r *auditRun) withSheet(found finding.List, d document) finding.List {
	if r.sheets == nil || len(found) == 0 {
		return found
	}
	var docs []*source.Document
	if len(d.lines) == 0 {
		doc, faults := source.ReadJSON(d.name, d.text, source.ResourceLimits())
		if faults.HasErrors() {
			return found
		}
		docs = append(docs, doc)
	}
	for _, line := range d.lines {
		docs = append(docs, line.Document)
	}
	return chart.WithSheet(found, docs, func(sum string) (string, []byte, bool) {
		r.looked.Add(1)
		name, text, there := r.sheets(sum)
		if there {
			r.met.Add(1)
		}
		return name, text, there
	})
}

// sayOfSheets tells that none of the sheets is one that a faulty bundle was charted from:
// they may be others, or changed since.
func (r *auditRun) sayOfSheets() {
	if r.looked.Load() > 0 && r.met.Load() == 0 {
		fmt.Fprintln(r.env.Stderr, "No bundle with a finding was charted from a sheet of --sheet as it is now")
	}
}

// tellOfSelection tells of suppressions that did nothing, behind all other findings.
func (r *auditRun) tellOfSelection() error {
	if r.use == nil {
		return nil
	}
	found := r.use.Findings()
	r.worst = max(r.worst, found.Worst())
	return r.found.Add(found...)
}

// mostGaps bounds how many kinds of gaps are told apart, come what may.
const mostGaps = 200

func (r *auditRun) addGap(gap audit.Gap, n int) {
	if r.gaps == nil {
		r.gaps = map[audit.Gap]int{}
	}
	if _, known := r.gaps[gap]; !known && len(r.gaps) >= mostGaps {
		gap.What = ""
	}
	r.gaps[gap] += n
}

// complete tells a report what the run rested on.
func (r *auditRun) complete(end *report.End, from *intake) {
	end.Inputs, end.Selection, end.Baseline = from.inputs, r.selected(), r.compared()
	if from.leftOut > 0 {
		r.addGap(audit.Gap{Code: audit.GapArchiveFile}, from.leftOut)
	}
	order := func(a, b audit.Gap) int { return cmp.Or(cmp.Compare(a.Code, b.Code), cmp.Compare(a.What, b.What)) }
	for _, gap := range slices.SortedFunc(maps.Keys(r.gaps), order) {
		end.Unchecked = append(end.Unchecked, report.Unchecked{Code: gap.Code, What: gap.What, Words: gap.Words(), Count: r.gaps[gap]})
	}
}

func (r *auditRun) selected() *report.Selection {
	if r.rules == nil {
		return nil
	}
	return &report.Selection{
		Name: r.rules.Name, SHA256: r.rules.SHA256, Off: r.rules.OffRules(),
		Suppressions: r.use.Counts(), Findings: r.use.Findings(),
	}
}

func (r *auditRun) compared() *report.Baseline {
	if r.known == nil {
		return nil
	}
	return r.known.Baseline()
}
