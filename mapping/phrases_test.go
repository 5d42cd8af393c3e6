package mapping

import (
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// everyWording calls back with each wording of this package, in a struct or a table,
// by its name.
func everyWording(f func(name string, w wording)) {
	for name, table := range map[string]any{
		"say": say, "lesionWords": lesionWords, "wordsOfLevels": wordsOfLevels, "closedRows": closedRows, "lookWords": lookWords,
		"circuitWords": circuitWords, "countWords": countWords, "atrialRows": atrialRows, "doubtWords": doubtWords,
		"monitorRows": monitorRows, "statusWords": statusWords, "holdRows": holdRows, "signRows": signRows,
	} {
		walkWordings(name, reflect.ValueOf(table), f)
	}
}

func walkWordings(name string, v reflect.Value, f func(string, wording)) {
	if v.Type() == reflect.TypeFor[wording]() {
		var w wording
		for i := range w {
			w[i] = v.Index(i).String()
		}
		f(name, w)
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			walkWordings(name+"."+v.Type().Field(i).Name, v.Field(i), f)
		}
	case reflect.Slice:
		for i := range v.Len() {
			walkWordings(fmt.Sprintf("%s[%d]", name, i), v.Index(i), f)
		}
	case reflect.Map:
		for _, key := range v.MapKeys() {
			walkWordings(fmt.Sprintf("%s[%v]", name, key), v.MapIndex(key), f)
		}
	}
}

// leftOpen are the wordings that a row may go without.
var leftOpen = regexp.MustCompile(`^(doubtWords\[.*\]\.open|monitorRows\[0\]\.bound)$`)

var gap = regexp.MustCompile(`\{[A-Za-z]*\}`)

// Every phrase stands in every language and puts the same in, whatever the order.
func TestEveryPhraseStandsInEveryLanguageWithTheSameGaps(t *testing.T) {
	count := 0
	everyWording(func(name string, w wording) {
		if w == (wording{}) && leftOpen.MatchString(name) {
			return
		}
		count++
		gaps := func(text string) []string {
			found := gap.FindAllString(text, -1)
			slices.Sort(found)
			return found
		}
		for _, l := range measure.Languages() {
			text := w.In(l)
			if text == "" || strings.Contains(text, "  ") {
				t.Errorf("%s has no words in %s, or a blank too many: %q", name, l, text)
			}
			if got, want := gaps(text), gaps(w[0]); !slices.Equal(got, want) {
				t.Errorf("%s puts %v in in %s, %v in English", name, got, l, want)
			}
			if ends := strings.HasSuffix(text, "."); ends != strings.HasSuffix(w[0], ".") {
				t.Errorf("%s: a sentence in one language is a part of one in %s: %q", name, l, text)
			}
		}
	})
	if count < 150 {
		t.Errorf("only %d phrases were looked at", count)
	}
}

// What is written in capitals warns; it does so in every language.
func TestWarningsAreInCapitalsInEveryLanguage(t *testing.T) {
	shouts := regexp.MustCompile(`\p{Lu}{4,}|\bNOT\b`)
	everyWording(func(name string, w wording) {
		for _, l := range measure.Languages() {
			if shouts.MatchString(w.In(l)) != shouts.MatchString(w[0]) {
				t.Errorf("%s warns in one language alone: %q", name, w)
			}
		}
	})
}

// Every code that a conclusion may speak of has words: a code without would be
// passed over, or said in general words.
func TestEveryCodeThatIsSpokenOfHasWords(t *testing.T) {
	for _, lesion := range measure.SetNames("lesion") {
		if _, there := lesionWords[lesion]; !there {
			t.Errorf("no words for the lesion %s", lesion)
		}
	}
	for _, method := range measure.SetNames("assessment-method") {
		if _, there := lookWords[method]; !there {
			t.Errorf("no words for the method %s", method)
		}
	}
	for _, circuit := range measure.SetNames("other-circuit") {
		if _, there := circuitWords[circuit]; there == (circuit == "none") {
			t.Errorf("the circuit %s: words %t", circuit, there)
		}
	}
	for status := range observationStatuses {
		if _, there := statusWords[status]; !there {
			t.Errorf("no words for the status %s", status)
		}
	}
	for _, level := range measure.Levels {
		if _, there := wordsOfLevels[level]; !there || !slices.Contains(spokenLevels, level) {
			t.Errorf("no words for the level %s", level)
		}
	}
}

// Every set of walls has its row, in the order in which levels are spoken of.
func TestEverySetOfClosedLevelsHasWords(t *testing.T) {
	for n := 1; n < 1<<len(spokenLevels); n++ {
		var levels []string
		for i, level := range spokenLevels {
			if n>>i&1 == 1 {
				levels = append(levels, level)
			}
		}
		for _, l := range measure.Languages() {
			c := &conclusion{language: l}
			text := c.closedWords(levels, say.closedAndNone)
			none := strings.Contains(text, say.none.In(l))
			if none != slices.Contains(levels, measure.Aortopulmonary) || !none && len(levels) == 0 || strings.Contains(text, "{") {
				t.Errorf("%v in %s: %q", levels, l, text)
			}
			if named := text != say.none.In(l); named != (len(levels) > 1 || levels[0] != measure.Aortopulmonary) {
				t.Errorf("%v in %s: %q", levels, l, text)
			}
		}
	}
}

// A line holds the name of every measure with its longest status, so that no line
// shrinks to a status alone; with a number of six digits where it has one.
func TestEveryMeasureFitsIntoALineInEveryLanguage(t *testing.T) {
	longest := "888.888"
	for _, l := range measure.Languages() {
		w := &writer{options: Options{Language: l}}
		for i := range measure.All() {
			m := &measure.All()[i]
			if m.In != "" {
				continue
			}
			for _, about := range m.About {
				f := &record.Fact{Status: record.EnteredInError}
				f.Measure, f.About = m.Key, record.TheSession
				if about != measure.Session {
					f.About = record.Thing{Kind: about, Key: "10"}
				}
				name := m.WordsFor(f.About.Key, l)
				if n := w.line(f, m); n == nil || !strings.Contains(n.Div, name) {
					t.Errorf("%s in %s: the name is lost once it is taken back: %v", m.Key, l, n)
				}
				if m.Kind == measure.Quantity {
					f.Status, f.Value.Quantity = record.Corrected, record.Quantity{Number: longest, Unit: m.Unit}
					if n := w.line(f, m); n == nil || !strings.Contains(n.Div, name+": "+longest) {
						t.Errorf("%s in %s: the value is lost: %v", m.Key, l, n)
					}
				}
				if m.Labelled {
					f.Label = measure.Label{Flows: measure.AllFlows}
					if n := w.line(f, m); n == nil || !strings.Contains(n.Div, longest) || !strings.Contains(n.Div, f.Label.Code()) && !strings.Contains(n.Div, f.Label.Words(l)) {
						t.Errorf("%s in %s: value or label is lost: %v", m.Key, l, n)
					}
				}
			}
		}
		if w.err != nil {
			t.Error(w.err)
		}
	}
}
