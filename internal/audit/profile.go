package audit

import (
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/profile"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
)

// profileBroken: a resource that claims a profile of ours satisfies it, whoever wrote it.
// What each demands stands in internal/profile.
func profileBroken(c *check, r *resource) {
	for _, claim := range r4.Items(r.node.Get("meta"), "profile") {
		p, ours := profile.At(claim.Text, c.baseOfProfiles(r))
		if !ours {
			continue
		}
		if p.Resource != r.kind {
			c.say("profile-broken", claim, r.at("/meta/profile"), finding.Say("the profile {1} is claimed", finding.Data(p.ID)), "", finding.Say("on a resource of the type {1}", finding.Data(p.Resource)))
			continue
		}
		d := demands{check: c, of: r, profile: p}
		for i := range p.Elements {
			d.hold(&p.Elements[i])
		}
		d.valueOrReason()
	}
}

// baseOfProfiles gives the base below which a claim is one of ours: that of the document,
// else of the resource's own code, else the usual one.
func (c *check) baseOfProfiles(r *resource) string {
	for _, base := range []string{c.base, baseOf(r.codes)} {
		if base != "" {
			return base
		}
	}
	return measure.DefaultBase
}

// demands holds the elements of one profile against a resource.
type demands struct {
	*check
	of      *resource
	profile *profile.Profile
}

func (d *demands) tell(n *source.Node, path string, name string, allowed finding.Text) {
	if n == nil {
		n, path = d.of.node, ""
	}
	d.say("profile-broken", n, d.of.at(path), finding.Say("the profile {1} is broken: {2}", finding.Data(d.profile.ID), finding.Data(name)), "", allowed)
}

func (d *demands) hold(e *profile.Element) {
	if !e.Demands() {
		return
	}
	member, below, _ := strings.Cut(e.Name, ".")
	name, n := d.find(member, e)
	if e.Slice != "" {
		d.slice(e)
		return
	}
	count := 0
	if n != nil {
		count = max(1, len(n.Items))
	}
	switch {
	case count < e.Min && below == "":
		d.tell(nil, "", e.Name, "it must be there")
	case e.Max == "0" && count > 0:
		d.tell(n, "/"+name, e.Name, "it must not be there")
	case e.Max == "1" && count > 1:
		d.tell(n, "/"+name, e.Name, "one alone")
	case e.Types != nil && n != nil && !slices.Contains(e.Types, typeOf(name, e)):
		d.tell(n, "/"+name, e.Name, finding.Say("of the type {1}", finding.Data(strings.Join(e.Types, ", "))))
	case e.Codes != "" && n != nil:
		d.codes(e, name, n, below)
	}
}

// find gives the member of an element; of a choice the one that is there.
func (d *demands) find(member string, e *profile.Element) (string, *source.Node) {
	stem, choice := e.Stem()
	if !choice {
		return member, d.of.node.Get(member)
	}
	for name, n := range r4.Choices(d.of.node, stem) {
		if n == nil {
			n = d.of.node
		}
		return name, n
	}
	return member, nil
}

// typeOf gives the type in the name of a choice, as FHIR writes it.
func typeOf(name string, e *profile.Element) string {
	stem, _ := e.Stem()
	kind := strings.TrimPrefix(name, stem)
	if kind == "DateTime" {
		return "dateTime"
	}
	return kind
}

// slice holds an extension that a profile names.
func (d *demands) slice(e *profile.Element) {
	count, base := 0, d.baseOfProfiles(d.of)
	for _, x := range r4.Items(d.of.node, "extension") {
		if below, ours := strings.CutPrefix(r4.Text(x, "url"), base); ours && below == e.Address {
			count++
		}
	}
	switch {
	case count < e.Min:
		d.tell(d.of.node.Get("extension"), "/extension", e.Slice, "the extension must be there")
	case e.Max == "1" && count > 1:
		d.tell(d.of.node.Get("extension"), "/extension", e.Slice, "one alone")
	}
}

// codes holds a concept, or those of a list, against a value set of ours.
func (d *demands) codes(e *profile.Element, name string, n *source.Node, below string) {
	set, known := profile.SetNamed(e.Codes)
	if !known {
		return
	}
	system, ours := d.baseOfProfiles(d.of)+set.System, ourSystems()[set.System]
	tell := func(n *source.Node, path ...any) {
		d.tell(n, source.Pointer(path...), e.Name, finding.Say("a code of the value set {1}", finding.Data(e.Codes)))
	}
	if n.Kind != source.Array {
		if !isInSet(set, ours, system, n) {
			tell(n, name)
		}
		return
	}
	for i, item := range n.Items {
		switch {
		case below == "" && !isInSet(set, ours, system, item):
			tell(item, name, i)
		case below != "" && item.Get(below) != nil && !isInSet(set, ours, system, item.Get(below)):
			tell(item.Get(below), name, i, below)
		}
	}
}

// isInSet tells whether a concept has a coding of a value set, and of the system.
func isInSet(set *profile.ValueSet, ours map[string]bool, system string, concept *source.Node) bool {
	for coding := range r4.Codings(concept, system) {
		if code := r4.Text(coding, "code"); set.Has(code) && ours[code] {
			return true
		}
	}
	return false
}

// valueOrReason: what may have a value has one, or the reason for having none.
func (d *demands) valueOrReason() {
	if !d.profile.HasValue() {
		return
	}
	if name, _ := valueOf(d.of.node); name == "" && d.of.node.Get("dataAbsentReason") == nil {
		d.tell(nil, "", "value[x]", "a value, or the reason for having none")
	}
}
