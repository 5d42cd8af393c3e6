package sheet

import (
	"os"
	"slices"
	"strings"
	"testing"

	"saltmark/internal/source"
	"saltmark/mapping/measure"
)

// spots calls visit for every value of the form with its dotted path.
func spots(sp *spot, path string, visit func(path string, sp *spot)) {
	if sp.shape == isSingle {
		visit(path, sp)
	}
	for _, m := range sp.members {
		spots(m, strings.TrimPrefix(path+"."+m.name, "."), visit)
	}
}

func TestEveryMeasureWithAPlaceIsOnTheFormOnceForEachThing(t *testing.T) {
	count := map[string]int{}
	spots(theForm(), "", func(_ string, sp *spot) {
		if sp.row != nil && !sp.shared {
			count[sp.row.Key]++
		}
	})
	for i := range measure.All() {
		m := &measure.All()[i]
		want := 0
		if m.Sheet != "" {
			want = len(measure.ThingsOf(m.About[0]))
		}
		if count[m.Key] != want {
			t.Errorf("%s stands %d times on the form, want %d", m.Key, count[m.Key], want)
		}
	}
}

func TestNeedsAndShortFormsNameMembersThatThereAre(t *testing.T) {
	var walk func(sp *spot, path string)
	walk = func(sp *spot, path string) {
		for _, name := range append(slices.Clone(sp.needs), sp.short) {
			if name != "" && sp.member(name) == nil {
				t.Errorf("%s has no member %s", path, name)
			}
		}
		for _, m := range sp.members {
			walk(m, strings.TrimPrefix(path+"."+m.name, "."))
		}
	}
	walk(theForm(), "")
	seen := map[string]bool{}
	walk = func(sp *spot, path string) {
		seen[path] = true
		for _, m := range sp.members {
			walk(m, strings.TrimPrefix(path+"."+m.name, "."))
		}
	}
	walk(theForm(), "")
	for path := range needed {
		if !seen[path] {
			t.Errorf("the form has no %q, which has needs", path)
		}
	}
	for _, name := range theForm().members {
		if !slices.Contains(sections, name.name) {
			t.Errorf("%s has no place in the order of sections", name.name)
		}
	}
}

// elsewhere are the keys that the full sheet cannot carry beside its others.
var elsewhere = []string{"session.withdrawn.", ".reference", "subject.length.", "subject.weight."}

func TestTheFullSheetCarriesEveryKey(t *testing.T) {
	const file = "../../testdata/sheets/22-full.yaml"
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	doc, _ := source.Read(file, text, source.SheetLimits())
	if doc.Root == nil {
		t.Fatal("the full sheet cannot be read")
	}
	there := map[string]bool{}
	var walk func(n *source.Node, path string)
	walk = func(n *source.Node, path string) {
		there[path] = true
		for _, m := range n.Members {
			walk(m.Value, strings.TrimPrefix(path+"."+m.Name, "."))
		}
		for _, item := range n.Items {
			walk(item, path)
		}
	}
	walk(doc.Root, "")
	spots(theForm(), "", func(path string, sp *spot) {
		if slices.ContainsFunc(elsewhere, func(e string) bool { return strings.Contains(path+".", e) }) {
			return
		}
		around := path[:max(strings.LastIndexByte(path, '.'), 0)]
		if !there[path] && !(strings.HasSuffix(path, ".value") && there[around]) {
			t.Errorf("%s is not on the full sheet", path)
		}
	})
}

func TestAnArteryImpliesItsSite(t *testing.T) {
	// The rule is that of the flow labels of this project (anatomy textbooks).
	for _, c := range []struct{ vessel, side, want string }{
		{"radial-artery", "right", "preductal"},
		{"radial-artery", "left", "uncertain"},
		{"radial-artery", "", "uncertain"},
		{"umbilical-artery", "", "postductal"},
		{"femoral-artery", "left", "postductal"},
		{"foot-artery", "right", "postductal"},
		{"brachial-artery", "right", "uncertain"},
		{"axillary-artery", "left", "uncertain"},
		{"other-vessel", "", ""},
	} {
		if got := DuctSite(c.vessel, c.side); got != c.want {
			t.Errorf("%s %s: %q, want %q", c.side, c.vessel, got, c.want)
		}
	}
}
