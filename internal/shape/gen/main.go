// Gen makes definitions.tsv of package shape from the definitions of FHIR R4 that the
// npm package of its examples holds: StructureDefinitions, value sets, code systems.
//
//	go run ./internal/shape/gen PACKAGE.tgz            writes internal/shape/definitions.tsv
//	go run ./internal/shape/gen -compare PACKAGE.tgz   compares with it
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

const written = "internal/shape/definitions.tsv"

func main() {
	compare := flag.Bool("compare", false, "compare with "+written+" and write nothing")
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
	var b bytes.Buffer
	if err := in.write(&b); err != nil {
		return err
	}
	if !compare {
		return os.WriteFile(written, b.Bytes(), 0o644)
	}
	now, err := os.ReadFile(written)
	if err != nil {
		return err
	}
	if !bytes.Equal(now, b.Bytes()) {
		return errors.New(written + " is not what the generator makes of this package")
	}
	return nil
}
