package audit

import (
	"bytes"
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// mostDifferences is how many differences of one document are told.
const mostDifferences = 20

// rewrite writes the session that was read once more and compares: whatever a
// bundle of ours says beside its facts (words, narrative, conclusion, categories,
// displays) follows from them, so any difference is a change by another hand. A
// bundle under another table of measures is not compared, and that is said.
func (c *check) rewrite(session *record.Session) finding.List {
	if c.off["rewrite-differs"] || c.kind != "transaction" {
		return nil
	}
	o := c.optionsOf()
	if o.TableHash != measure.TableHash() {
		return finding.List{finding.New("rewrite-not-compared", finding.Place{File: c.doc.Name},
			"the bundle was written under another table of measures", "", "words and narratives were not compared")}
	}
	text, err := mapping.Write(session, o)
	if err != nil {
		return finding.List{finding.New("rewrite-differs", finding.Place{File: c.doc.Name},
			"what was read cannot be written again", "", "a bundle of this program can")}
	}
	if bytes.Equal(text, c.doc.Text) {
		return nil
	}
	again, _ := source.ReadJSON(c.doc.Name, text, source.ResourceLimits())
	d := &difference{check: c}
	d.compare(c.doc.Root, again.Root, "")
	return d.found
}

// optionsOf gives back how a bundle was written, from what it says of that.
func (c *check) optionsOf() mapping.Options {
	o := mapping.Options{Base: c.base(), Injections: mapping.InjectionsNone}
	for _, r := range c.resources {
		switch r.kind {
		case "Device":
			software(r.node, &o)
		case "Provenance":
			hashes(r.node, &o)
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
			o.Systems.Session = textAt(items(r.node, "identifier")[0], "system")
		}
		for _, p := range items(r.node, "performer") {
			if system := textAt(p.Get("identifier"), "system"); system != "" {
				o.Systems.Person = system
			}
		}
	}
	return o
}

func software(device *source.Node, o *mapping.Options) {
	ids := items(device, "identifier")
	if len(ids) == 0 || !strings.HasPrefix(textAt(ids[0], "value"), "software/") {
		return
	}
	o.Systems.Device = textAt(ids[0], "system")
	for _, name := range items(device, "deviceName") {
		o.Software.Name = textAt(name, "name")
	}
	for _, version := range items(device, "version") {
		o.Software.Version = textAt(version, "value")
	}
}

func hashes(provenance *source.Node, o *mapping.Options) {
	for _, e := range items(provenance, "entity") {
		id := e.Get("what").Get("identifier")
		for suffix, field := range map[string]*string{"sheet-sha256": &o.SourceHash, "settings-sha256": &o.SettingsHash, "table-sha256": &o.TableHash} {
			if strings.HasSuffix(textAt(id, "system"), suffix) {
				*field = textAt(id, "value")
			}
		}
	}
}

// difference compares a tree with the one that ought to be.
type difference struct {
	*check
	found finding.List
}

func (d *difference) tell(n *source.Node, pointer, found, allowed string) {
	if len(d.found) < mostDifferences {
		d.found = append(d.found, finding.New("rewrite-differs", d.doc.Place(n, pointer), found, "", allowed))
	}
}

func (d *difference) compare(is, want *source.Node, pointer string) {
	switch {
	case is.Kind != want.Kind || is.Text != want.Text:
		d.tell(is, pointer, "this differs from what the facts in the bundle say", "the text that this program writes for them")
	case is.Kind == source.Array && len(is.Items) != len(want.Items):
		d.tell(is, pointer, "this list has "+strconv.Itoa(len(is.Items))+" items", "for the facts in the bundle this program writes "+strconv.Itoa(len(want.Items)))
	default:
		d.members(is, want, pointer)
		for i := range is.Items {
			d.compare(is.Items[i], want.Items[i], pointer+"/"+strconv.Itoa(i))
		}
	}
}

func (d *difference) members(is, want *source.Node, pointer string) {
	for i := range is.Members {
		m := &is.Members[i]
		at := pointer + source.Pointer(m.Name)
		if other := want.Get(m.Name); other != nil {
			d.compare(m.Value, other, at)
		} else {
			d.tell(m.Value, at, m.Name+" is added", "this program does not write it for the facts in the bundle")
		}
	}
	for i := range want.Members {
		if name := want.Members[i].Name; is.Get(name) == nil {
			d.tell(is, pointer, name+" is left out", "this program writes it for the facts in the bundle")
		}
	}
}
