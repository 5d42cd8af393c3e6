package audit

import (
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// momentDiffers: what was measured at one injection, or in one sample of blood, is
// of the time of that injection or sample. A curve has a time of its own.
func momentDiffers(c *check, s *record.Session) {
	if c.off["moment-differs"] {
		return
	}
	groups := map[record.Thing]record.Time{}
	for _, f := range s.Facts {
		if m := measure.Get(f.Measure); m != nil && m.Kind == measure.Group {
			groups[f.About] = f.At
		}
	}
	for _, r := range c.resources {
		about := r.identity.ref.About
		if !r.ours || r.kind != "Observation" || about.Kind != measure.Injection && about.Kind != measure.Sample {
			continue
		}
		want, at := groups[about], textAt(r.node, "effectiveDateTime")
		if want != "" && at != "" && at != string(want) {
			c.say("moment-differs", r.node.Get("effectiveDateTime"), r.at("/effectiveDateTime"), "the time is {}", at, "that of the "+string(about.Kind)+" is wanted, "+string(want))
		}
	}
}
