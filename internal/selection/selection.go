// Package selection holds what a site decides about the audit of its data: which rules
// are applied, and which findings are accepted, each with a written reason.
//
// One YAML file, read as strictly as a sheet; selection.schema.json is its shape:
//
//	saltmark-rules: 1
//	only: [audit base, audit label]          # rules, or chapters of the rules
//	except: [loinc-display-elsewhere]
//	suppress:
//	  - rule: time-not-real
//	    file: "import/*.json"
//	    at: "Bundle.entry[*].resource.issued"  # or a JSON pointer
//	    reason: "an old interface writes dates that way; ticket 12 of the unit"
//	    by: demo-person-1
//	    until: 2031-12-31
//
// In a pattern * stands for any characters and ? for one; all else is itself, and the
// pattern is held against the whole. A pattern of a file without a slash is held against
// the last part of its name.
//
// Errors of the rules that guard against harm (the caller names them) are not for a file
// to take away: they cannot be excepted, "only" keeps them, and a suppression makes of
// them an acknowledged finding, which keeps its severity and its share in the exit code.
// So somebody who reads the report sees that the finding is known and why, and nothing
// passes for clean that could mislead at a bedside. What any other finding means for the
// site, the site knows best: it leaves the exit code, and is counted in every report.
//
// The package refuses to know what a rule means, and what time it is.
package selection

import (
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"maps"
	"slices"
	"strconv"
	"time"

	"saltmark/internal/finding"
	"saltmark/internal/schema"
	"saltmark/internal/source"
)

// Version is the version of the format.
const Version = 1

//go:embed selection.schema.json
var schemaText []byte

// Schema gives the JSON Schema (draft-07) of the file.
func Schema() []byte { return slices.Clone(schemaText) }

var shape = schema.Lazy("selection.schema.json", func() []byte { return schemaText })

// Selection is what one file decides. The zero value applies every rule and accepts
// nothing.
type Selection struct {
	Name   string // of the file
	SHA256 string // of its bytes
	// Off names the rules that are not applied.
	Off map[string]bool
	// Suppressions stand in the order of the file.
	Suppressions []Suppression
	// guards names the rules of which an error is never taken away.
	guards map[string]bool
}

// Suppression accepts the findings of a rule at places that its patterns fit.
type Suppression struct {
	Rule, File, At string // patterns; "" fits all
	Reason, By     string
	// Until is the last day on which it holds, zero where it holds for good.
	Until time.Time
	// Guarded tells that it does not take the finding away.
	Guarded bool
	Place   finding.Place // in the file
}

// Label is what findings and reports call a suppression: its number in the file.
func (s *Selection) Label(i int) string { return "suppress[" + strconv.Itoa(i) + "]" }

// Read reads a document. The selection is nil where a finding is an error. guards names
// the rules that guard against harm.
func Read(doc *source.Document, guards map[string]bool) (*Selection, finding.List) {
	if found := shape.Check(doc); found.HasErrors() {
		return nil, found
	}
	sum := sha256.Sum256(doc.Text)
	r := reader{doc: doc, s: &Selection{Name: doc.Name, SHA256: hex.EncodeToString(sum[:]), guards: guards}}
	only := r.rules("only")
	except := r.rules("except")
	if doc.Root.Get("only") != nil || len(except) > 0 {
		r.s.Off = r.off(only, except)
	}
	r.suppressions()
	r.found.Sort()
	if r.found.HasErrors() {
		return nil, r.found
	}
	return r.s, r.found
}

type reader struct {
	doc   *source.Document
	s     *Selection
	found finding.List
}

func (r *reader) add(rule string, n *source.Node, pointer string, found finding.Text, value string, allowed finding.Text) {
	r.found = append(r.found, finding.New(rule, r.doc.Place(n, pointer), found, value, allowed))
}

// rules reads a list of rules and chapters; nil where there is none.
func (r *reader) rules(key string) map[string]bool {
	list := r.doc.Root.Get(key)
	if list == nil {
		return nil
	}
	all := map[string]bool{}
	for i, n := range list.Items {
		pointer := source.Pointer(key, i)
		if _, known := finding.RuleOf(n.Text); known {
			all[n.Text] = true
			if key == "except" && r.guarded(n.Text) {
				r.add("rule-guarded", n, pointer, finding.Say("{1} names {}", finding.Data(key)), n.Text, "a rule that guards against harm stays in force; a suppression may say why its finding is known")
			}
			continue
		}
		if members := ofChapter(n.Text); len(members) > 0 {
			for _, id := range members {
				all[id] = true
			}
			continue
		}
		r.unknown(n, pointer, key)
	}
	return all
}

func (r *reader) unknown(n *source.Node, pointer, key string) {
	allowed := finding.Text("a rule or a chapter of the rules is wanted; saltmark explain lists them")
	if near, ok := source.Nearest(n.Text, names()); ok {
		allowed = finding.Say("did you mean {1}?", finding.Quoted(near))
	}
	r.add("rule-unknown", n, pointer, finding.Say("{1} names {}", finding.Data(key)), n.Text, allowed)
}

// names gives the rules and chapters that a file may name.
func names() []string {
	var all []string
	for _, layer := range finding.Layers() {
		all = append(all, layer.Name)
		for _, rule := range layer.Rules {
			all = append(all, rule.ID)
		}
	}
	return all
}

func ofChapter(name string) []string {
	var ids []string
	for _, layer := range finding.Layers() {
		if layer.Name != name {
			continue
		}
		for _, rule := range layer.Rules {
			ids = append(ids, rule.ID)
		}
	}
	return ids
}

// guarded tells whether errors of a rule stay whatever the file says.
func (r *reader) guarded(rule string) bool {
	known, _ := finding.RuleOf(rule)
	return r.s.guards[rule] && known.Severity == finding.Error
}

// off gives the rules that are not applied.
func (r *reader) off(only, except map[string]bool) map[string]bool {
	off := map[string]bool{}
	for _, rule := range finding.Rules() {
		if (only != nil && !only[rule.ID] || except[rule.ID]) && !r.guarded(rule.ID) {
			off[rule.ID] = true
		}
	}
	return off
}

func (r *reader) suppressions() {
	list := r.doc.Root.Get("suppress")
	if list == nil {
		return
	}
	for i, n := range list.Items {
		at := source.Pointer("suppress", i)
		s := Suppression{
			Rule: text(n, "rule"), File: text(n, "file"), At: text(n, "at"), Reason: text(n, "reason"), By: text(n, "by"),
			Place: r.doc.Place(n, at),
		}
		switch _, known := finding.RuleOf(s.Rule); {
		case !known:
			r.unknown(n.Get("rule"), at+"/rule", "suppress")
		case r.s.Off[s.Rule]:
			r.add("suppression-unused", n.Get("rule"), at+"/rule", "the suppression is of {}, which is not applied", s.Rule, "a rule that is applied, or no suppression")
		}
		s.Guarded = r.guarded(s.Rule)
		if until := n.Get("until"); until != nil {
			day, err := time.Parse(time.DateOnly, until.Text)
			if err != nil {
				r.add("schema-pattern", until, at+"/until", "until is {}", until.Text, "a day of the calendar is wanted")
			}
			s.Until = day
		}
		r.s.Suppressions = append(r.s.Suppressions, s)
	}
}

func text(n *source.Node, name string) string {
	if member := n.Get(name); member != nil {
		return member.Text
	}
	return ""
}

// OffRules lists the rules that are not applied, in the order of the alphabet.
func (s *Selection) OffRules() []string { return slices.Sorted(maps.Keys(s.Off)) }
