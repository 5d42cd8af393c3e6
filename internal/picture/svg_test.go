package picture

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the goldens")

func TestTheSVGIsTheGolden(t *testing.T) {
	for name, p := range map[string]Picture{"clean": demo(20, 0.01), "several": {
		Language: "de", Title: "Zwei", Description: "Zwei leere Felder", Blocks: []Block{{Title: "eins", Panels: []Panel{{Empty: "nichts"}}}, {Title: "zwei"}},
	}} {
		path, got := filepath.Join("testdata", name+".svg"), SVG(p)
		if *update {
			if err := os.WriteFile(path, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s differs from the golden; -update writes it anew", path)
		}
	}
}

// checkSVG wants well-formed XML of the few elements that are ours, with a title and a
// description, that asks for nothing outside.
func checkSVG(text []byte) error {
	d := xml.NewDecoder(bytes.NewReader(text))
	d.Strict = true
	seen := map[string]int{}
	for {
		token, err := d.Token()
		switch {
		case errors.Is(err, io.EOF):
			for _, once := range []string{"svg", "title", "desc"} {
				if seen[once] != 1 {
					return errors.New("there is not one " + once)
				}
			}
			return nil
		case err != nil:
			return err
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		seen[start.Name.Local]++
		switch start.Name.Local {
		case "svg", "title", "desc", "rect", "path", "text":
		default:
			return errors.New("an element " + start.Name.Local)
		}
		for _, a := range start.Attr {
			if strings.HasPrefix(a.Name.Local, "on") || a.Name.Local == "href" || strings.Contains(a.Value, "url(") {
				return errors.New("an attribute " + a.Name.Local)
			}
			if strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
				return errors.New(a.Name.Local + " is " + a.Value)
			}
		}
	}
}

func TestAnSVGIsPlainAndSmall(t *testing.T) {
	for name, p := range pictures() {
		text := SVG(p)
		if err := checkSVG(text); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if limit := 200_000 * max(1, len(p.Blocks)); len(text) > limit {
			t.Errorf("%s: %d bytes", name, len(text))
		}
		if !bytes.Equal(text, SVG(p)) {
			t.Errorf("%s: drawn twice it differs", name)
		}
	}
}

func TestTextOfAnyKindCannotLeaveItsElement(t *testing.T) {
	const odd = "<script>alert(1)</script> & \"'\x00\x1b\u202e\xff]]>"
	p := demo(20, 0.01)
	p.Title, p.Description, p.Head, p.Language = odd, odd, []string{odd}, odd
	p.Blocks[0].Title, p.Blocks[0].Panels[0].Curves[0].Label = odd, odd
	text := SVG(p)
	if err := checkSVG(text); err != nil {
		t.Error(err)
	}
	for _, forbidden := range []string{"<script", "\x00", "\x1b", "\u202e"} {
		if bytes.Contains(text, []byte(forbidden)) {
			t.Errorf("%q is in the picture", forbidden)
		}
	}
}

func FuzzAnyNumbersAreDrawn(f *testing.F) {
	f.Add(0.0, 0.01, 1.0, -1.0, 60.0, 100.0, uint8(3))
	f.Add(math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -1e300, math.NaN(), uint8(0))
	f.Add(5.0, -0.01, 1e9, 60.0, -60.0, 0.0, uint8(200))
	f.Add(1e9, 1e-9, 1e-300, 1e9, 1e9, 2000.0, uint8(9))
	f.Add(-1.0, 1e9, 3.0, 0.0, 1e-12, 41.0, uint8(50))
	f.Fuzz(func(t *testing.T, start, step, value, from, to, height float64, n uint8) {
		values := make([]float64, n)
		for i := range values {
			values[i] = value * float64(i%5)
		}
		p := Picture{Title: "fuzz", Blocks: []Block{{FromS: from, ToS: to, TimeTitle: "s", Panels: []Panel{{
			Title: "one", Height: height, Empty: "nothing",
			Curves: []Curve{
				{Role: Role(n) - 1, Label: "line", StartS: start, StepS: step, Values: values, TailS: value, TailLabel: "tail"},
				{Role: Recorded, Label: "recorded", StartS: from, StepS: to, Values: values, FromS: start, ToS: to},
			},
			Marks: []Mark{{start, "mark"}, {from, "mark"}, {value, "mark"}}, Spans: []Span{{from, to, "span", Model}, {start, value, "span", Model}},
			Levels: []Level{{value, "level"}},
		}}}}}
		if err := checkSVG(SVG(p)); err != nil {
			t.Error(err)
		}
		if err := checkLabels(draw(p)); err != nil {
			t.Error(err)
		}
		if _, err := PNG(p, 1); err != nil {
			t.Error(err)
		}
	})
}
