package sheet

import (
	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// The rows of a level that this file ties together.
const (
	levelState     = "level-state"
	levelDirection = "level-direction"
)

// levelWords are the words that may stand for a whole level, with the state and
// the direction that each means.
var levelWords = []struct{ word, state, direction string }{
	{"closed", "closed", ""},
	{"left-to-right", "open", "left-to-right"},
	{"right-to-left", "open", "right-to-left"},
	{"bidirectional", "open", "bidirectional"},
	{"direction-not-seen", "open", "direction-not-seen"},
	{"not-seen", "not-seen", ""},
}

func levelWordList() []string {
	var words []string
	for _, w := range levelWords {
		words = append(words, w.word)
	}
	return words
}

// levelWord reads a word that stands for a level.
func (r *reader) levelWord(sp *spot, n *source.Node, pointer string) {
	word, ok := r.word(n, pointer, levelWordList(), false)
	if !ok {
		return
	}
	thing, place := record.Thing{Kind: sp.about, Key: sp.key}, r.doc.Place(n, pointer)
	for _, w := range levelWords {
		if w.word != word {
			continue
		}
		r.fact(record.Fact{Ref: refOf(thing, measure.Get(levelState)), Value: record.Value{Code: w.state}}, place)
		if w.direction != "" {
			r.fact(record.Fact{Ref: refOf(thing, measure.Get(levelDirection)), Value: record.Value{Code: w.direction}}, place)
		}
	}
}

// completeLevel gives a level that was looked at what was said once for all
// levels, and an open one without a direction the word for that.
func (r *reader) completeLevel(thing record.Thing) {
	state := r.s.Get(thing, levelState)
	if state == nil || state.Value.Code == "not-seen" {
		return
	}
	place := r.s.Places.Of(state.Ref)
	if state.Value.Code == "open" && r.s.Get(thing, levelDirection) == nil {
		r.fact(record.Fact{Ref: refOf(thing, measure.Get(levelDirection)), Value: record.Value{Code: "direction-not-seen"}}, place)
	}
	for i := range measure.All() {
		m := &measure.All()[i]
		if shared, ok := r.once[m.Key]; ok && r.s.Get(thing, m.Key) == nil {
			r.fact(record.Fact{Ref: refOf(thing, m), Value: shared.value}, shared.place)
		}
	}
}

// ductSite is one row of the table of where an artery branches off: before or
// after the duct. Where neither side nor artery decides it is uncertain (flow
// labels of this project; anatomy textbooks).
type ductSite struct{ vessel, side, site string }

var ductSites = []ductSite{
	{"radial-artery", "right", "preductal"},
	{"umbilical-artery", "", "postductal"},
	{"femoral-artery", "", "postductal"},
	{"foot-artery", "", "postductal"},
	{"radial-artery", "", "uncertain"},
	{"brachial-artery", "", "uncertain"},
	{"axillary-artery", "", "uncertain"},
}

// DuctSite gives the site that an artery implies, "" where the table has none.
func DuctSite(vessel, side string) string {
	for _, d := range ductSites {
		if d.vessel == vessel && (d.side == "" || d.side == side) {
			return d.site
		}
	}
	return ""
}

// completeDuctSite adds the site that the artery implies. Where the sheet states
// another one that is a warning, and the site is uncertain.
func (r *reader) completeDuctSite() {
	thing := record.Thing{Kind: measure.Catheter, Key: "arterial"}
	vessel := r.s.Get(thing, "catheter-vessel")
	if vessel == nil {
		return
	}
	implied := DuctSite(vessel.Value.Code, r.s.Code(thing, "catheter-side"))
	stated := r.s.Get(thing, "catheter-duct-site")
	switch {
	case implied == "":
	case stated == nil:
		m := measure.Get("catheter-duct-site")
		r.fact(record.Fact{Ref: refOf(thing, m), Value: record.Value{Code: implied}}, r.s.Places.Of(vessel.Ref))
	case stated.Value.Code != implied && stated.Value.Code != "uncertain":
		place := r.s.Places.Of(stated.Ref)
		r.at("duct-site-differs", place, finding.Say("{1} is {}", finding.Data(dotted(place.Pointer))), stated.Value.Code,
			finding.Say("the artery that is named implies {1}; the site is charted as uncertain", finding.Data(implied)))
		stated.Value.Code = "uncertain"
	}
}
