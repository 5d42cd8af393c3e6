package audit

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/derive"
	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// mostDifferences is how many differences of one document are told.
const mostDifferences = 20

// rewrite writes the session that was read once more, under the options that it was
// written under, and compares: whatever a bundle of ours says beside its facts (words,
// narrative, conclusion, categories, displays) follows from them, so any difference is a
// change by another hand. A bundle under another table of measures is not compared, and
// that is said.
func (c *check) rewrite(session *record.Session, o mapping.Options) {
	if c.off["rewrite-differs"] {
		return
	}
	if o.TableHash != measure.TableHash() {
		c.found = append(c.found, finding.New("rewrite-not-compared", c.docs.Place(c.root(), ""),
			"the bundle was written under another table of measures", "", "words and narratives were not compared"))
		return
	}
	var known bool
	if o.Language, known = c.languageOf(); !known {
		return
	}
	text, err := mapping.Write(session, o)
	if err != nil {
		if !c.found.HasErrors() {
			c.found = append(c.found, finding.New("rewrite-differs", c.docs.Place(c.root(), ""), finding.Say("what was read cannot be written again: {1}", finding.Of(err)), "", "a bundle of this program can"))
		}
		return
	}
	if c.isText(text) {
		return
	}
	d := &difference{check: c, told: c.pointers(), inOthers: inOtherLanguages(session, o)}
	if derive.LeftOut(session) {
		d.words = c.wordsOnInjections()
	}
	again := d.inLanguageOfMost(o.Language, treesOf(text, o.Form))
	for i, doc := range c.docs {
		if i < len(again) {
			d.compare(doc.Root, again[i].Root, c.docs.At(i))
		}
	}
	if len(again) != len(c.docs) {
		d.tell(c.root(), "", finding.Say("the session has {1} lines", finding.Number(len(c.docs))), finding.Say("for the facts in the bundle this program writes {1}", finding.Number(len(again))))
	}
}

// isText tells whether the documents have this text, a line each, but for white space
// between tokens.
func (c *check) isText(text []byte) bool {
	if len(c.docs) == 1 && bytes.Equal(text, c.docs[0].Text) {
		return true
	}
	var plain bytes.Buffer
	plain.Grow(len(text) + 1)
	for i, doc := range c.docs {
		if i > 0 {
			plain.WriteByte('\n')
		}
		if json.Compact(&plain, doc.Text) != nil {
			return false
		}
	}
	return bytes.Equal(text, plain.Bytes())
}

// pointers gives the places of all errors so far, and those around them.
func (c *check) pointers() map[string]bool {
	told := map[string]bool{}
	lines := map[int]string{}
	for i, doc := range c.docs {
		lines[doc.Place(doc.Root, "").Line] = c.docs.At(i)
	}
	for _, f := range c.found {
		if f.Severity != finding.Error || c.off[f.Rule] {
			continue
		}
		at := f.Place.Pointer
		if len(c.docs) > 1 {
			at = lines[f.Place.Line] + at
		}
		told[at] = true
		for cut := strings.LastIndexByte(at, '/'); cut > 0; cut = strings.LastIndexByte(at, '/') {
			at = at[:cut]
			told[at+"/"] = true
		}
	}
	return told
}

// optionsOf gives back how a bundle was written, from what it says of that.
func (c *check) optionsOf() mapping.Options {
	o := mapping.Options{Base: c.base, Injections: mapping.InjectionsNone, Form: mapping.Form(c.kind), Codings: c.codings}
	for _, r := range c.resources {
		switch r.kind {
		case "Device":
			software(r.node, &o)
		case "Procedure":
			o.SNOMED = slices.ContainsFunc(r.codes, func(c coding) bool { return c.system == terms.SystemSNOMED })
		case "Provenance":
			hashes(r.node, &o)
		case "DiagnosticReport":
			o.Picture = pictureOf(r)
		}
		about := r.identity.ref.About.Kind
		switch {
		case about == measure.Injection:
			o.Injections = mapping.InjectionsSeparate
		case about == measure.Comparator || about == measure.Reading:
			o.Comparators = true
		}
		o.Curves = o.Curves || r.node.Get("valueSampledData") != nil
		if r.ours && o.Systems.Session == "" {
			o.Systems.Session = r4.Text(mapping.Identifiers(r.node)[0], "system")
		}
		if r.ours {
			o.Mode = modeOf(r, o.Mode)
		}
		if r.identity.ref == mapping.PanelRef() {
			o.Subject, o.Encounter = referenceMode(r.node.Get("subject")), referenceMode(r.node.Get("encounter"))
		}
		for _, p := range r4.Items(r.node, "performer") {
			if system := r4.Text(p.Get("identifier"), "system"); system != "" {
				o.Systems.Person = system
			}
		}
	}
	return o
}

// pictureOf gives the picture of a report of ours, as it stands there: what it shows is
// not known here. That it is whole follows from its size and hash, which are written
// anew.
func pictureOf(r *resource) []byte {
	for _, form := range r4.Items(r.node, "presentedForm") {
		if r.ours && r4.Text(form, "contentType") == mapping.PictureType {
			svg, _ := base64.StdEncoding.DecodeString(r4.Text(form, "data")) // what is none is told by the comparison
			return svg
		}
	}
	return nil
}

// modeOf gives the mode in which the session's own resource is asked for. The stricter
// one counts where they differ: what is created once bars revisions.
func modeOf(r *resource, before mapping.Mode) mapping.Mode {
	request := r.entry.Get("request")
	switch method, url := r4.Text(request, "method"), r4.Text(request, "url"); {
	case request == nil:
		return before
	case method == "POST" || before == mapping.CreateOnce:
		return mapping.CreateOnce
	case !strings.Contains(url, "?"):
		return mapping.ByID
	}
	return before
}

// referenceMode gives how a reference was made; "" for a literal one, which is written
// in every mode.
func referenceMode(reference *source.Node) mapping.ReferenceMode {
	switch {
	case strings.Contains(r4.Text(reference, "reference"), "?"):
		return mapping.Search
	case r4.Text(reference, "reference") == "" && reference != nil:
		return mapping.Logical
	}
	return ""
}

func software(device *source.Node, o *mapping.Options) {
	ids := r4.Items(device, "identifier")
	if len(ids) == 0 || !strings.HasPrefix(r4.Text(ids[0], "value"), "software/") {
		return
	}
	o.Systems.Device = r4.Text(ids[0], "system")
	for _, name := range r4.Items(device, "deviceName") {
		o.Software.Name = r4.Text(name, "name")
	}
	for _, version := range r4.Items(device, "version") {
		o.Software.Version = r4.Text(version, "value")
	}
}

func hashes(provenance *source.Node, o *mapping.Options) {
	for _, e := range r4.Items(provenance, "entity") {
		id := e.Get("what").Get("identifier")
		for suffix, field := range map[string]*string{"sheet-sha256": &o.SourceHash, "settings-sha256": &o.SettingsHash, "table-sha256": &o.TableHash} {
			if strings.HasSuffix(r4.Text(id, "system"), suffix) {
				*field = r4.Text(id, "value")
			}
		}
	}
}

// difference compares a tree with the one that ought to be. What other rules told
// at the same place, or inside what is added, is not told once more.
type difference struct {
	*check
	told     map[string]bool
	inOthers func() []inLanguage
	count    int
	// words are the places of words on injections that were left out, which cannot be
	// written again.
	words []string
}

// wordsOnInjections gives the places where report and document speak of single
// injections.
func (c *check) wordsOnInjections() []string {
	var places []string
	for _, r := range c.resources {
		if r.kind == "DiagnosticReport" || r.kind == "Composition" {
			for _, name := range []string{"/text", "/conclusion", "/presentedForm", "/section"} {
				places = append(places, r.at(name))
			}
		}
	}
	return places
}

// isOnInjections tells whether a place is one of words that cannot be written again.
func (d *difference) isOnInjections(is, want *source.Node, pointer string) bool {
	return is.Kind == source.String && want.Kind == source.String && slices.ContainsFunc(d.words, func(place string) bool {
		return (pointer == place || strings.HasPrefix(pointer, place+"/")) && !strings.HasSuffix(pointer, "/reference")
	})
}

func (d *difference) tell(n *source.Node, pointer string, found, allowed finding.Text) {
	d.tellUnder("rewrite-differs", n, pointer, found, "", allowed)
}

func (d *difference) tellUnder(rule string, n *source.Node, pointer string, found finding.Text, value string, allowed finding.Text) {
	if d.count < mostDifferences && !d.told[pointer] && !d.told[pointer+"/"] {
		d.count++
		d.say(rule, n, pointer, found, value, allowed)
	}
}

func (d *difference) compare(is, want *source.Node, pointer string) {
	switch {
	case is.Kind != want.Kind || is.Text != want.Text:
		if l, other := d.otherLanguage(is, pointer); other {
			d.tellUnder("language-mixed", is, pointer, "this is in the language {}", l.Code(), "the rest of the bundle is in another")
			return
		}
		if d.isOnInjections(is, want, pointer) {
			return
		}
		d.tell(is, pointer, "this differs from what the facts in the bundle say", "this program writes something else for them")
	case is.Kind == source.Array:
		d.list(is, want, pointer)
	default:
		d.members(is, want, pointer)
	}
}

// list compares item by item. Where lists differ in length it tells the first item
// that is not as it ought to be, since all after it have moved.
func (d *difference) list(is, want *source.Node, pointer string) {
	for i, item := range is.Items {
		at := pointer + "/" + strconv.Itoa(i)
		if len(is.Items) == len(want.Items) {
			d.compare(item, want.Items[i], at)
			continue
		}
		if i >= len(want.Items) || !same(item, want.Items[i]) {
			d.tell(item, at, finding.Say("from here on this list differs: it has {1} items", finding.Number(len(is.Items))), finding.Say("for the facts in the bundle this program writes {1}", finding.Number(len(want.Items))))
			return
		}
	}
	if len(is.Items) < len(want.Items) {
		d.tell(is, pointer, finding.Say("this list ends early: it has {1} items", finding.Number(len(is.Items))), finding.Say("for the facts in the bundle this program writes {1}", finding.Number(len(want.Items))))
	}
}

func (d *difference) members(is, want *source.Node, pointer string) {
	for i := range is.Members {
		m := &is.Members[i]
		at := pointer + source.Pointer(m.Name)
		if other := want.Get(m.Name); other != nil {
			d.compare(m.Value, other, at)
		} else {
			d.tell(m.Value, at, finding.Say("{1} is added", finding.Data(m.Name)), "this program does not write it for the facts in the bundle")
		}
	}
	for i := range want.Members {
		if name := want.Members[i].Name; is.Get(name) == nil && !d.told[pointer] {
			d.tell(is, pointer+source.Pointer(name), finding.Say("{1} is left out", finding.Data(name)), "this program writes it for the facts in the bundle")
		}
	}
}

// same tells whether two trees say the same, whatever the order of their members.
func same(a, b *source.Node) bool {
	if a.Kind != b.Kind || a.Text != b.Text || len(a.Members) != len(b.Members) || len(a.Items) != len(b.Items) {
		return false
	}
	for i := range a.Members {
		if other := b.Get(a.Members[i].Name); other == nil || !same(a.Members[i].Value, other) {
			return false
		}
	}
	for i := range a.Items {
		if !same(a.Items[i], b.Items[i]) {
			return false
		}
	}
	return true
}
