// Command gen writes what the reference engine must know besides the standard and our
// guide, as FHIR resources, one a file: fragments of the published code systems in use, with
// their displays, from internal/terms, and the code systems of an invented site from
// testdata/sites. Our own codes, profiles and extensions are in the package that
// `saltmark guide` writes; an extension that is not defined there is an error of the engine.
//
//	go run ./testdata/judges/reference/gen FOLDER
package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: gen FOLDER")
		os.Exit(2)
	}
	if err := write(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "gen:", err)
		os.Exit(1)
	}
}

// node is a JSON object; its members are written in alphabetical order.
type node = map[string]any

func write(folder string) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	sites, err := siteSystems()
	if err != nil {
		return err
	}
	for _, resource := range slices.Concat(fragments(), sites) {
		text, err := json.MarshalIndent(resource, "", " ")
		if err != nil {
			return err
		}
		name := fmt.Sprintf("%s-%s.json", resource["resourceType"], resource["id"])
		if err := os.WriteFile(filepath.Join(folder, name), append(text, '\n'), 0o644); err != nil {
			return err
		}
	}
	return nil
}
