package audit

import (
	"bytes"
	"strings"
	"sync"

	"saltmark/internal/finding"
	"saltmark/internal/language"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// languageOf gives the language that a bundle says it is in: that of its report. One
// in which this program does not speak is told; words in it cannot be compared.
func (c *check) languageOf() (said language.Language, known bool) {
	for _, r := range c.resources {
		n := r.node.Get("language")
		if r.kind != "DiagnosticReport" || !r.ours || n == nil {
			continue
		}
		if !language.Known(n.Text) {
			c.say("language-unknown", n, r.pointer+"/language", "the report says that it is in the language {}", n.Text,
				finding.Say("this program speaks {1}", finding.Data(strings.Join(language.Codes(), ", "))))
			return "", false
		}
		return language.Language(n.Text), true
	}
	return language.English, true
}

// inLanguage is the bundle of a session as this program writes it in one language.
type inLanguage struct {
	language language.Language
	docs     source.Several
}

// inOtherLanguages gives, once it is asked, the bundle in each of the languages that
// it does not say it is in.
func inOtherLanguages(session *record.Session, o mapping.Options) func() []inLanguage {
	return sync.OnceValue(func() []inLanguage {
		said := o.Language.Code()
		var others []inLanguage
		for _, o.Language = range language.All() {
			if o.Language.Code() == said {
				continue
			}
			if text, err := mapping.Write(session, o); err == nil {
				others = append(others, inLanguage{o.Language, treesOf(text, o.Form)})
			}
		}
		return others
	})
}

// inLanguageOfMost gives the bundle in the language in which most of its texts are: what
// to compare with. Where the report names another than that, this is told once, at the
// name, and not of every text.
func (d *difference) inLanguageOfMost(said language.Language, docs source.Several) source.Several {
	most := inLanguage{said, docs}
	fewest := d.textsUnlike(docs)
	for _, other := range d.inOthers() {
		if n := d.textsUnlike(other.docs); n < fewest {
			most, fewest = other, n
		}
	}
	if most.language == said {
		return docs
	}
	d.inOthers = func() []inLanguage { return []inLanguage{{said, docs}} }
	for _, r := range d.resources {
		if r.kind == "DiagnosticReport" && r.ours {
			at := r.at("/language")
			d.tellUnder("language-mixed", r.node.Get("language"), at, "the report says that it is in the language {}", said.Code(),
				finding.Say("most texts of the bundle are in the language {1}", finding.Data(most.language.Code())))
			d.told[at] = true
		}
	}
	return most.docs
}

// textsUnlike counts the texts in which the bundle differs from another.
func (d *difference) textsUnlike(others source.Several) int {
	unlike := 0
	for i, doc := range d.docs {
		if i < len(others) {
			unlike += textsUnlike(doc.Root, others[i].Root)
		}
	}
	return unlike
}

func textsUnlike(a, b *source.Node) int {
	if a == nil || b == nil || a.Kind != b.Kind {
		return 0
	}
	unlike := 0
	if a.Kind == source.String && a.Text != b.Text {
		unlike = 1
	}
	for i := range min(len(a.Items), len(b.Items)) {
		unlike += textsUnlike(a.Items[i], b.Items[i])
	}
	for i := range a.Members {
		unlike += textsUnlike(a.Members[i].Value, b.Get(a.Members[i].Name))
	}
	return unlike
}

// treesOf reads what was written: one document, of NDJSON one for each line.
func treesOf(text []byte, form mapping.Form) source.Several {
	parts := [][]byte{text}
	if form == mapping.NDJSON {
		parts = bytes.Split(text, []byte("\n"))
	}
	var docs source.Several
	for _, part := range parts {
		doc, _ := source.ReadJSON("", part, source.ResourceLimits())
		docs = append(docs, doc)
	}
	return docs
}

// otherLanguage tells in which other language a text is what this program says there.
func (d *difference) otherLanguage(is *source.Node, pointer string) (language.Language, bool) {
	if is.Kind != source.String {
		return "", false
	}
	for _, other := range d.inOthers() {
		doc, below := other.docs.Below(pointer)
		if n := doc.Find(below); n != nil && n.Kind == source.String && n.Text == is.Text {
			return other.language, true
		}
	}
	return "", false
}
