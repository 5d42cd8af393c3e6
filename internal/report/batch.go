package report

import (
	"cmp"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"html/template"
	"io"
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/mapping/measure"
)

// The report of a run as one page: it fetches nothing, can be read and printed without
// its script, and holds the worst findings of any number of documents.

//go:embed batch.html
var batchText string

//go:embed batch.css
var batchStyle string

//go:embed batch.js
var batchScript string

// mostRows is how many findings of each severity the page lists; fewOfARule how many of
// each rule it lists whatever their number, so that a rule that is broken in a late
// document alone is seen; mostLines how many lines each of its other tables.
var mostRows = map[finding.Severity]int{finding.Error: 3000, finding.Warning: 1500, finding.Info: 500}

const (
	fewOfARule = 5
	mostLines  = 1000
)

// pageRow is a finding on the page.
type pageRow struct {
	Rule, Grade, GradeWords, Place, State, Sentence, Expression, Origin, Reason string
}

// pageItem keeps the findings of a document for the page, as long as there is room.
func (r *Run) pageItem(i Item) ([]byte, error) {
	if i.Failure != nil && len(r.pageFailures) < mostLines {
		r.pageFailures = append(r.pageFailures, Escaped(finding.Of(i.Failure).In(r.head.Language)))
	}
	if r.rows == nil {
		r.rows, r.rowsOf = map[finding.Severity][]pageRow{}, map[string]int{}
	}
	for n, f := range i.Findings {
		s := cmp.Or(f.Severity, finding.Error)
		if len(r.rows[s]) >= mostRows[s] && r.rowsOf[f.Rule] >= fewOfARule {
			continue
		}
		r.rowsOf[f.Rule]++
		row := r.pageRow(f)
		row.State = stateWords[i.state(n)].in(r.head.Language)
		if why, known := i.Acknowledged[n]; known {
			row.Reason = acknowledgedAs.in(r.head.Language) + " (" + why.By + "): " + Escaped(why.Reason)
		}
		r.rows[s] = append(r.rows[s], row)
	}
	return nil, nil
}

var stateWords = map[State]pair{IsNew: {"new", "neu"}, Remaining: {"as before", "wie zuvor"}}

func (r *Run) pageRow(f finding.Finding) pageRow {
	o := Options{Language: r.head.Language}
	s := cmp.Or(f.Severity, finding.Error)
	return pageRow{
		Rule: f.Rule, Grade: s.String(), GradeWords: gradeWords[s].in(o.Language), Place: Escaped(f.Place.String()),
		Sentence: sentence(f, o), Expression: Escaped(expressionOf(f, o)), Origin: Escaped(f.Origin.String()),
	}
}

var gradeWords = map[finding.Severity]pair{
	finding.Error: {"error", "Fehler"}, finding.Warning: {"warning", "Warnung"}, finding.Info: {"information", "Hinweis"},
}

// batchPage is what the template shows.
type batchPage struct {
	Language, Title, Verdict, LeftOut string
	Against                           bool
	W                                 batchWords
	Counts                            []nameValue
	Rules                             []pageRule
	Grades                            []nameValue
	Rows                              []pageRow
	Failures                          []string
	Tables                            []pageTable
	Chapters                          []chapter
	Style                             template.CSS
	Script                            template.JS
	StyleHash, ScriptHash             string
}

type nameValue struct{ Name, Value string }

type chapter struct{ ID, Title string }

type pageRule struct {
	ID, Grade, GradeWords, Says string
	Findings, Documents         int
	severity                    finding.Severity
}

type pageTable struct {
	ID, Title, About, More string
	Heads                  []string
	Rows                   [][]cell
}

type cell struct {
	Text string
	Code bool
}

func (r *Run) writePage(w io.Writer, end End) error {
	t, err := template.New("page").Parse(batchText)
	if err != nil {
		return err
	}
	l := r.head.Language
	p := batchPage{
		Language: l.Code(), Title: titleOfAudit.in(l), W: batchWordsIn(l), Counts: r.pageCounts(end), Rules: r.pageRules(), Failures: r.pageFailures,
		Style: template.CSS(batchStyle), Script: template.JS(batchScript), StyleHash: hashOf(batchStyle), ScriptHash: hashOf(batchScript),
	}
	if r.head.Command == "chart" {
		p.Title = titleOfChart.in(l)
	}
	p.Verdict, p.Against = r.verdict(end)
	total := 0
	for _, s := range []finding.Severity{finding.Error, finding.Warning, finding.Info} {
		p.Rows = append(p.Rows, r.rows[s]...)
		p.Grades = append(p.Grades, nameValue{s.String(), gradeWords[s].in(l)})
		total += r.tally.findings[s]
	}
	if end.Selection != nil {
		for _, f := range end.Selection.Findings {
			p.Rows = append(p.Rows, r.pageRow(f))
			total++
		}
	}
	if total > len(p.Rows) {
		p.LeftOut = leftOutWords.with(l, len(p.Rows), total)
	}
	p.Tables = r.pageTables(end)
	p.Chapters = p.chapters()
	return t.Execute(w, p)
}

// hashOf is the form in which a page says what it may run (Content Security Policy).
func hashOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}

func (p *batchPage) chapters() []chapter {
	all := []chapter{{"counts", p.W.Counts}}
	if len(p.Rules) > 0 {
		all = append(all, chapter{"rules", p.W.ByRule})
	}
	all = append(all, chapter{"findings", p.W.Findings})
	if len(p.Failures) > 0 {
		all = append(all, chapter{"failures", p.W.Failures})
	}
	for _, t := range p.Tables {
		all = append(all, chapter{t.ID, t.Title})
	}
	return all
}

// verdict says in a line what the run came to, and whether that is against the data.
func (r *Run) verdict(end End) (string, bool) {
	l, all, failed := r.head.Language, r.tally.Documents()+len(end.Missed), r.tally.Count(Failed)
	words := verdictFor.with(l, all)
	switch {
	case failed > 0:
		words = verdictFailed.with(l, r.failed, all, failed)
	case r.failed > 0:
		words = verdictAgainst.with(l, r.failed, all)
	}
	if end.Stopped != "" {
		words += ". " + stoppedWords.in(l) + ": " + Escaped(end.Stopped.In(l))
	}
	return words, r.failed+failed > 0 || end.Stopped != ""
}

// pageRules lists the rules that were broken, those of the gravest and the most first.
func (r *Run) pageRules() []pageRule {
	var rules []pageRule
	for id, c := range r.tally.rules {
		s := cmp.Or(c.severity, finding.Error)
		known, _ := finding.RuleOf(id)
		rules = append(rules, pageRule{id, s.String(), gradeWords[s].in(r.head.Language), strings.ReplaceAll(known.SaysIn(r.head.Language), "`", ""), c.findings, c.documents, s})
	}
	slices.SortFunc(rules, func(a, b pageRule) int {
		return cmp.Or(cmp.Compare(b.severity, a.severity), cmp.Compare(b.Documents, a.Documents), cmp.Compare(b.Findings, a.Findings), cmp.Compare(a.ID, b.ID))
	})
	return rules
}

// pageCounts lists the counts that are not nought, and always those of documents.
func (r *Run) pageCounts(end End) []nameValue {
	l, t := r.head.Language, &r.tally
	var list []nameValue
	add := func(name, about string, n int) {
		if n > 0 || name == "documents" || name == "failing" {
			list = append(list, nameValue{strings.TrimSpace(countNames[name].in(l) + " " + about), strconv.Itoa(n)})
		}
	}
	add("documents", "", t.Documents()+len(end.Missed))
	add("failing", "", r.failed)
	add("not-reached", "", len(end.Missed))
	for _, o := range []Outcome{Charted, Refused, Passed, Faulty, Failed} {
		add(string(o), "", t.Count(o))
	}
	for _, s := range []finding.Severity{finding.Error, finding.Warning, finding.Info} {
		add(s.String(), "", t.findings[s])
	}
	add("accepted", "", t.accepted)
	add("acknowledged", "", t.acknowledged)
	if b := end.Baseline; b != nil {
		add("new", "", b.New)
		add("remaining", "", b.Remaining)
		add("gone", "", len(b.Gone))
	}
	for _, status := range t.statuses.worstFirst() {
		add("status", status, t.statuses[status].documents)
	}
	for _, flow := range t.flows.worstFirst() {
		label, _ := measure.LabelOf(flow, "")
		add("flow", label.Words(measure.Language(l.Code())), t.flows[flow].documents)
	}
	add("relabelled", "", t.relabelled)
	for _, code := range t.withheld.worstFirst() {
		words := code
		if reason, ok := measure.ReasonOf(code); ok {
			words = reason.Words.In(measure.Language(l.Code()))
		}
		add("withheld", words, t.withheld[code].values)
	}
	if r.head.DryRun {
		list = append(list, nameValue{countNames["settings-mode"].in(l), ""})
	}
	return list
}

// pageTables lists what the run rested on.
func (r *Run) pageTables(end End) []pageTable {
	l := r.head.Language
	word := func(key string) string { return tableWords[key].in(l) }
	var tables []pageTable
	add := func(id, about string, heads []string, rows [][]cell) {
		if len(rows) == 0 {
			return
		}
		t := pageTable{ID: id, Title: word(id), Rows: rows[:min(len(rows), mostLines)]}
		if about != "" {
			t.About = word(about)
		}
		for _, h := range heads {
			t.Heads = append(t.Heads, word(h))
		}
		if more := len(rows) - len(t.Rows); more > 0 {
			t.More = moreRows.with(l, more)
		}
		tables = append(tables, t)
	}
	if s := end.Selection; s != nil {
		add("selection", "about-sel", []string{"name", "rule", "where", "reason", "by", "until", "accepted", "known", "expired"}, suppressionRows(s))
		add("off", "about-off", []string{"rule"}, ruleRows(s.Off))
	}
	if b := end.Baseline; b != nil {
		add("gone", "", []string{"rule", "severity", "file", "pointer"}, r.goneRows(b))
	}
	add("unchecked", "about-un", []string{"what", "of", "count"}, r.uncheckedRows(end))
	add("inputs", "", []string{"name", "bytes", "sha256"}, inputRows(end))
	add("judged-by", "", []string{"what", "version", "sha256"}, r.basisRows(end))
	return tables
}

func suppressionRows(s *Selection) (rows [][]cell) {
	for _, line := range s.Suppressions {
		where := strings.Join(slices.DeleteFunc([]string{line.File, line.At}, func(p string) bool { return p == "" }), " ")
		rows = append(rows, []cell{
			coded(line.Name), coded(line.Rule), coded(where), said(line.Reason), said(line.By), said(line.Until),
			said(strconv.Itoa(line.Accepted)), said(strconv.Itoa(line.Acknowledged)), said(strconv.Itoa(line.Expired)),
		})
	}
	return rows
}

func ruleRows(rules []string) (rows [][]cell) {
	for _, id := range rules {
		rows = append(rows, []cell{coded(id)})
	}
	return rows
}

func (r *Run) goneRows(b *Baseline) (rows [][]cell) {
	for _, g := range b.Gone {
		rows = append(rows, []cell{coded(g.Rule), said(r.gradeOf(g.Severity)), coded(g.File), coded(g.Pointer)})
	}
	return rows
}

// gradeOf gives the words of a severity that an earlier report has as a code.
func (r *Run) gradeOf(code string) string {
	for s, words := range gradeWords {
		if s.String() == code {
			return words.in(r.head.Language)
		}
	}
	return code
}

func (r *Run) uncheckedRows(end End) (rows [][]cell) {
	for _, u := range end.Unchecked {
		rows = append(rows, []cell{said(u.Words.In(r.head.Language)), coded(u.What), said(strconv.Itoa(u.Count))})
	}
	return rows
}

func inputRows(end End) (rows [][]cell) {
	for _, in := range end.Inputs {
		rows = append(rows, []cell{coded(in.Name), said(strconv.FormatInt(in.Bytes, 10)), coded(in.SHA256)})
	}
	return rows
}

// basisRows lists program, tables, settings and files that the judgement rests on.
func (r *Run) basisRows(end End) (rows [][]cell) {
	l := r.head.Language
	add := func(key, version, sum string) {
		if version != "" || sum != "" {
			rows = append(rows, []cell{said(cmp.Or(tableWords[key].in(l), key)), said(version), coded(sum)})
		}
	}
	add("program", "saltmark "+r.head.Version, "")
	add("measures", "", r.head.MeasuresHash)
	add("settings", "", r.head.SettingsHash)
	for _, t := range r.head.Tables {
		add(t.Name, t.Version, t.SHA256)
	}
	if s := end.Selection; s != nil {
		add("sel-file", s.Name, s.SHA256)
	}
	if b := end.Baseline; b != nil {
		add("baseline", b.Name, b.SHA256)
	}
	add("fail-on", gradeWords[cmp.Or(r.head.FailOn, finding.Error)].in(l), "")
	if r.head.NewOnly {
		rows = append(rows, []cell{said(tableWords["new-only"].in(l)), said(""), said("")})
	}
	return rows
}

func coded(s string) cell { return cell{Escaped(s), s != ""} }
func said(s string) cell  { return cell{Escaped(s), false} }
