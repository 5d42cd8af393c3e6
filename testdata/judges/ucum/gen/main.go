// Command gen writes what internal/ucum says of many codes, as a table for judge.mjs:
// the units of the table of measures and of every golden, every unit of the UCUM table
// alone, the validation cases of the UCUM community, and the list of codes.txt.
//
//	go run ./testdata/judges/ucum/gen FILE
package main

import (
	"bufio"
	"encoding/xml"
	"fmt"
	"io"
	"math/big"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: gen FILE")
		os.Exit(2)
	}
	if err := write(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "gen:", err)
		os.Exit(1)
	}
}

// source gives codes.
type source struct {
	name  string
	codes func() ([]string, error)
}

var sources = []source{
	{"written", written},
	{"table", tableUnits},
	{"community", communityCases},
	{"list", listed},
}

func write(file string) error {
	var text strings.Builder
	text.WriteString("source\tcode\tvalid\tkind\tdimension\tfactor\tbase\n")
	seen := map[string]bool{}
	for _, s := range sources {
		codes, err := s.codes()
		if err != nil {
			return fmt.Errorf("%s: %w", s.name, err)
		}
		for _, code := range codes {
			if !seen[code] {
				seen[code] = true
				fmt.Fprintf(&text, "%s\t%s\t%s\n", s.name, code, said(code))
			}
		}
	}
	return os.WriteFile(file, []byte(text.String()), 0o644)
}

// said is what the program says of a code.
func said(code string) string {
	u, err := ucum.Parse(code)
	if err != nil {
		return "no\t\t\t\t"
	}
	base := baseUnit(u.Dimension().String())
	return strings.Join([]string{"yes", u.Kind().String(), u.Dimension().String(), exact(u.Factor()), base}, "\t")
}

func exact(x *big.Rat) string { return new(big.Float).SetPrec(200).SetRat(x).Text('g', 25) }

// bases are the base units of UCUM by the letters of their dimensions.
var bases = strings.NewReplacer("L", "m", "T", "s", "M", "g", "A", "rad", "C", "K", "Q", "C", "F", "cd")

func baseUnit(dimension string) string {
	return bases.Replace(strings.TrimPrefix(dimension, "arbitrary."))
}

// code of a quantity in UCUM, as this program writes it.
var unitCode = regexp.MustCompile(`"system": ?"http://unitsofmeasure.org",\s*"code": ?"([^"]+)"`)

// written gives the units of the table of measures, and those in the goldens.
func written() ([]string, error) {
	var codes []string
	for _, m := range measure.All() {
		if m.Unit != "" {
			codes = append(codes, m.Unit)
		}
	}
	for _, pattern := range []string{"testdata/national/*.json", "testdata/bundles/*.json", "testdata/bundles/*/*.json", "testdata/forms/*.*json"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			return nil, fmt.Errorf("%s: no files, %v", pattern, err)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				return nil, err
			}
			for _, found := range unitCode.FindAllSubmatch(text, -1) {
				codes = append(codes, string(found[1]))
			}
		}
	}
	return codes, nil
}

// tableUnits gives the code of every unit of the UCUM table, alone.
func tableUnits() ([]string, error) {
	var table struct {
		Base []struct {
			Code string `xml:"Code,attr"`
		} `xml:"base-unit"`
		Units []struct {
			Code string `xml:"Code,attr"`
		} `xml:"unit"`
	}
	if err := readXML("internal/ucum/ucum-essence.xml", &table); err != nil {
		return nil, err
	}
	var codes []string
	for _, u := range append(table.Base, table.Units...) {
		codes = append(codes, u.Code)
	}
	return codes, nil
}

// communityCases gives the codes of the validation cases of the UCUM community.
func communityCases() ([]string, error) {
	var table struct {
		Cases []struct {
			Unit string `xml:"unit,attr"`
		} `xml:"validation>case"`
	}
	if err := readXML("internal/ucum/testdata/UcumFunctionalTests.xml", &table); err != nil {
		return nil, err
	}
	var codes []string
	for _, c := range table.Cases {
		codes = append(codes, c.Unit)
	}
	return codes, nil
}

func readXML(file string, into any) error {
	in, err := os.Open(file)
	if err != nil {
		return err
	}
	defer in.Close()
	d := xml.NewDecoder(in)
	d.CharsetReader = func(_ string, in io.Reader) (io.Reader, error) { return in, nil } // ASCII is UTF-8
	return d.Decode(into)
}

// listed gives the lines of codes.txt; one that begins with # is a comment.
func listed() ([]string, error) {
	file, err := os.Open("testdata/judges/ucum/codes.txt")
	if err != nil {
		return nil, err
	}
	defer file.Close()
	var codes []string
	lines := bufio.NewScanner(file)
	for lines.Scan() {
		if line := lines.Text(); line != "" && !strings.HasPrefix(line, "# ") {
			codes = append(codes, line)
		}
	}
	return codes, lines.Err()
}
