package illustrate

import (
	"cmp"
	"strings"

	"saltmark/internal/derive"
	"saltmark/internal/dilution"
	"saltmark/internal/picture"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Options say how a session is shown.
type Options struct {
	Language measure.Language
	// Whole shows every recording from its beginning to its end; else what lies around
	// the first pass.
	Whole bool
	// Conclusion is that of the report whose form the picture is, in paragraphs.
	Conclusion []string
}

// illustration is the making of one picture.
type illustration struct {
	speaker
	session *record.Session
	options Options
}

// Session gives the picture of the injections that were computed, in their order. The
// session must have been derived.
func Session(s *record.Session, computed []derive.Computed, o Options) picture.Picture {
	i := illustration{speaker{o.Language}, s, o}
	p := picture.Picture{Language: o.Language.Code(), Title: i.of(say.title), Head: i.head()}
	for n := range computed {
		p.Blocks = append(p.Blocks, i.block(&computed[n]))
	}
	p.Description = description(p)
	return p
}

// head says whose picture it is and what it is worth.
func (i illustration) head() []string {
	session := i.of(say.session, "id", i.session.ID, "time", moment(i.session.Start))
	lines := []string{session}
	if i.session.Withdrawn() {
		lines = append(lines, i.of(say.withdrawn))
	}
	if i.session.Test {
		lines = append(lines, i.of(say.test))
	}
	lines = append(lines, i.options.Conclusion...)
	return append(lines, i.of(say.origin, "version", dilution.Version)+" "+i.of(say.caution))
}

// description says what the picture shows to those who cannot see it.
func description(p picture.Picture) string {
	parts := append([]string(nil), p.Head...)
	for _, b := range p.Blocks {
		parts = append(parts, b.Title+".")
		parts = append(parts, b.Notes...)
	}
	return strings.Join(parts, " ")
}

// moment gives a time as people write it, with its offset.
func moment(t record.Time) string { return t.Go().Format("2006-01-02 15:04 -07:00") }

// block shows one injection.
func (i illustration) block(c *derive.Computed) picture.Block {
	w := windowOf(c, i.options.Whole)
	b := picture.Block{
		Title: i.blockTitle(c), TimeTitle: i.of(say.timeAxis),
		FromS: w.fromS, ToS: w.toS,
		Panels: []picture.Panel{i.arterial(c), i.venous(c)},
	}
	if note := i.shown(w); note != "" {
		b.Notes = append(b.Notes, note)
	}
	b.Notes = append(b.Notes, i.notes(c)...)
	return b
}

func (i illustration) blockTitle(c *derive.Computed) string {
	clock := ""
	if f := i.find(c, "injection", ""); f != nil {
		clock = f.At.Go().Format("15:04")
		if day := f.At.Go().Format("2006-01-02"); day != i.session.Start.Go().Format("2006-01-02") {
			clock = day + " " + clock
		}
	}
	title := i.of(say.injection, "number", c.Injection.Key, "time", cmp.Or(clock, "?"))
	if f := i.find(c, "exclusion-cause", ""); f != nil {
		title += ", " + i.of(say.excluded, "cause", measure.WordsOf("exclusion-cause", f.Value.Code, i.language))
	}
	return title
}

// find gives the fact of a measure about an injection, of one origin or of any.
func (i illustration) find(c *derive.Computed, key string, origin record.Origin) *record.Fact {
	for n := range i.session.Facts {
		f := &i.session.Facts[n]
		if f.About == c.Injection && f.Measure == key && (origin == "" || f.Origin == origin) && (!f.Status.TakenBack() || i.session.Withdrawn()) {
			return f
		}
	}
	return nil
}
