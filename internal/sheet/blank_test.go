package sheet

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"saltmark/internal/source"
	"saltmark/mapping/measure"
)

func blankText(t *testing.T, o BlankOptions) string {
	t.Helper()
	text, err := Blank(o)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func readBlank(text string) (*source.Document, []string) {
	doc, list := source.Read("blank.yaml", []byte(text), source.SheetLimits())
	var rules []string
	for _, f := range list {
		rules = append(rules, f.Rule)
	}
	return doc, rules
}

// A number beside a unit on an empty sheet would be taken for a dose that is usual
// here. Words of the table of measures may name a time ("at 60 s").
func TestAnEmptySheetShowsNoNumberWithAUnit(t *testing.T) {
	var units, named []string
	for _, m := range measure.All() {
		if m.Unit != "" && m.Unit != "1" {
			units = append(units, regexp.QuoteMeta(m.Unit))
		}
		named = append(named, m.WordsFor("", measure.English))
	}
	dose := regexp.MustCompile(`[0-9]\s*(` + strings.Join(units, "|") + `)([^A-Za-z]|$)`)
	if !dose.MatchString("2.5 mL") || !dose.MatchString("at 60 s ") {
		t.Fatal("a dose would not be seen")
	}
	for _, o := range []BlankOptions{{Injections: 1}, {Injections: 2, Short: true}, {Injections: MostBlankInjections}} {
		text := strings.Join(strings.Fields(strings.ReplaceAll(blankText(t, o), "##", " ")), " ")
		slices.SortFunc(named, func(a, b string) int { return len(b) - len(a) })
		for _, words := range named {
			text = strings.ReplaceAll(text, words, "")
		}
		if found := dose.FindString(text); found != "" {
			t.Errorf("%+v: %q", o, found)
		}
	}
}

// Every key of the form is on the empty sheet, and nothing else is: with all hashes
// taken away, the one finds nothing unknown and the other nothing missing.
func TestAnEmptySheetHasEveryKey(t *testing.T) {
	hash := regexp.MustCompile(`(?m)^( *)# `)
	doc, rules := readBlank(hash.ReplaceAllString(blankText(t, BlankOptions{Injections: 1}), "$1"))
	if len(rules) > 0 {
		t.Fatalf("%q", rules)
	}
	for _, f := range theWall().Check(doc) {
		if f.Rule == "schema-unknown-element" || f.Rule == "schema-required" {
			t.Error(f.Text(true))
		}
	}
	var walk func(sp *spot, n *source.Node, path string)
	walk = func(sp *spot, n *source.Node, path string) {
		if sp.shape == isList && n != nil && len(n.Items) == 1 {
			n = n.Items[0]
		}
		for _, m := range sp.members {
			if n.Get(m.name) == nil {
				t.Errorf("%s.%s is not on the empty sheet", path, m.name)
				continue
			}
			walk(m, n.Get(m.name), strings.TrimPrefix(path+"."+m.name, "."))
		}
	}
	walk(theForm(), doc.Root, "")
}

func TestEachKeyOfAnEmptySheetIsExplained(t *testing.T) {
	lines := strings.Split(blankText(t, BlankOptions{Injections: 1}), "\n")
	for i, line := range lines {
		key := strings.TrimLeft(line, " #")
		if i == 0 || !strings.HasSuffix(line, ":") || strings.HasPrefix(strings.TrimLeft(line, " "), "##") {
			continue
		}
		before := strings.TrimLeft(lines[i-1], " ")
		switch grouped := strings.HasSuffix(lines[i+1], "value:") || i+2 < len(lines) && strings.HasSuffix(lines[i+2], "value:"); {
		case strings.HasPrefix(before, "##"), grouped:
			continue // said above, or at the value within
		}
		t.Errorf("line %d: nothing explains %s", i+1, key)
	}
	for path := range notes {
		if sp := spotAt(path); sp == nil {
			t.Errorf("a note is about %s, which is no key", path)
		}
	}
	for i := range admin {
		if notes[admin[i].path] == "" && admin[i].form != asVersion {
			t.Errorf("nothing says what %s is", admin[i].path)
		}
	}
}

func spotAt(path string) *spot {
	at := theForm()
	for name := range strings.SplitSeq(path, ".") {
		if at = at.member(name); at == nil {
			return nil
		}
	}
	return at
}

// The keys of the short empty sheet are those of the smallest sheet, but for the
// label of test data, which no patient's sheet has.
func TestTheShortEmptySheetIsTheSmallestSheet(t *testing.T) {
	text, err := os.ReadFile("../../testdata/sheets/02-minimal.yaml")
	if err != nil {
		t.Fatal(err)
	}
	smallest, _ := source.Read("02-minimal.yaml", text, source.SheetLimits())
	short, rules := readBlank(blankText(t, BlankOptions{Injections: 2, Short: true}))
	if len(rules) > 0 {
		t.Fatalf("%q", rules)
	}
	want := slices.DeleteFunc(keysOf(smallest.Root, ""), func(k string) bool { return k == "session.test" })
	if got := keysOf(short.Root, ""); !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

func keysOf(n *source.Node, path string) []string {
	var keys []string
	for _, item := range n.Items {
		keys = append(keys, keysOf(item, path)...)
	}
	for _, m := range n.Members {
		p := strings.TrimPrefix(path+"."+m.Name, ".")
		keys = append(append(keys, p), keysOf(m.Value, p)...)
	}
	slices.Sort(keys)
	return slices.Compact(keys)
}

func TestAnEmptySheetHasRoomForAsManyInjectionsAsAsked(t *testing.T) {
	for _, n := range []int{1, 2, 3, MostBlankInjections} {
		doc, rules := readBlank(blankText(t, BlankOptions{Injections: n}))
		if got := len(doc.Root.Get("injections").Items); got != n || len(rules) > 0 {
			t.Errorf("%d injections are wanted, %d are there, %q", n, got, rules)
		}
	}
	for _, n := range []int{-1, 0, MostBlankInjections + 1} {
		if _, err := Blank(BlankOptions{Injections: n}); err == nil {
			t.Errorf("%d injections: no error", n)
		}
	}
}
