// Package migrate brings session sheets and settings of a site from an earlier
// version of their format to the newest, and changes nothing in them but that:
// comments, order, notation and line ends stay as the person wrote them.
//
// Each step from one version to the next is a row of a table (steps.go). It says
// where the text is changed, by the places of the values in it. What comes out is
// read again and held against what went in: if anything differs that the step did
// not mean to change, the text is refused and nothing of it given out.
//
// What a file cannot know is answered by whoever brings it up (Answers); nothing is
// guessed. A file of the newest version comes out as it went in, so bringing up
// twice is bringing up once.
//
// The package does not judge what a sheet or the settings say: that is for those who
// read them, before and after.
package migrate

import (
	"fmt"
	"slices"
	"strconv"

	"saltmark/internal/finding"
	"saltmark/internal/sheet"
	"saltmark/internal/site"
	"saltmark/internal/source"
)

// Answers are what a file cannot know.
type Answers struct {
	// Test tells whether the sessions are test data: "yes", "no", or "" for no answer.
	Test string
}

// Unanswered is the error for a file that needs an answer which is not given.
type Unanswered struct {
	Name    string // of the file
	Answer  string // which one is missing, as a flag would be called
	Because string // why it is asked for
}

func (e *Unanswered) Error() string {
	return fmt.Sprintf("%s: %s; --%s is wanted", e.Name, e.Because, e.Answer)
}

// Result is a file of the newest version.
type Result struct {
	Text     []byte
	From, To int // versions of the format; the same where nothing was to do
}

// kind is a kind of file that has versions.
type kind struct {
	key    string // that says the version
	called string
	newest int
}

// kinds are all there are.
func kinds() []kind {
	return []kind{
		{"saltmark", "session sheet", sheet.Version},
		{"saltmark-site", "settings of a site", site.Version},
	}
}

// File brings one file up. Where the list holds an error nothing is to be done with
// the text; an error that is returned is an Unanswered.
func File(name string, text []byte, a Answers) (Result, finding.List, error) {
	doc, list := source.Read(name, text, source.SheetLimits())
	if list.HasErrors() {
		return Result{}, list, nil
	}
	k, from, found := versionOf(doc)
	if found != nil {
		return Result{}, append(list, *found), nil
	}
	r := Result{Text: text, From: from, To: k.newest}
	for version := from; version < k.newest; version++ {
		s := stepOf(k.key, version)
		if s == nil {
			return Result{}, append(list, byHand(doc, k.key, "no step leads on from this version")), nil
		}
		if s.asks != nil {
			if missing := s.asks(a); missing != nil {
				missing.Name = name
				return Result{}, list, missing
			}
		}
		next, found := s.take(doc, a)
		if found != nil {
			return Result{}, append(list, *found), nil
		}
		doc, r.Text = next, next.Text
	}
	return r, list, nil
}

// versionOf tells what a file is and in which version it is written.
func versionOf(doc *source.Document) (kind, int, *finding.Finding) {
	for _, k := range kinds() {
		n := doc.Root.Get(k.key)
		if n == nil {
			continue
		}
		version, err := strconv.Atoi(n.Text)
		if n.Kind != source.Number || err != nil || version < 1 || version > k.newest {
			f := finding.New("migration-unknown", doc.Place(n, source.Pointer(k.key)), finding.Say("{1} is {}", finding.Data(k.key)), n.Text,
				finding.Say("a version from 1 to {1} is wanted", finding.Number(k.newest)))
			if n.Kind != source.Number { // it may be anything
				f = f.Hide()
			}
			return k, 0, &f
		}
		return k, version, nil
	}
	f := finding.New("migration-unknown", doc.Place(doc.Root, ""), "the text does not say in which format it is written", "", "a session sheet (saltmark: ...) or settings of a site (saltmark-site: ...) is wanted")
	return kind{}, 0, &f
}

// byHand is the finding for a text in which the change cannot be made.
func byHand(doc *source.Document, key string, why finding.Text) finding.Finding {
	return finding.New("migration-by-hand", doc.Place(doc.Root.Get(key), source.Pointer(key)), finding.Say("this text cannot be brought to a newer version here: {1}", why), "", "change it by hand; saltmark explain migration-by-hand says how")
}

func stepOf(key string, version int) *step {
	all := steps()
	i := slices.IndexFunc(all, func(s step) bool { return s.key == key && s.from == version })
	if i < 0 {
		return nil
	}
	return &all[i]
}
