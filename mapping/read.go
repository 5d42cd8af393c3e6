package mapping

import (
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Read gives back the session of a bundle that Write has written: resources are
// found by their business identifiers, and what is not ours is left alone. name
// stands in the places of findings. The session is nil where the text is no such
// bundle; where a finding is an error, it is what could be read.
func Read(name string, text []byte) (*record.Session, Findings) {
	doc, faults := source.ReadJSON(name, text, source.ResourceLimits())
	if doc.Root == nil {
		return nil, faults
	}
	r := &reader{doc: doc, findings: faults, byURL: map[string]*resource{}}
	s := r.read()
	r.findings.Sort()
	return s, r.findings
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
	doc       *source.Document
	findings  Findings
	resources []*resource
	byURL     map[string]*resource
	byOwn     map[string]*resource

	// What the panel says of the bundle.
	base, system string
	session      *record.Session
	panel        *resource

	coder   coder
	methods map[record.Ref]string  // what is said of the method of a fact
	codes   map[record.Ref]located // the code of a fact
}

// located is a node with its pointer.
type located struct {
	node    *source.Node
	pointer string
}

// report adds a finding at a node; a node that is nil leaves the place to its
// pointer.
func (r *reader) report(rule string, n *source.Node, pointer string, found finding.Text, value string, allowed finding.Text) {
	r.findings = append(r.findings, finding.New(rule, r.doc.Place(n, pointer), found, value, allowed))
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

// collect gathers the resources of the bundle.
func (r *reader) collect() bool {
	root := r.doc.Root
	if r4.Text(root, "resourceType") != "Bundle" {
		r.report("bundle-shape", root, "", "the text is no Bundle", "", "a FHIR Bundle is read")
		return false
	}
	if kind := r4.Text(root, "type"); rowOfForm(Form(kind)) == nil {
		r.report("bundle-shape", root.Get("type"), "/type", "the type of the bundle is {}", kind, finding.Say("these are read: {1}", finding.Data(formNames())))
		return false
	}
	for i, e := range r4.Items(root, "entry") {
		n := e.Get("resource")
		if n == nil {
			continue
		}
		res := &resource{node: n, pointer: "/entry/" + strconv.Itoa(i) + "/resource", kind: r4.Text(n, "resourceType"), url: r4.Text(e, "fullUrl")}
		r.resources = append(r.resources, res)
		if res.url == "" {
			continue
		}
		if r.byURL[res.url] != nil {
			r.report("identity-repeated", e, res.pointer, "two entries have one fullUrl", "", "")
			continue
		}
		r.byURL[res.url] = res
	}
	return true
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
		r.report("session-missing", r.doc.Root, "", "no resource carries an identity of a measurement session", "", "a bundle of ours is wanted")
		return false
	}
	if r.panel == nil {
		r.report("panel-missing", r.doc.Root, "", "the bundle has no panel of the session", "", "the panel holds the fields of the session")
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
	r.byOwn = map[string]*resource{}
	prefix := r.session.ID + "/"
	for _, res := range r.resources {
		for _, id := range r4.Items(res.node, "identifier") {
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
