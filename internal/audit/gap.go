package audit

import (
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/shape"
	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
)

// Gap is a kind of thing that the audit does not judge, so that a report can say what
// its silence means nothing about.
type Gap struct {
	Code string // a key of gapWords
	What string // of it: a type, a system, a profile; "" where the kind says all
}

// The kinds of gaps.
const (
	gapType       = "type"
	gapReference  = "reference"
	gapCode       = "code"
	gapSet        = "value-set"
	gapProfile    = "profile"
	gapAttachment = "attachment"
	gapPart       = "session-in-part"
	// GapArchiveFile is told by whoever reads archives.
	GapArchiveFile = "archive-file"
)

var gapWords = map[string]finding.Text{
	gapType:        "resources of a type of which shape, data types, narrative and references are judged, and no rule of its own",
	gapReference:   "references that lead out of their document and were not followed",
	gapCode:        "codes of a system, or of a part of it, that is not known here; no terminology server was asked",
	gapSet:         "codes of which FHIR R4 requires that they are of a value set that is not known here",
	gapProfile:     "resources that claim a profile which was not judged",
	gapAttachment:  "attachments that were not looked into",
	gapPart:        "documents with a part of a session, of which it was not judged whether values follow from each other",
	GapArchiveFile: "files of archives that hold no resource by their name",
}

// Words says what a gap is.
func (g Gap) Words() finding.Text { return gapWords[g.Code] }

// longestWhat bounds what is told of a gap: an address, not a text.
const longestWhat = 200

// gapsOf counts what is not judged of a view. The attachments of a whole session are
// judged: they are written again, and pictures have rules of their own.
func gapsOf(v *view) map[Gap]int {
	g := gapCounts{v: v, n: map[Gap]int{}}
	if v.bundle == nil && len(v.docs) == 1 {
		g.node(v.root(), "")
	} else {
		for _, r := range v.resources {
			g.node(r.node, "")
		}
	}
	for set, n := range v.unknown {
		g.n[Gap{gapSet, set}] += n
	}
	if v.ours && !v.whole() {
		g.n[Gap{Code: gapPart}]++
	}
	return g.n
}

type gapCounts struct {
	v *view
	n map[Gap]int
}

func (g *gapCounts) add(code, what string) {
	if len(what) > longestWhat || strings.ContainsFunc(what, func(r rune) bool { return r <= ' ' || r > '~' }) {
		what = ""
	}
	g.n[Gap{code, what}]++
}

// node counts what lies in a value, which stands under a name.
func (g *gapCounts) node(n *source.Node, name string) {
	if n == nil {
		return
	}
	if kind := r4.Text(n, "resourceType"); kind != "" && !areRulesKnown(kind) {
		g.add(gapType, kind)
	}
	if n.Kind == source.Object {
		g.object(n, name)
	}
	for i := range n.Members {
		g.node(n.Members[i].Value, n.Members[i].Name)
	}
	for _, item := range n.Items {
		g.node(item, name)
	}
}

func (g *gapCounts) object(n *source.Node, name string) {
	if system, code := r4.Text(n, "system"), r4.Text(n, "code"); system != "" && code != "" && n.Get("value") == nil && !g.knows(system, code) {
		g.add(gapCode, system)
	}
	if target := r4.Text(n, "reference"); target != "" && target[0] != '#' && !strings.Contains(target, "?") && g.v.byURL[target] == nil {
		g.add(gapReference, "")
	}
	if name == "meta" {
		for _, profile := range r4.Items(n, "profile") {
			if !g.ours(profile.Text) { // what ours demand is judged by the rules
				g.add(gapProfile, profile.Text)
			}
		}
	}
	if !g.v.whole() && n.Get("contentType") != nil && (n.Get("data") != nil || n.Get("url") != nil) {
		g.add(gapAttachment, "")
	}
}

// ours tells whether an address lies below the base of this program's own.
func (g *gapCounts) ours(address string) bool {
	return g.v.base != "" && strings.HasPrefix(address, g.v.base+"/") || strings.HasPrefix(address, measure.DefaultBase+"/")
}

// knows tells whether the tables of this program have a code, or judge it by a grammar.
func (g *gapCounts) knows(system, code string) bool {
	if system == terms.SystemUCUM || g.ours(system) {
		return true
	}
	_, known := terms.Lookup(system, code)
	if !known {
		_, known = shape.SystemHas(system, code)
	}
	return known
}
