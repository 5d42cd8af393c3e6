package main

import (
	"fmt"
	"os"

	"saltmark/internal/guide"
	"saltmark/internal/source"
)

// codingsFile holds the codings of an invented site under which two goldens are charted.
const codingsFile = "testdata/sites/codings.yaml"

// siteSystems gives the code systems of that site, whole; codings of published systems
// stand in the fragments already.
func siteSystems() ([]node, error) {
	text, err := os.ReadFile(codingsFile)
	if err != nil {
		return nil, err
	}
	doc, found := source.ReadYAML(codingsFile, text, source.SheetLimits())
	if found.HasErrors() {
		return nil, fmt.Errorf("%s: %s", codingsFile, found[0].Text(true))
	}
	var order []string
	concepts := map[string][]node{}
	for _, measure := range doc.Root.Get("codings").Members {
		for _, c := range measure.Value.Items {
			system := c.Get("system").Text
			if isPublished(system) {
				continue
			}
			if concepts[system] == nil {
				order = append(order, system)
			}
			concepts[system] = append(concepts[system], concept(c.Get("code").Text, c.Get("display").Text))
		}
	}
	var systems []node
	for i, system := range order {
		systems = append(systems, codeSystem(fmt.Sprintf("site-%d", i+1), system, "complete", "", concepts[system]))
	}
	return systems, nil
}

func isPublished(system string) bool {
	for _, p := range guide.Published {
		if p.URL == system {
			return true
		}
	}
	return false
}
