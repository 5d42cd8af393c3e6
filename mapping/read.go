package mapping

import (
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Read gives back the session of a bundle or of lines of NDJSON that Write has
// written, in any form: resources are found by their business identifiers, and what is
// not ours is left alone. name stands in the places of findings. The session is nil
// where the text holds none; where a finding is an error, it is what could be read.
// ReadStream reads lines of several sessions.
func Read(name string, text []byte) (*record.Session, Findings) {
	if isLines(text) {
		return readOne(name, text)
	}
	doc, faults := source.ReadJSON(name, text, source.ResourceLimits())
	if doc.Root == nil {
		return nil, faults
	}
	back := ReadDocument(doc)
	faults = append(faults, back.Findings...)
	faults.Sort()
	return back.Session, faults
}

// resource is one resource of the bundle that is read.
type resource struct {
	node    *source.Node
	pointer string
	kind    string
	url     string // fullUrl
	own     string // what follows the session in its business identifier, "" = not ours
	ref     record.Ref
	fact    bool // ref is the identity of a fact
}

type reader struct {
	docs      source.Several // one bundle, or the lines of a session
	lines     bool
	findings  Findings
	resources []*resource
	byURL     map[string]*resource
	byOwn     map[string]*resource

	// What the panel says of the bundle.
	base, system string
	session      *record.Session
	panel        *resource

	coder  coder
	locals []string     // our codes of the components that are read
	coded  []coded      // of each fact, in the order in which they were read
	beyond []siteCoding // what stands beside our codes
}

// coded is what is said of a fact in codes: its own code, which is zero where the address
// of an extension says it, and its method.
type coded struct {
	located
	method string
}

// located is a node with its pointer.
type located struct {
	node    *source.Node
	pointer string
}

func newReader(docs source.Several, lines bool) *reader {
	return &reader{docs: docs, lines: lines}
}

// report adds a finding at a node; a node that is nil leaves the place to its
// pointer.
func (r *reader) report(rule string, n *source.Node, pointer string, found finding.Text, value string, allowed finding.Text) {
	r.findings = append(r.findings, finding.New(rule, r.docs.Place(n, pointer), found, value, allowed))
}

// root is where a finding about the whole of it stands.
func (r *reader) root() *source.Node { return r.docs[0].Root }

// reading gives what read does, with the findings in order, and what the text tells of
// how it was written.
func (r *reader) reading() Reading {
	s := r.read()
	r.findings.Sort()
	if s == nil {
		return Reading{Findings: r.findings}
	}
	return Reading{Session: s, Findings: r.findings, Codings: r.siteCodings()}
}

func (r *reader) read() *record.Session {
	if !r.collect() || !r.anchor() {
		return nil
	}
	r.own()
	r.readPanel()
	facts := r.facts()
	r.readOthers()
	r.session.Facts = facts
	r.settleCodes()
	r.session.Sort()
	return r.session
}

// collect gathers the resources.
func (r *reader) collect() bool {
	if r.lines {
		r.expect(len(r.docs))
		for i, doc := range r.docs {
			r.know(&resource{node: doc.Root, pointer: r.docs.At(i), kind: r4.Text(doc.Root, "resourceType")}, doc.Root)
		}
		return true
	}
	root := r.root()
	if r4.Text(root, "resourceType") != "Bundle" {
		r.report("bundle-shape", root, "", "the text is no Bundle", "", "a FHIR Bundle is read, or lines with the resources of a session")
		return false
	}
	if kind := r4.Text(root, "type"); !slices.Contains(bundleForms(), Form(kind)) {
		r.report("bundle-shape", root.Get("type"), "/type", "the type of the bundle is {}", kind, finding.Say("these are read: {1}", finding.Data(namesOf(bundleForms()))))
		return false
	}
	entries := r4.Items(root, "entry")
	r.expect(len(entries))
	for i, e := range entries {
		if n := e.Get("resource"); n != nil {
			r.know(&resource{node: n, pointer: "/entry/" + strconv.Itoa(i) + "/resource", kind: r4.Text(n, "resourceType"), url: r4.Text(e, "fullUrl")}, e)
		}
	}
	return true
}

// expect makes room for resources, each of which has two addresses at the most. Hostile
// text has entries by the hundred thousand.
func (r *reader) expect(resources int) {
	resources = min(resources, 128)
	r.resources = make([]*resource, 0, resources)
	r.byURL = make(map[string]*resource, 2*resources)
}

// know makes a resource one that others refer to: by the fullUrl of its entry, and by
// type and id.
func (r *reader) know(res *resource, at *source.Node) {
	r.resources = append(r.resources, res)
	if id := res.text("id"); id != "" {
		address := res.kind + "/" + id
		switch {
		case r.byURL[address] == nil:
			r.byURL[address] = res
		case r.lines:
			r.report("identity-repeated", at, res.pointer, "two lines have one id", "", "")
		}
	}
	if res.url == "" {
		return
	}
	if r.byURL[res.url] != nil {
		r.report("identity-repeated", at, res.pointer, "two entries have one fullUrl", "", "")
		return
	}
	r.byURL[res.url] = res
}

// bundleForms are the forms that are Bundles.
func bundleForms() []Form {
	return slices.DeleteFunc(Forms(), func(f Form) bool { return rowOfForm(f).lines })
}

// anchor finds the panel, which says whose the bundle is: the session, the system
// of its identifiers, and the base of our codes. Without a panel any Observation of
// ours says it.
func (r *reader) anchor() bool {
	for _, res := range r.resources {
		base, coded := baseOf(res.node.Get("code"))
		if res.kind != "Observation" || !coded {
			continue
		}
		for _, id := range r4.Items(res.node, "identifier") {
			session, ref, ok := ParseIdentity(r4.Text(id, "value"))
			if !ok || r.session != nil && (r.panel != nil || ref != panelRef) {
				continue
			}
			r.session, r.system, r.base = &record.Session{ID: session}, r4.Text(id, "system"), base
			if ref == panelRef {
				r.panel = res
			}
		}
	}
	if r.session == nil {
		r.report("session-missing", r.root(), "", "no resource carries an identity of a measurement session", "", "a session of ours is wanted")
		return false
	}
	if r.panel == nil {
		r.report("panel-missing", r.root(), "", "the session has no panel", "", "the panel holds the fields of the session")
	}
	return true
}

// baseOf gives the canonical base of a local code of a measure.
func baseOf(concept *source.Node) (string, bool) {
	for _, coding := range r4.Items(concept, "coding") {
		if base, ok := strings.CutSuffix(r4.Text(coding, "system"), measure.MeasureCodes); ok {
			return base, true
		}
	}
	return "", false
}

// own tells which resources are of the session, and that no identity is there
// twice.
func (r *reader) own() {
	r.byOwn = make(map[string]*resource, len(r.resources))
	prefix := r.session.ID + "/"
	for _, res := range r.resources {
		for _, id := range Identifiers(res.node) {
			if r4.Text(id, "system") != r.system {
				continue
			}
			value := r4.Text(id, "value")
			suffix, mine := strings.CutPrefix(value, prefix)
			switch {
			case !mine:
				r.report("session-several", id, res.pointer+"/identifier", "{} is an identity of another session", value, "one session in one bundle")
			case res.own != "" || r.byOwn[suffix] != nil:
				r.report("identity-repeated", id, res.pointer+"/identifier", "{} is there twice, or beside another identity", value, "one resource has one identity")
			default:
				res.own = suffix
				r.byOwn[suffix] = res
			}
		}
	}
}

// text gives the text at a path of a resource.
func (res *resource) text(path ...string) string { return r4.Text(res.node, path...) }
