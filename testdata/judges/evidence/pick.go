package main

import (
	"cmp"
	"crypto/sha256"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"saltmark/internal/shape/archive"
)

const (
	exampleFaults = "testdata/examples/findings.tsv"

	// largest is the size of an example, in bytes, above which the engine takes minutes.
	largest = 400_000
	// sampled is how many examples of other types the engine is given besides.
	sampled = 300
)

// wholeTypes are given whole: those that saltmark writes or audits closely.
var wholeTypes = []string{
	"Bundle", "Composition", "Device", "DiagnosticReport", "Encounter", "Observation",
	"OperationOutcome", "Patient", "Practitioner", "Procedure", "Provenance",
}

// pick unpacks the official examples that the engine is given: all that our audit calls
// invalid, the types above, and of the others as many as are sampled.
func pick(packed, folder string) error {
	texts, err := unpack(packed)
	if err != nil {
		return err
	}
	accused, err := accusedExamples()
	if err != nil {
		return err
	}
	chosen := map[string]bool{}
	var others []string
	for _, name := range slices.Sorted(maps.Keys(texts)) {
		kind, _, _ := strings.Cut(name, "-")
		switch {
		case len(texts[name]) > largest && accused[name] == nil:
		case accused[name] != nil, slices.Contains(wholeTypes, kind):
			chosen[name] = true
		default:
			others = append(others, name)
		}
	}
	slices.SortFunc(others, func(a, b string) int { return cmp.Compare(drawn(a), drawn(b)) })
	for _, name := range others[:min(sampled, len(others))] {
		chosen[name] = true
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	for name := range chosen {
		if err := os.WriteFile(filepath.Join(folder, name), texts[name], 0o644); err != nil {
			return err
		}
	}
	return os.WriteFile(packageCounts, fmt.Appendf(nil, "examples\t%d\n", len(texts)), 0o644)
}

// drawn orders names as if by lot, and each the same way whatever other names there are:
// where the audit calls one example more invalid, the sample changes by one.
func drawn(name string) string {
	sum := sha256.Sum256([]byte(name))
	return string(sum[:])
}

// accusedExamples gives the rules that our audit says of official examples, by file.
func accusedExamples() (map[string][]string, error) {
	rows, err := readTable(exampleFaults, 5)
	if err != nil {
		return nil, err
	}
	accused := map[string][]string{}
	for _, row := range rows[1:] {
		accused[row[0]] = append(accused[row[0]], row[1])
	}
	return accused, nil
}

// unpack gives the resources of a package of npm by their names.
func unpack(file string) (map[string][]byte, error) {
	texts := map[string][]byte{}
	return texts, archive.Each(file, func(name string, text []byte) error {
		if archive.IsResource(name) {
			texts[name] = text
		}
		return nil
	})
}
