// Command cut makes the JSON Schema that saltmark judges FHIR resources with out
// of the official one, and the page that tells where it came from.
//
// It reads the official R4 JSON Schema (4.0.1) from the gzip in testdata or from
// the file that -official or SALTMARK_OFFICIAL_SCHEMA names, refuses any other
// file by its SHA-256, and writes fhir.schema.cut.json and fhir.schema.cut.md.
// The same input gives the same bytes. It refuses to know what the schema means
// for saltmark: what is checked beyond it stands in package schema.
package main

import (
	"bytes"
	"cmp"
	"compress/gzip"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

func main() {
	official := flag.String("official", cmp.Or(os.Getenv("SALTMARK_OFFICIAL_SCHEMA"), "testdata/fhir.schema.json.gz"),
		"official fhir.schema.json of R4 4.0.1, plain or gzip")
	out := flag.String("out", ".", "folder to write to")
	flag.Parse()
	if err := run(*official, *out); err != nil {
		fmt.Fprintln(os.Stderr, "cut:", err)
		os.Exit(1)
	}
}

func run(official, out string) error {
	text, err := read(official)
	if err != nil {
		return err
	}
	schema, err := Cut(text)
	if err != nil {
		return fmt.Errorf("%s: %w", official, err)
	}
	if err := os.WriteFile(filepath.Join(out, "fhir.schema.cut.json"), schema, 0o644); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(out, "fhir.schema.cut.md"), Page(schema), 0o644)
}

// read gives the bytes of a file, unpacked when it is a gzip.
func read(path string) ([]byte, error) {
	text, err := os.ReadFile(path)
	if err != nil || !bytes.HasPrefix(text, []byte{0x1f, 0x8b}) {
		return text, err
	}
	unpacked, err := gzip.NewReader(bytes.NewReader(text))
	if err != nil {
		return nil, fmt.Errorf("unpacking %s: %w", path, err)
	}
	return io.ReadAll(unpacked)
}
