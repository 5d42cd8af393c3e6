package audit

import (
	"iter"
	"strconv"
	"strings"

	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// judgedTypes are the resource types whose own rules are judged. Of others that is so
// for shape, data types, narratives and references.
var judgedTypes = map[string]bool{
	"Bundle": true, "Composition": true, "Device": true, "DiagnosticReport": true, "Encounter": true, "Observation": true,
	"OperationOutcome": true, "Patient": true, "Practitioner": true, "Procedure": true, "Provenance": true,
}

// view is a document, or the lines of a session, seen as resources.
type view struct {
	docs      source.Several
	bundle    *resource // nil for a single resource and for lines
	kind      string    // Bundle.type, "" for a single resource, "ndjson" for lines
	resources []*resource
	room      []resource // for those to come
	byURL     map[string]*resource
	ours      bool // holds a resource with an identity of ours
	isWhole   bool // ought to be a session as this program writes it
	base      string
	unknown   map[string]int // value sets that bind something and are not known, with how often
}

// resource is one resource of the document.
type resource struct {
	node    *source.Node
	pointer string
	kind    string // resourceType
	fullURL string
	entry   *source.Node // nil outside a bundle
	codes   []coding     // of its own code

	// identity is that of a resource of ours.
	identity identity
	ours     bool

	// label is the flow label, as far as labelled tells that there is one.
	label    measure.Label
	labelled bool
}

func (r *resource) is(kind string) bool { return kind == "" || kind == r.kind }

// at gives the pointer of an element below the resource.
func (r *resource) at(path string) string { return r.pointer + path }

// entryPointer gives the pointer of the entry that holds the resource.
func (r *resource) entryPointer() string { return strings.TrimSuffix(r.pointer, "/resource") }

// parts gives the Observation itself, as part -1, and its components.
func (r *resource) parts() iter.Seq2[int, *source.Node] {
	return func(yield func(int, *source.Node) bool) {
		if !yield(-1, r.node) {
			return
		}
		for i, c := range r4.Items(r.node, "component") {
			if !yield(i, c) {
				return
			}
		}
	}
}

// part gives the pointer of an element of a part.
func (r *resource) part(i int, path string) string {
	if i < 0 {
		return r.pointer + path
	}
	return r.pointer + "/component/" + strconv.Itoa(i) + path
}

func newView(doc *source.Document) *view {
	v := &view{docs: source.Several{doc}}
	root := doc.Root
	if r4.Text(root, "resourceType") != "Bundle" {
		v.expect(1)
		v.add(root, nil, "")
		return v
	}
	v.bundle, v.kind = &resource{node: root, kind: "Bundle"}, r4.Text(root, "type")
	entries := r4.Items(root, "entry")
	v.expect(len(entries))
	for i, e := range entries {
		v.add(e.Get("resource"), e, "/entry/"+strconv.Itoa(i)+"/resource")
	}
	v.isWhole = v.ours && (v.writing() || v.kept() && v.holdsSession())
	return v
}

// newLinesView sees lines that were gathered as the resources of one session. Where
// one of them cannot be read it is not the whole of it.
func newLinesView(docs source.Several, broken bool) *view {
	v := &view{docs: docs, kind: string(mapping.NDJSON)}
	v.expect(len(docs))
	for i, doc := range docs {
		v.add(doc.Root, nil, docs.At(i))
	}
	v.isWhole = v.ours && !broken && v.holdsSession()
	return v
}

// mostExpected is for how many resources room is made before they are seen: hostile text
// has entries by the hundred thousand.
const mostExpected = 128

// expect makes room for resources, each of which has two addresses at the most.
func (v *view) expect(resources int) {
	resources = min(resources, mostExpected)
	v.resources, v.room = make([]*resource, 0, resources), make([]resource, 0, resources)
	v.byURL = make(map[string]*resource, 2*resources)
}

// new gives a resource of the view.
func (v *view) new(r resource) *resource {
	if len(v.room) == cap(v.room) {
		v.room = make([]resource, 0, mostExpected)
	}
	v.room = append(v.room, r)
	return &v.room[len(v.room)-1]
}

func (v *view) add(node, entry *source.Node, pointer string) {
	kind := r4.Text(node, "resourceType")
	if kind == "" {
		return
	}
	r := v.new(resource{node: node, pointer: pointer, kind: kind, entry: entry, fullURL: r4.Text(entry, "fullUrl")})
	if judgedTypes[kind] {
		r.codes = codingsOf(node.Get("code"))
		r.identity, r.ours = identityOf(node, kind)
		r.label, r.labelled = labelOf(node)
	}
	v.ours = v.ours || r.ours
	if v.base == "" && r.ours {
		v.base = baseOf(r.codes)
	}
	v.resources = append(v.resources, r)
	v.know(r)
	v.inside(node, 0)
}

// know makes a resource the one that an address leads to. The first of several
// keeps it.
func (v *view) know(r *resource) {
	for _, url := range []string{r.fullURL, addressOf(r)} {
		if url != "" && v.byURL[url] == nil {
			v.byURL[url] = r
		}
	}
}

// addressOf gives the relative address of a resource that has an id.
func addressOf(r *resource) string {
	if id := r4.Text(r.node, "id"); id != "" {
		return r.kind + "/" + id
	}
	return ""
}

// inside makes the resources of a bundle inside the bundle known, to which only
// references inside it lead.
func (v *view) inside(node *source.Node, depth int) {
	if depth > 8 || r4.Text(node, "resourceType") != "Bundle" {
		return
	}
	for _, e := range r4.Items(node, "entry") {
		n := e.Get("resource")
		v.know(&resource{node: n, kind: r4.Text(n, "resourceType"), fullURL: r4.Text(e, "fullUrl")})
		v.inside(n, depth+1)
	}
}

// writing tells whether the bundle asks a server to do something.
func (v *view) writing() bool { return v.kind == "transaction" || v.kind == "batch" }

// kept tells whether the bundle is one to be kept as it is, that this program writes.
func (v *view) kept() bool {
	return v.kind == string(mapping.Collection) || v.kind == string(mapping.Document)
}

// whole tells whether this ought to be a session as this program writes it: each
// bundle that asks for something, and what holds the session in another form.
// Resources of ours that came from elsewhere (a search, a history, one alone) need
// not be all that there is of a session, nor of one session.
func (v *view) whole() bool { return v.isWhole }

// holdsSession tells whether what holds a session together is there: two at least of
// panel, Procedure, report and Provenance, so that one of them can be missed; and no
// Composition of somebody else, who took the resources into a document of his own.
func (v *view) holdsSession() bool {
	holds := map[string]bool{}
	for _, r := range v.resources {
		switch {
		case r.kind == "Composition" && !r.ours && !v.hasOurType(r):
			return false
		case r.kind == "Provenance" && v.targetsOurs(r),
			r.ours && (r.kind == "Procedure" || r.kind == "DiagnosticReport" || r.identity.ref == mapping.PanelRef()):
			holds[r.kind] = true
		}
	}
	return len(holds) > 1
}

// hasOurType tells whether a Composition says by its type that it is ours.
func (v *view) hasOurType(composition *resource) bool {
	for _, c := range codingsOf(composition.node.Get("type")) {
		if strings.HasSuffix(c.system, measure.MeasureCodes) {
			return true
		}
	}
	return false
}

func (v *view) targetsOurs(provenance *resource) bool {
	for _, ref := range r4.Items(provenance.node, "target") {
		if target := v.byURL[r4.Text(ref, "reference")]; target != nil && target.ours {
			return true
		}
	}
	return false
}

// coding is a code with its system.
type coding struct{ system, code string }

func codingsOf(concept *source.Node) []coding {
	list := r4.Items(concept, "coding")
	if len(list) == 0 {
		return nil
	}
	all := make([]coding, len(list))
	for i, c := range list {
		all[i] = coding{r4.Text(c, "system"), r4.Text(c, "code")}
	}
	return all
}
