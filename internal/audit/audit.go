// Package audit judges FHIR R4 JSON by a table of rules, before it is written
// and after it was received.
//
// The layers, from the outside in: text (internal/source: duplicate names,
// trailing data, numbers), shape (internal/shape: the definitions of every resource
// type; of what this program has just written also internal/schema, the strict cut of
// the official schema), base (what definitions cannot say: invariants, references,
// bundles, units, terminology, vital signs, narrative, sampled data), label
// (which flow a number stands for: what must never leave without saying so) and
// sense (mapping.Read and derive.Check: the bundle proves itself; then what was
// read is written once more, and every word must be the same).
//
// The base layer knows the data types, narratives and references in any resource, the
// rules of the eleven types that this program writes or audits, and of the others, but for
// those that define others, their invariants. A transaction
// with an identity of ours is taken for a session of ours and must hold all of it; so is
// a collection, a document of ours, and a run of lines, that holds what keeps a session
// together. Elsewhere (a search, a history, one resource alone) resources of ours are
// judged one by one, which a finding says; and of flows in resources of others under
// published codes it only asks which flow they are.
//
// A rule is a row of the tables in rules.go, or of the room that applies it, with
// one identifier in internal/finding/rules.md; each can be switched off, which
// the tests use to show that it is that rule which finds a fault.
//
// The audit never repairs and never guesses: it says where, what was found and
// what is allowed. Values that do not look like a code, a number or a time are not
// shown, nor is anything of a Patient or Practitioner.
//
// Sources: the invariants are those of FHIR R4 4.0.1 (CC0), each named beside its
// rule; rules on labels are those of the table in mapping/measure.
package audit

import (
	"bytes"
	"slices"

	"saltmark/internal/derive"
	"saltmark/internal/finding"
	"saltmark/internal/schema"
	"saltmark/internal/shape"
	"saltmark/internal/source"
	"saltmark/internal/ucum"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Options select what is judged.
type Options struct {
	// Off names rules that are not applied.
	Off map[string]bool
	// Fresh tells that the text comes straight from mapping.Write: writing what is
	// read from it once more would prove nothing. It must please the official schema
	// too.
	Fresh bool
	// Beside, where it is not nil, has the curves of a session computed again, what the
	// bundle says of them held against it, and takes what came of it beside what was
	// reported.
	Beside func([]derive.Beside)
	// Shapes remembers, from document to document, what pleases the official schema; nil
	// remembers nothing.
	Shapes *schema.Memory
	// Gaps, where it is not nil, takes what of a document was not judged.
	Gaps func(map[Gap]int)
	// Session, where it is not nil, takes the session that was read back from a document.
	Session func(*record.Session)
}

// Check judges one JSON document: a bundle or a single resource, ours or not.
func Check(name string, text []byte, o Options) finding.List {
	doc, found := source.ReadJSON(name, text, source.ResourceLimits())
	if !found.HasErrors() && doc != nil && doc.Root != nil {
		found = append(found, checkTree(doc, o)...)
	}
	rooted(found, func(int) string { return kindOf(doc) })
	return keep(found, o)
}

// rooted tells of each finding what resource its pointer leads into: by its line, or,
// of a document of its own, all into one.
func rooted(found finding.List, kindAt func(line int) string) {
	for i := range found {
		found[i].Root = kindAt(found[i].Place.Line)
	}
}

// kindOf gives the type of the resource that a document is, of a broken text too, as far
// as it could be read. A name that is no type of
// R4 may be anything and is left out.
func kindOf(doc *source.Document) string {
	if kind := doc.Outermost("resourceType"); schema.IsType(kind) {
		return kind
	}
	return ""
}

// CheckText is Check for a text that mapping.Write gave, in any form: lines too.
func CheckText(name string, text []byte, form mapping.Form, o Options) finding.List {
	if form != mapping.NDJSON {
		return Check(name, text, o)
	}
	var found finding.List
	limits := source.ResourceLimits()
	for lines, err := range mapping.Gather(source.Lines(name, bytes.NewReader(text), limits), limits.Bytes) {
		if err == nil { // reading from memory does not fail
			found = append(found, CheckLines(lines, o)...)
		}
	}
	found.Sort()
	return found
}

// CheckLines judges lines that mapping.Gather put together: each resource, and the
// session that they hold. What is wrong with the text of a line is told too.
func CheckLines(lines []mapping.Line, o Options) finding.List {
	var docs source.Several
	var found finding.List
	broken := false
	for _, line := range lines {
		found = append(found, line.Findings...)
		if line.Document.Root == nil || line.Findings.HasErrors() {
			broken = true
			continue
		}
		docs = append(docs, line.Document)
	}
	switch {
	case len(docs) == 1 && !broken:
		found = append(found, checkTree(docs[0], o)...)
	case len(docs) > 0:
		found = append(found, checkTrees(docs, broken, o)...)
	}
	if len(found) > 0 {
		kinds := make(map[int]string, len(lines))
		for _, line := range lines {
			kinds[line.Number] = kindOf(line.Document)
		}
		rooted(found, func(line int) string { return kinds[line] })
	}
	return keep(found, o)
}

// stopped makes a panic a finding: it is a fault of this program that no input is
// known to cause, and one document never ends the work on others.
func stopped(name string, found *finding.List) {
	if recover() != nil {
		*found = append(*found, finding.New("audit-stopped", finding.Place{File: name}, "the audit of this document stopped", "",
			"this is a fault of the program; please report it, with a document that holds no patient data"))
	}
}

// checkTree applies every layer but that of the text.
func checkTree(doc *source.Document, o Options) (found finding.List) {
	defer stopped(doc.Name, &found)
	v := newView(doc)
	c := checkOf(v, o)
	c.shape(doc, "", o)
	if len(v.resources) == 0 && v.bundle == nil {
		return c.found
	}
	return c.judge(o)
}

// checkTrees does the same for the lines of a session.
func checkTrees(docs source.Several, broken bool, o Options) (found finding.List) {
	defer stopped(docs[0].Name, &found)
	c := checkOf(newLinesView(docs, broken), o)
	for i, doc := range docs {
		c.shape(doc, docs.At(i), o)
	}
	return c.judge(o)
}

// shape judges the shape of a document, whose pointers begin with a base, and the values of
// data types in it; and tells of resources whose type has rules that are not known.
func (c *check) shape(doc *source.Document, base string, o Options) {
	each := func(kind string, n *source.Node, pointer func() string) {
		if !areRulesKnown(kind) {
			at := pointer()
			c.found = append(c.found, finding.New("schema-resource-unchecked", doc.Place(n.Get("resourceType"), at+"/resourceType"),
				finding.Say("{1} is of type {}", source.PathWords(at)), kind, "its shape and its data types were judged, not the rules of its type"))
		}
	}
	found := shape.Check(doc, shape.Options{Resolve: c.typeOf, Unknown: c.isUnknown, Each: each, Watch: watchedValues().watch, Value: c.values(base)})
	c.found = append(c.found, found...)
	if o.Fresh {
		c.found = append(c.found, schema.CheckFHIR(doc, o.Shapes)...)
	}
}

func checkOf(v *view, o Options) *check {
	return &check{view: v, off: o.Off, fresh: o.Fresh, beside: o.Beside, session: o.Session, units: map[string]bool{}}
}

// isUnknown notes that a value is bound to a value set that is not known.
func (v *view) isUnknown(set string) {
	if v.unknown == nil {
		v.unknown = map[string]int{}
	}
	v.unknown[set]++
}

// judge applies the rules to a view, and to the session that it holds.
func (c *check) judge(o Options) finding.List {
	v := c.view
	if o.Gaps != nil {
		o.Gaps(gapsOf(v))
	}
	c.applyRules()
	c.tellRest()
	switch {
	case v.whole():
		c.sense()
	case v.ours:
		c.found = append(c.found, finding.New("session-in-part", v.docs.Place(v.root(), ""), "resources of a session without the whole of it",
			"", "they were judged one by one; whether they follow from each other was not"))
	}
	return c.found
}

// root is where stands what is said of the whole.
func (v *view) root() *source.Node { return v.docs[0].Root }

// read reads the session back.
func (v *view) read() mapping.Reading {
	if v.kind != string(mapping.NDJSON) {
		return mapping.ReadDocument(v.docs[0])
	}
	lines := make([]mapping.Line, len(v.docs))
	for i, doc := range v.docs {
		lines[i].Document = doc
	}
	return mapping.ReadLines(lines)
}

// lossy are the rules by which reading tells that a part of the session is not
// there, or not to be had: what then does not follow says nothing new.
var lossy = map[string]bool{
	"bundle-shape": true, "session-missing": true, "session-several": true, "session-incomplete": true, "panel-missing": true,
	"identity-unknown": true, "identity-repeated": true, "component-unknown": true, "value-several": true, "value-form": true,
	"value-unit": true, "value-unreadable": true, "reference-unknown": true,
}

// sense reads the bundle back, derives it anew and writes it anew.
func (c *check) sense() {
	back := c.read()
	session, found := back.Session, back.Findings
	c.codings = back.Codings
	c.add(found)
	if session == nil || slices.ContainsFunc(found, func(f finding.Finding) bool { return lossy[f.Rule] && !c.off[f.Rule] }) {
		return
	}
	if c.session != nil {
		c.session(session)
	}
	written := c.optionsOf()
	c.add(mapping.Refuse(session, written))
	c.digestDiffers(session, written)
	momentDiffers(c, session)
	nationalClaim(c, session)
	c.statusWrong(session)
	session.Facts = withoutValueless(session.Facts)
	if !c.fresh && derive.LeftOut(session) {
		c.found = append(c.found, finding.New("injections-left-out", c.docs.Place(c.root(), ""), "the session comes without its single injections",
			"", "what was made from them was not made again, nor were its words; what follows from it was"))
	}
	derived := derive.Check(session)
	c.add(derived)
	c.recompute(session)
	if !c.fresh && !found.HasErrors() && !derived.HasErrors() {
		c.rewrite(session, written)
	}
}

// recompute has the curves computed again where that was asked for.
func (c *check) recompute(session *record.Session) {
	if c.beside == nil {
		return
	}
	computed := derive.Curves(session)
	if len(computed) == 0 {
		c.found = append(c.found, finding.New("recomputed-no-curves", c.docs.Place(c.root(), ""), "the session comes without recorded curves", "",
			"nothing was computed again; chart it with its curves"))
		return
	}
	c.add(derive.CheckComputed(session, computed))
	c.add(derive.Faults(session, computed))
	c.beside(derive.Compare(session, computed))
}

// add takes what another room found, and gives it a line: what has no place stands
// at the whole bundle.
func (c *check) add(found finding.List) {
	for _, f := range found {
		if f.Place.Line == 0 {
			f.Place = c.docs.Locate(f.Place.Pointer)
		}
		c.found = append(c.found, f)
	}
}

// keep drops what is switched off and sorts the rest.
func keep(found finding.List, o Options) finding.List {
	kept := found[:0:0]
	for _, f := range found {
		if !o.Off[f.Rule] {
			kept = append(kept, f)
		}
	}
	kept.Sort()
	return kept
}

// withoutValueless takes away the facts without a value.
func withoutValueless(facts []record.Fact) []record.Fact {
	if !record.Any(facts, valueless) {
		return facts
	}
	return slices.DeleteFunc(facts, func(f record.Fact) bool { return valueless(&f) })
}

// valueless tells that the value of a fact could not be read, which Read has told:
// derivation takes facts that have a value in a unit of their measure, or a reason
// for having none.
func valueless(f *record.Fact) bool {
	m := measure.Get(f.Measure)
	switch q := f.Value.Quantity; {
	case m == nil:
		return true
	case m.Kind == measure.Group:
		return false
	case q != record.Quantity{}:
		return ucum.CheckNumber(q.Number) != nil || !m.AnyDimension && !ucum.Commensurable(q.Unit, m.Unit)
	}
	return f.Value == record.Value{}
}
