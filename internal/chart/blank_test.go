package chart_test

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"saltmark/internal/chart"
	"saltmark/internal/sheet"
	"saltmark/internal/site"
	"saltmark/mapping"
)

// bedside are invented values for the keys of an empty sheet, by their name and, at
// injections, by the number.
var bedside = map[string]string{
	"id": "demo-2031-0900", "test": `"yes"`, "start": "2031-05-04T10:10:00+02:00", "end": "2031-05-04T10:50:00+02:00",
	"patient": "DEMO-P-0900", "identifier": "DEMO-P-0900", "operator": "demo-person-7",
	"value": "3.40 kg", "loop": "set-a", "set": "set-a",
	"arterial": "femoral-artery", "venous": "femoral-vein",
	"volume": "2.5 mL", "blood-flow": "0.702 L/min",
	"seen": "2031-05-04T08:50:00+02:00", "state": "closed",
	"atrial": "closed", "ventricular": "closed", "ductal": "closed", "aortopulmonary": "closed",
}

// emptyKey is a key in use with nothing behind it, and the line after it.
var emptyKey = regexp.MustCompile(`^( *(?:- )?)([a-z-]+):$`)

// filled fills an empty sheet in, but for the key of that turn among those that want
// a value (-1: all), and tells how many want one and on which line the empty one is.
func filled(t *testing.T, o sheet.BlankOptions, but int) (text string, wanting, line int) {
	t.Helper()
	empty, err := sheet.Blank(o)
	if err != nil {
		t.Fatal(err)
	}
	label := regexp.MustCompile(`(?m)^  id:$`)
	lines := strings.Split(label.ReplaceAllString(string(empty), "  id:\n  test:"), "\n")
	above, injection := "", 0
	for i, l := range lines {
		if strings.Contains(l, "- number: ") {
			injection++
		}
		m := emptyKey.FindStringSubmatch(l)
		if m == nil {
			continue
		}
		indented, name := len(m[1]), m[2]
		if holdsOthers(lines[i+1:], indented) {
			above = name
			continue
		}
		value, ok := bedside[name]
		switch {
		case name == "at" && injection > 0:
			value = fmt.Sprintf("10:%02d", 10+5*injection)
		case name == "at":
			value = "2031-05-04T07:30:00+02:00"
		case name == "vessel":
			value = bedside[above]
		case !ok:
			t.Fatalf("no value for %s", name)
		}
		if wanting == but {
			line = i + 1
		} else {
			lines[i] += " " + value
		}
		wanting++
	}
	return strings.Join(lines, "\n"), wanting, line
}

// holdsOthers tells whether the next key in use lies deeper.
func holdsOthers(after []string, indented int) bool {
	for _, l := range after {
		if words := strings.TrimLeft(l, " "); words != "" && words[0] != '#' {
			return len(l)-len(words) > indented
		}
	}
	return false
}

func chartText(text string) chart.Result {
	return chart.Sheet("bedside.yaml", []byte(text), chart.Options{Site: site.Demo(), Software: mapping.Software{Name: "saltmark", Version: "test"}})
}

func TestAnEmptySheetThatIsFilledInCharts(t *testing.T) {
	for n := 1; n <= 3; n++ {
		for _, short := range []bool{false, true} {
			text, _, _ := filled(t, sheet.BlankOptions{Injections: n, Short: short}, -1)
			r := chartText(text)
			if r.Bundle == nil || r.Findings.HasErrors() {
				t.Errorf("%d injections, short %v: %v\n%s", n, short, r.Findings, text)
			}
		}
	}
}

// An empty sheet never charts by accident: neither as it is nor with any one value
// missing, and the finding stands at that value's line.
func TestAnEmptySheetThatLacksAValueIsNotCharted(t *testing.T) {
	for _, short := range []bool{false, true} {
		o := sheet.BlankOptions{Injections: 2, Short: short}
		untouched, err := sheet.Blank(o)
		if err != nil {
			t.Fatal(err)
		}
		if r := chartText(string(untouched)); r.Bundle != nil || !r.Findings.HasErrors() {
			t.Errorf("short %v: the untouched sheet charts", short)
		}
		_, wanting, _ := filled(t, o, -1)
		if wanting < 15 {
			t.Fatalf("short %v: %d keys want a value", short, wanting)
		}
		for but := range wanting {
			text, _, line := filled(t, o, but)
			r := chartText(text)
			at := 0
			for _, f := range r.Findings {
				if f.Place.Line == line {
					at++
				}
			}
			if r.Bundle != nil || at != 1 {
				t.Errorf("short %v, without the value of line %d: %v", short, line, r.Findings)
			}
		}
	}
}
