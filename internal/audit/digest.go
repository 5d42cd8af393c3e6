package audit

import (
	"strings"

	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// digestDiffers: the facts of a bundle are those that were written. Most of what a
// bundle states stands alone, so that no other rule sees when it is changed or left out.
// Bundles of releases before the digest have none, which is said.
func (c *check) digestDiffers(s *record.Session, o mapping.Options) {
	value, at := c.digest()
	switch {
	case value == nil:
		c.say("digest-missing", c.root(), "", "the bundle carries no digest of its facts", "", "whether all of them are as they were written was not compared")
	case value.Text != mapping.Digest(s, o):
		c.say("digest-differs", value, at, "the facts in the bundle are not those that were written", "", "each as it was charted; the digest in the Provenance tells")
	}
}

// digest finds the digest of the facts, nil where there is none.
func (c *check) digest() (value *source.Node, pointer string) {
	for _, r := range c.resources {
		if r.kind != "Provenance" {
			continue
		}
		for i, e := range r4.Items(r.node, "entity") {
			id := e.Get("what").Get("identifier")
			if strings.HasSuffix(r4.Text(id, "system"), mapping.FactsHashSystem) && id.Get("value") != nil {
				return id.Get("value"), r.at(source.Pointer("entity", i, "what", "identifier", "value"))
			}
		}
	}
	return nil, ""
}
