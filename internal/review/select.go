package review

import (
	"slices"
	"strings"

	"saltmark/internal/source"
	"saltmark/mapping/measure"
)

// Select gives the mapping of the rows whose key, words or codes contain one of the
// words, capitals aside. missed is the first word that no row contains, "" for none.
func (m Mapping) Select(words []string) (selected Mapping, missed string) {
	if len(words) == 0 {
		return m, ""
	}
	for _, word := range words {
		if !slices.ContainsFunc(m.Rows, func(r Row) bool { return r.contains(word) }) {
			return Mapping{}, word
		}
	}
	selected = m
	selected.Words = words
	selected.Rows = nil
	for _, r := range m.Rows {
		if slices.ContainsFunc(words, r.contains) {
			selected.Rows = append(selected.Rows, r)
		}
	}
	return selected, ""
}

func (r Row) contains(word string) bool {
	word = strings.ToLower(word)
	has := func(text string) bool { return strings.Contains(strings.ToLower(text), word) }
	if has(r.Key) || slices.ContainsFunc(r.Words[:], has) {
		return true
	}
	for _, c := range r.Codings {
		for _, thing := range r.things() {
			if has(strings.ReplaceAll(c.Code, "{}", thing)) {
				return true
			}
		}
	}
	return false
}

// things gives the keys that "{}" stands for in words and codes of the row.
func (r Row) things() []string { return measure.ThingsOf(r.About[0]) }

// Nearest gives the key that a word was probably meant for, "" for none.
func Nearest(word string) string {
	var keys []string
	for i := range measure.All() {
		keys = append(keys, measure.All()[i].Key)
	}
	near, _ := source.Nearest(word, keys)
	return near
}
