package measure

import (
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/language"
)

// Language is a language of our words. The zero value is English.
type Language = language.Language

// The languages. A further one is a constant here, a place in languages, and its
// words in every row of the table: a row without them does not load.
const (
	English = language.English
	German  = language.German
)

var languages = [...]Language{English, German}

// Languages gives every language in which the words of the tables stand, English
// first.
func Languages() []Language { return slices.Clone(languages[:]) }

// Words are our words for one thing, in the order of Languages.
type Words [len(languages)]string

// In gives the words in a language; in one that is not known, the English.
func (w Words) In(l Language) string { return w[max(0, slices.Index(languages[:], l))] }

// Text gives the words for a finding, which is said in the language of its reader.
func (w Words) Text() finding.Text { return finding.Both(w.In(English), w.In(German)) }

// around gives the words with others in their gap "{}", language by language.
func (w Words) around(inner Words) Words {
	for i := range w {
		w[i] = strings.ReplaceAll(w[i], "{}", inner[i])
	}
	return w
}
