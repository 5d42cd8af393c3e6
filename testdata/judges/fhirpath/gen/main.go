// Command gen takes the invariants of FHIR R4 out of the official StructureDefinitions,
// as they lie in the Maven package hapi-fhir-validation-resources-r4, and writes them as
// JSON for judge.mjs.
//
//	go run ./testdata/judges/fhirpath/gen PACKAGE.jar FILE
package main

import (
	"archive/zip"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"os"
	"path"
	"strings"
)

func main() {
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "usage: gen PACKAGE.jar FILE")
		os.Exit(2)
	}
	if err := write(os.Args[1], os.Args[2]); err != nil {
		fmt.Fprintln(os.Stderr, "gen:", err)
		os.Exit(1)
	}
}

const folder = "org/hl7/fhir/r4/model/profile/"

// value is an XML element of FHIR with a primitive value.
type value struct {
	Value string `xml:"value,attr"`
}

// definition is a StructureDefinition, as far as it is needed.
type definition struct {
	ID         value     `xml:"id"`
	Derivation value     `xml:"derivation"`
	Elements   []element `xml:"snapshot>element"`
}

type element struct {
	Path             value `xml:"path"`
	ContentReference value `xml:"contentReference"`
	Types            []struct {
		Code    value `xml:"code"`
		Profile value `xml:"profile"`
	} `xml:"type"`
	Constraints []struct {
		Key        value `xml:"key"`
		Severity   value `xml:"severity"`
		Expression value `xml:"expression"`
	} `xml:"constraint"`
}

// quantities are the kinds of Quantity that elements of the standard ask for; a profile
// of its own each, with one more invariant.
var quantities = map[string]bool{"SimpleQuantity": true, "MoneyQuantity": true}

// written is one element as judge.mjs reads it.
type written struct {
	Types       []string     `json:"types,omitempty"`
	Like        string       `json:"like,omitempty"` // the path whose children it has
	Constraints []constraint `json:"constraints,omitempty"`
}

type constraint struct {
	Key        string `json:"key"`
	Severity   string `json:"severity"`
	Expression string `json:"expression"`
}

func write(jar, file string) error {
	packed, err := zip.OpenReader(jar)
	if err != nil {
		return err
	}
	defer packed.Close()
	all := map[string]written{} // by path
	for _, name := range []string{"profiles-types.xml", "profiles-resources.xml"} {
		in, err := packed.Open(folder + name)
		if err != nil {
			return err
		}
		var bundle struct {
			Definitions []definition `xml:"entry>resource>StructureDefinition"`
		}
		if err := xml.NewDecoder(in).Decode(&bundle); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		for _, d := range bundle.Definitions {
			if d.Derivation.Value != "constraint" || quantities[d.ID.Value] {
				gather(all, d)
			}
		}
	}
	if len(all["Observation"].Constraints) == 0 {
		return fmt.Errorf("%s: no constraints of Observation", jar)
	}
	text, err := json.Marshal(all)
	if err != nil {
		return err
	}
	return os.WriteFile(file, text, 0o644)
}

func gather(all map[string]written, d definition) {
	for _, e := range d.Elements {
		w := written{Like: strings.TrimPrefix(e.ContentReference.Value, "#")}
		for _, t := range e.Types {
			name := strings.TrimPrefix(t.Code.Value, "http://hl7.org/fhirpath/System.")
			if profile := path.Base(t.Profile.Value); quantities[profile] {
				name = profile
			}
			w.Types = append(w.Types, name)
		}
		for _, c := range e.Constraints {
			w.Constraints = append(w.Constraints, constraint{c.Key.Value, c.Severity.Value, c.Expression.Value})
		}
		at := e.Path.Value
		if quantities[d.ID.Value] {
			at = d.ID.Value + strings.TrimPrefix(at, "Quantity")
		}
		all[at] = w
	}
}
