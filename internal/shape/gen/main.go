// Gen makes definitions.tsv, codesystems.tsv and extensions.tsv of package shape from the definitions of
// FHIR R4 that the npm package of its examples holds: StructureDefinitions, value sets,
// code systems.
//
//	go run ./internal/shape/gen PACKAGE.tgz            writes them in internal/shape
//	go run ./internal/shape/gen -compare PACKAGE.tgz   compares with them
//
// It needs no network. It stops at whatever it does not know (a kind of type, a filter
// of a value set, a name that is there twice), so that nothing is lost unseen.
package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
)

// outputs are the files that are made.
var outputs = []struct {
	path  string
	write func(in *input, b *bytes.Buffer) error
}{
	{"internal/shape/definitions.tsv", func(in *input, b *bytes.Buffer) error { return in.write(b) }},
	{"internal/shape/codesystems.tsv", (*input).writeSystems},
	{"internal/shape/extensions.tsv", (*input).writeExtensions},
}

func main() {
	compare := flag.Bool("compare", false, "compare with what is there and write nothing")
	flag.Parse()
	if flag.NArg() != 1 {
		fmt.Fprintln(os.Stderr, "usage: go run ./internal/shape/gen [-compare] PACKAGE.tgz")
		os.Exit(2)
	}
	if err := run(flag.Arg(0), *compare); err != nil {
		fmt.Fprintln(os.Stderr, "gen:", err)
		os.Exit(1)
	}
}

func run(path string, compare bool) error {
	in, err := read(path)
	if err != nil {
		return err
	}
	for _, out := range outputs {
		var b bytes.Buffer
		if err := out.write(in, &b); err != nil {
			return err
		}
		if !compare {
			if err := os.WriteFile(out.path, b.Bytes(), 0o644); err != nil {
				return err
			}
			continue
		}
		now, err := os.ReadFile(out.path)
		if err != nil {
			return err
		}
		if !bytes.Equal(now, b.Bytes()) {
			return errors.New(out.path + " is not what the generator makes of this package")
		}
	}
	return nil
}
