package sheet_test

import (
	"bytes"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"saltmark/internal/finding"
	"saltmark/internal/sheet"
	"saltmark/internal/sheet/sheettest"
	"saltmark/internal/source"
	"saltmark/mapping/record"
)

// withoutPlaces compares sessions as a record does: places take no part.
var withoutPlaces = cmp.Options{cmpopts.IgnoreFields(record.Session{}, "Places"), cmpopts.EquateEmpty()}

func read(name string, text []byte) (*record.Session, finding.List) {
	doc, list := source.Read(name, text, source.SheetLimits())
	s, more := sheet.Read(doc)
	return s, append(list, more...)
}

func texts(list finding.List) (lines []string) {
	for _, f := range list {
		lines = append(lines, f.Text(true))
	}
	return lines
}

func TestWhatIsWrittenIsReadAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := sheettest.Session().Draw(t, "session")
		text, err := sheet.Write(want)
		if err != nil {
			t.Fatal(err)
		}
		got, list := read("law.yaml", text)
		if len(list) > 0 {
			t.Fatalf("%q\n%s", texts(list), text)
		}
		if diff := cmp.Diff(want, got, withoutPlaces); diff != "" {
			t.Fatalf("written and read, - before, + after:\n%s\n%s", diff, text)
		}
	})
}

func TestTheSameSessionInAnyOrderIsTheSameSheet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sheettest.Session().Draw(t, "session")
		first, err := sheet.Write(s)
		if err != nil {
			t.Fatal(err)
		}
		slices.Reverse(s.Facts)
		second, err := sheet.Write(s)
		if err != nil || !bytes.Equal(first, second) {
			t.Fatalf("the order of the facts shows (%v)", err)
		}
	})
}

func TestDrawnSessionsArePlausible(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sheettest.Session().Draw(t, "session")
		for _, f := range sheet.Check(s, sheet.DefaultLimits()) {
			if f.Severity == finding.Error {
				t.Fatal(f.Text(true))
			}
		}
	})
}

func TestNoTwoThingsOfASheetLoseTheirPlace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text, err := sheet.Write(sheettest.Session().Draw(t, "session"))
		if err != nil {
			t.Fatal(err)
		}
		s, _ := read("law.yaml", text)
		for _, f := range s.Facts {
			if s.Places.Of(f.Ref).Line == 0 {
				t.Fatalf("%v has no line", f.Ref)
			}
		}
	})
}
