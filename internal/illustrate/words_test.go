package illustrate

import (
	"reflect"
	"regexp"
	"slices"
	"testing"

	"saltmark/mapping/measure"
)

// allWords gives every phrase of the room by its name.
func allWords() map[string]wording {
	all := map[string]wording{}
	v := reflect.ValueOf(say)
	for i := range v.NumField() {
		f := v.Field(i)
		var w wording
		for n := range w {
			w[n] = f.Index(n).String()
		}
		all[v.Type().Field(i).Name] = w
	}
	for name, w := range separationWords {
		all["separation "+name] = w
	}
	all["sign left to right"], all["sign early"] = signWords[0], signWords[1]
	return all
}

var gap = regexp.MustCompile(`\{[a-z]+\}`)

func TestEachPhraseStandsInEveryLanguageWithTheSameGaps(t *testing.T) {
	for name, w := range allWords() {
		gaps := gap.FindAllString(w.In(measure.English), -1)
		slices.Sort(gaps)
		for _, l := range measure.Languages() {
			found := gap.FindAllString(w.In(l), -1)
			slices.Sort(found)
			if w.In(l) == "" || !slices.Equal(found, gaps) {
				t.Errorf("%s in %s: %q; the gaps %v are wanted", name, l.Code(), w.In(l), gaps)
			}
		}
	}
}

func TestWarningsAreInCapitalsInEveryLanguage(t *testing.T) {
	loud := regexp.MustCompile(`[A-ZÄÖÜ]{4}`)
	for name, w := range map[string]wording{"test": say.test, "withdrawn": say.withdrawn, "excluded": say.excluded} {
		for _, l := range measure.Languages() {
			if !loud.MatchString(w.In(l)) {
				t.Errorf("%s in %s does not warn: %q", name, l.Code(), w.In(l))
			}
		}
	}
}
