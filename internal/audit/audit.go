// Package audit judges FHIR R4 JSON by a table of rules, before it is written
// and after it was received.
//
// The layers, from the outside in: text (internal/source: duplicate names,
// trailing data, numbers), shape (internal/schema: the strict cut of the official
// schema), base (what the schema cannot say: invariants, references, bundles,
// real dates, units, terminology, vital signs, narrative, sampled data), label
// (which flow a number stands for: what must never leave without saying so) and
// sense (mapping.Read and derive.Check: the bundle proves itself).
//
// The base layer knows any resource of the eleven types that this program writes
// or audits; label and sense speak of our own bundles, label also of published
// flow codes in bundles of others. A rule is a row of the tables here with one
// identifier in internal/finding/rules.tsv; each can be switched off, which the
// tests use to show that it is that rule which finds a fault.
//
// The audit never repairs and never guesses: it says where, what was found and
// what is allowed.
package audit

import (
	"slices"

	"saltmark/internal/derive"
	"saltmark/internal/finding"
	"saltmark/internal/schema"
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
	// read from it once more would prove nothing.
	Fresh bool
}

// Check judges one JSON document: a bundle or a single resource, ours or not.
func Check(name string, text []byte, o Options) finding.List {
	doc, found := source.ReadJSON(name, text, source.ResourceLimits())
	if !found.HasErrors() && doc != nil && doc.Root != nil {
		found = append(found, checkTree(doc, o)...)
	}
	return keep(found, o)
}

// CheckDocument judges a document that was read already, as of a line of NDJSON.
func CheckDocument(doc *source.Document, o Options) finding.List {
	return keep(checkTree(doc, o), o)
}

// checkTree applies every layer but that of the text. A panic is a fault of this
// program that no input is known to cause; it becomes a finding, so that one
// document never ends the work on others.
func checkTree(doc *source.Document, o Options) (found finding.List) {
	defer func() {
		if recover() != nil {
			found = append(found, finding.New("audit-stopped", finding.Place{File: doc.Name}, "the audit of this document stopped", "",
				"this is a fault of the program; please report it, with a document that holds no patient data"))
		}
	}()
	found = schema.CheckFHIR(doc)
	v := newView(doc)
	if len(v.resources) == 0 {
		return found
	}
	c := &check{view: v, off: o.Off, fresh: o.Fresh}
	c.applyRules()
	found = append(found, c.found...)
	if v.ours {
		found = append(found, c.sense()...)
	}
	return found
}

// sense reads the bundle back and derives it anew.
func (c *check) sense() finding.List {
	session, found := mapping.ReadDocument(c.view.doc)
	if session == nil {
		return found
	}
	before := len(c.found)
	momentDiffers(c, session)
	found = append(found, c.found[before:]...)
	session.Facts = slices.DeleteFunc(session.Facts, valueless)
	found = append(found, derive.Check(session)...)
	if !c.fresh && !found.HasErrors() {
		found = append(found, c.rewrite(session)...)
	}
	return found
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

// valueless tells that the value of a fact could not be read, which Read has told:
// derivation takes facts that have a value in a unit of their measure, or a reason
// for having none.
func valueless(f record.Fact) bool {
	m := measure.Get(f.Measure)
	switch q := f.Value.Quantity; {
	case m == nil:
		return true
	case m.Kind == measure.Group:
		return false
	case q != record.Quantity{}:
		return q.Rat() == nil || !m.AnyDimension && !ucum.Commensurable(q.Unit, m.Unit)
	}
	return f.Value == record.Value{}
}
