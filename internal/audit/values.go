package audit

import (
	"slices"
	"strings"
	"sync"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/shape"
	"saltmark/internal/source"
)

// Rules about the values of a data type, or about a part of a resource, wherever one
// stands: internal/shape knows the type of every element of every resource and shows them.

// valueRule judges each value of some types.
type valueRule struct {
	id    string
	kinds string // names of types and parts
	judge func(w *walk, kind string, n *source.Node)
}

// watched is what shape is asked to show, and the rules for each.
type watched struct {
	watch *shape.Watch
	kinds []string
	rules [][]valueRule
}

var watchedValues = sync.OnceValue(func() *watched {
	all := &watched{}
	at := map[string]int{}
	for _, rule := range valueRules {
		for _, kind := range strings.Fields(rule.kinds) {
			i, known := at[kind]
			if !known {
				i = len(all.kinds)
				at[kind] = i
				all.kinds, all.rules = append(all.kinds, kind), append(all.rules, nil)
			}
			all.rules[i] = append(all.rules[i], rule)
		}
	}
	all.watch = shape.NewWatch(all.kinds...)
	return all
})

// values gives what shape tells values to: the rules for their types. The pointers begin
// at the document.
func (c *check) values(base string) func(v shape.Value) {
	all := watchedValues()
	w := &walk{check: c, resource: &resource{pointer: base}}
	return func(v shape.Value) {
		w.trail, w.person = v.Trail, v.Person
		for _, rule := range all.rules[v.Which] {
			if !c.off[rule.id] {
				rule.judge(w, all.kinds[v.Which], v.Node)
			}
		}
	}
}

// identifierAddress: an identifier says in whose system it is, and one that is an address is
// whole. Examples in a definition identify nothing.
func identifierAddress(w *walk, _ string, n *source.Node) {
	system, value := r4.Text(n, "system"), r4.Text(n, "value")
	switch {
	case w.holderName() == "example":
	case system != "" && isRelative(system):
		w.below("identifier-address", n, "system", "the system of the identifier is not absolute", "", "an absolute address, urn:oid: or urn:uuid:")
	case system == systemOfAddresses && value != "" && isRelative(value):
		w.below("identifier-address", n, "value", "the identifier is said to be an address and has no scheme", "", "the whole address, with urn:oid: or urn:uuid: before an OID or a UUID")
	}
}

// systemOfAddresses is the system of identifiers that are addresses themselves (RFC 3986).
const systemOfAddresses = "urn:ietf:rfc:3986"

// referenceAddress: a literal reference is an address, and a type that is stated one of R4.
func referenceAddress(w *walk, _ string, n *source.Node) {
	if ref := r4.Text(n, "reference"); strings.ContainsAny(ref, " \t\r\n") {
		w.below("reference-address", n, "reference", "the reference has white space in it", "", "an address; words for people belong into display")
	}
	kind := r4.Text(n, "type")
	if kind == "" || shape.IsResource(kind) || kind == "Resource" || kind == "DomainResource" || !isRelative(kind) {
		return
	}
	w.below("reference-address", n, "type", "the stated type is {}", kind, "a resource type of FHIR R4, or the absolute address of another definition")
}

// metaTwice: the profiles, the labels and the tags of a resource are sets, in which labels
// and tags are told apart by system and code.
func metaTwice(w *walk, _ string, n *source.Node) {
	for _, member := range []string{"profile", "security", "tag"} {
		items := r4.Items(n, member)
		if len(items) < 2 {
			continue
		}
		seen := make(map[[2]string]bool, len(items))
		for i, item := range items {
			key := [2]string{r4.Text(item, "system"), r4.Text(item, "code")}
			if member == "profile" {
				key = [2]string{"", item.Text}
			}
			if seen[key] && key[1] != "" {
				w.tell("meta-twice", item, w.pointer()+source.Pointer(member, i), finding.Say("{1} has the same twice", finding.Data(member)), "", "each once")
			}
			seen[key] = true
		}
	}
}

// extensionValue: an extension that FHIR R4 defines has a value of a type, or parts of the
// names, that its definition has.
func extensionValue(w *walk, _ string, n *source.Node) {
	of, known := shape.ExtensionOf(r4.Text(n, "url"))
	if !known {
		return
	}
	for i := range n.Members {
		if name := strings.TrimPrefix(n.Members[i].Name, "_"); strings.HasPrefix(name, "value") && !slices.Contains(of.Values, name) {
			w.below("extension-value", n, n.Members[i].Name, finding.Say("the extension has {1}", finding.Data(name)), "", finding.Say("its definition in FHIR R4 has {1}", finding.Or(finding.Datas(slices.Concat(of.Values, of.Parts))...)))
		}
	}
	for i, part := range r4.Items(n, "extension") {
		if name := r4.Text(part, "url"); of.Parts != nil && name != "" && isRelative(name) && !slices.Contains(of.Parts, name) {
			w.tell("extension-value", part, w.pointer()+source.Pointer("extension", i), "a part of the extension has another name than its definition has", "", finding.Say("its definition in FHIR R4 has {1}", finding.Or(finding.Datas(of.Parts)...)))
		}
	}
}

// profileType: a resource claims no profile of another type. Of the profiles of others
// nothing is known here.
func profileType(c *check, r *resource) {
	for i, profile := range r4.Items(r.node.Get("meta"), "profile") {
		name, official := strings.CutPrefix(profile.Text, shape.DefinitionsOfR4)
		name, _, _ = strings.Cut(name, "|")
		want := name
		if vitalProfiles[name] {
			want = "Observation"
		}
		if official && shape.IsResource(want) && want != r.kind && want != "DomainResource" {
			c.say("profile-type", profile, r.at("/meta/profile"+source.Pointer(i)), finding.Say("the resource claims the profile {1}", finding.Data(name)), "", finding.Say("a profile of {1}", finding.Data(r.kind)))
		}
	}
}

// vitalProfiles are the profiles of vital signs in FHIR R4, all of Observation.
var vitalProfiles = setOf("vitalsigns vitalspanel resprate heartrate oxygensat bodytemp bodyheight headcircum bodyweight bmi bp")
