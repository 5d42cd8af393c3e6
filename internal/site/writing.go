package site

import (
	"cmp"

	"saltmark/internal/finding"
	"saltmark/mapping"
)

// writing is one decision on how bundles are written.
type writing struct {
	name, value string
}

// writing gives what the settings decide on writing, by the names in the file; what
// the file leaves open is what goes without saying.
func (t *Settings) writing() []writing {
	o := t.Write
	form := cmp.Or(o.Form, mapping.Transaction)
	subject := mapping.Logical
	if form == mapping.Transaction {
		subject = mapping.Search
	}
	return []writing{
		{"form", string(form)},
		{"mode", string(cmp.Or(o.Mode, mapping.Conditional))},
		{"subject", string(cmp.Or(o.Subject, subject))},
		{"encounter", string(cmp.Or(o.Encounter, mapping.Logical))},
		{"injections", string(cmp.Or(o.Injections, mapping.InjectionsSeparate))},
		{"comparators", yesOrNo(o.Comparators)},
		{"snomed", yesOrNo(t.SNOMED)},
	}
}

// write reads how bundles are written. What the file leaves open stays open, so that
// another form that the command line asks for has its own.
func (r *reader) write() {
	n := r.doc.Root.Get("write")
	r.t.Write = mapping.Options{
		Form:        mapping.Form(orElse(n.Get("form"), "")),
		Mode:        mapping.Mode(orElse(n.Get("mode"), "")),
		Subject:     mapping.ReferenceMode(orElse(n.Get("subject"), "")),
		Encounter:   mapping.ReferenceMode(orElse(n.Get("encounter"), "")),
		Injections:  mapping.Injections(orElse(n.Get("injections"), "")),
		Comparators: yes(n.Get("comparators")),
	}
	if err := r.t.Write.Check(); err != nil {
		r.add("setting-write", n, "/write", finding.Say("how bundles are to be written does not hold: {1}", finding.Data(err.Error())), "", "")
	}
}
