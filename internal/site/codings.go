package site

import (
	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// codings reads the site's own codings, measure by measure in the order of the file.
// One code stands for one measure, or a search by it would find different things.
func (r *reader) codings() {
	section := r.doc.Root.Get("codings")
	if section == nil {
		return
	}
	r.t.Codings = map[string][]mapping.Coding{}
	owner := map[[2]string]string{}
	for _, member := range section.Members {
		m := measure.Get(member.Name)
		if m == nil {
			r.add("setting-coding", member.Value, source.Pointer("codings", member.Name), "codings names {}, which is no measure", member.Name, nearestMeasure(member.Name))
			continue
		}
		for i, n := range member.Value.Items {
			c := mapping.Coding{
				System: orElse(n.Get("system"), ""), Code: orElse(n.Get("code"), ""),
				Display: orElse(n.Get("display"), ""), When: orElse(n.Get("when"), mapping.Always),
			}
			pointer := source.Pointer("codings", member.Name, i)
			if found, allowed := mapping.WhyNotCoding(m, c, r.t.Base); found != "" {
				r.add("setting-coding", n, pointer, finding.Say("{1} is {}: {2}", finding.Data(dotted(pointer)), found), c.Code, allowed)
				continue
			}
			key := [2]string{c.System, c.Code}
			if first, twice := owner[key]; twice {
				r.add("setting-coding", n, pointer, finding.Say("{1} is {}, which stands at {2} already", finding.Data(dotted(pointer)), finding.Data(first)), c.Code, "one place for one code")
				continue
			}
			owner[key] = dotted(pointer)
			r.t.Codings[m.Key] = append(r.t.Codings[m.Key], c)
		}
	}
}

func nearestMeasure(name string) finding.Text {
	var keys []string
	for i := range measure.All() {
		keys = append(keys, measure.All()[i].Key)
	}
	if near, ok := source.Nearest(name, keys); ok {
		return finding.Say("did you mean {1}?", finding.Quoted(near))
	}
	return "a key of the table of measures; saltmark measures lists them"
}

// codingPath and codingText give a coding in the canonical form.
func codingPath(key string, c mapping.Coding) string {
	return "codings." + key + "." + c.System + "|" + c.Code
}

func codingText(c mapping.Coding) string {
	if c.When == mapping.Always {
		return c.Display
	}
	return c.Display + " when " + c.When
}

// codingsSchema describes codings by measure. Which measures there are, and which
// condition a coding of each may have, the reader says.
func codingsSchema() object {
	conditions := mapping.Conditions(measure.Get("blood-flow"))
	one := closed(object{"system": address, "code": text, "display": text, "when": object{"type": "string", "enum": conditions}}, "system", "code")
	return object{"type": "object", "minProperties": 1, "additionalProperties": object{"type": "array", "minItems": 1, "maxItems": 20, "items": one}}
}
