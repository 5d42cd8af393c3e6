package sheet

import (
	"math/big"
	"strings"
	"time"

	"saltmark/internal/finding"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// judge looks at the statements of a session side by side.
type judge struct {
	s *record.Session
	// traced are the injections that name a recording.
	traced map[record.Thing]bool
	// whole tells that everything on the sheet could be read: only then is what
	// is missing said to be missing.
	whole   bool
	numbers map[string]*big.Rat // bounds, by their text
	list    finding.List

	byMeasure map[string][]*record.Fact // made by facts
}

// statementRules are the rules by which statements are held against each other,
// by subject. Each looks at what is there and says nothing of what is not.
var statementRules = []func(*judge){
	(*judge).sessionTimes, (*judge).sessionIdentity, (*judge).references, (*judge).life, (*judge).entry,
	(*judge).present, (*judge).injectionTimes, (*judge).events, (*judge).pressures,
	(*judge).levels, (*judge).anatomy, (*judge).answer, (*judge).catheters,
	(*judge).subject, (*judge).loop, (*judge).earlierSessions,
}

func (j *judge) statements() finding.List {
	for _, rule := range statementRules {
		rule(j)
	}
	return j.list
}

func (j *judge) add(rule string, place finding.Place, found finding.Text, value string, allowed finding.Text) {
	j.list = append(j.list, finding.New(rule, place, found, value, allowed))
}

func (j *judge) addHidden(rule string, place finding.Place, found finding.Text, value string, allowed finding.Text) {
	j.list = append(j.list, finding.New(rule, place, found, value, allowed).Hide())
}

// field gives the place of a field, of the sheet where it has none.
func (j *judge) field(path string) finding.Place {
	if p, ok := j.s.Places.Fields[path]; ok {
		return p
	}
	return j.s.Places.Fields[""]
}

// place gives the place of a fact, of the sheet where it has none.
func (j *judge) place(r record.Ref) finding.Place {
	if p, ok := j.s.Places.Facts[r]; ok {
		return p
	}
	return j.s.Places.Fields[""]
}

// called says a fact by its path on the sheet or, without one, by the words of
// its measure.
func (j *judge) called(r record.Ref) finding.Text {
	if p, ok := j.s.Places.Facts[r]; ok && p.Pointer != "" && r.Origin != record.Recomputed {
		return finding.Data(pathOf(p))
	}
	words := wordsOf(r.Measure, r.About.Key)
	if r.Origin == record.Recomputed { // it stands where its curve does
		return finding.Say("{1}, recomputed from the curves of injection {2}", words, finding.Data(r.About.Key))
	}
	switch r.About.Kind {
	case measure.Injection:
		return finding.Say("{1}, injection {2}", words, finding.Data(r.About.Key))
	case measure.Sample:
		return finding.Say("{1}, sample {2}", words, finding.Data(r.About.Key))
	}
	return words
}

// pathOf gives the path of a place on the sheet.
func pathOf(p finding.Place) string { return strings.TrimSuffix(dotted(p.Pointer), ".value") }

// wordsOf gives the words of a measure about a thing.
func wordsOf(key, thing string) finding.Text { return measure.Get(key).TextFor(thing) }

// injections gives the injections in the order of their numbers.
func (j *judge) injections() []record.Thing { return j.s.Things(measure.Injection) }

func (j *judge) excluded(injection record.Thing) bool {
	return j.s.Get(injection, "exclusion-cause") != nil
}

// when gives the time of an injection.
func (j *judge) when(injection record.Thing) record.Time {
	if f := j.s.Get(injection, "injection"); f != nil {
		return f.At
	}
	return ""
}

// whenPlace gives the place of the time of an injection, and its name.
func (j *judge) whenPlace(injection record.Thing) (finding.Place, finding.Text) {
	ref := record.Ref{About: injection, Measure: "injection", Origin: record.Stated}
	if of, ok := j.s.Places.Facts[ref]; ok {
		at := pathOf(of) + ".at"
		if p, ok := j.s.Places.Fields[at]; ok {
			return p, finding.Data(at)
		}
	}
	return j.place(ref), finding.Say("the time of {1}", j.called(ref))
}

// localDay gives the date of a time as it was written, at its own offset.
func localDay(t record.Time) string { return string(t)[:min(len(t), len(time.DateOnly))] }

// private tells whether the value of a measure stays out of findings: what tells
// of the subject.
func private(m *measure.Measure) bool {
	return m.Private || strings.HasPrefix(m.Sheet, "subject.")
}
