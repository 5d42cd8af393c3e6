package main

import (
	"fmt"
	"os"
	"strings"
)

// nationalVersions are the folders of testdata/judges/reference/profiles.
var nationalVersions = []string{"isik-4.0.0", "isik-5"}

// covered tells which rows of the table of flow labels were met in which status and way.
func covered(out *strings.Builder) error {
	text, err := os.ReadFile(left + "cover.tsv")
	if err != nil {
		return err
	}
	var head []string
	var rows [][]string
	for line := range strings.Lines(string(text)) {
		cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		switch cells[0] {
		case "row":
			head = cells
		case "cells", "levels":
			fmt.Fprintf(out, "%s: %s.\n\n", cells[0], cells[1])
		case "cannot be":
			fmt.Fprintf(out, "%s cells there cannot be: %s.\n\n", cells[1], cells[2])
		default:
			rows = append(rows, cells)
		}
	}
	out.WriteString("Beside every golden of testdata/bundles and testdata/forms: sessions made from the table of flow labels (testdata/judges/cover), each row of it and each rule beside it in each status of the report and each way of writing. Counted from what was read back of what was written: the number of bundles in each.\n\n")
	mark(out, head, rows)
	return nil
}

// engine tells what the reference engine says of our own.
func engine(out *strings.Builder) error {
	c, err := readCounts(left + "reference/counts.tsv")
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "org.hl7.fhir.validation in ca.uhn.hapi.fhir %s, offline, at its strictest (testdata/judges/reference): %s bundles, and %s lines judged alone. Unresolved references, unknown codes and wrong displays count as errors; our code systems, extensions and a LOINC fragment made from the tables are loaded.\n\n",
		c.of["engine"], c.of["bundles"], c.of["lines"])
	var errors, warnings int
	for _, name := range c.names {
		var n int
		fmt.Sscan(c.of[name], &n)
		switch {
		case strings.HasPrefix(name, "error "):
			errors += n
		case strings.HasPrefix(name, "warning "):
			warnings += n
		}
	}
	fmt.Fprintf(out, "Errors: %d. Warnings that are not listed: %d. Of %s faults put into bundles on purpose (faults.tsv: an unknown LOINC code, a wrong display, a reference that leads nowhere and others) all are named; %s passed, %s failed.\n\n",
		errors, warnings, c.of["faults"], c.of["passed"], c.of["failed"])
	return listOf(out, "testdata/judges/reference/expected.txt", " | ", []string{"warning", "text", "reason"})
}

// guides tells what the reference engine says of the guide itself, and of bundles that
// claim the national profiles.
func guides(out *strings.Builder) error {
	c, err := readCounts(left + "reference/guide-counts.tsv")
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "The guide that `saltmark guide` writes, its resources and examples each judged alone: %s passed, %s failed. What may stand, with its reason; the page qa.md of the guide has every message:\n\n", c.of["passed"], c.of["failed"])
	if err := listOf(out, "internal/guide/qa.txt", " | ", []string{"message", "text", "reason"}); err != nil {
		return err
	}
	for _, version := range nationalVersions {
		c, err := readCounts(left + "reference/" + version + "-counts.tsv")
		if err != nil {
			return err
		}
		fmt.Fprintf(out, "National profiles, %s: %s bundles that claim them, and %s with one fault each: %s passed, %s failed.\n\n",
			version, c.of["bundles"], c.of["faults"], c.of["passed"], c.of["failed"])
	}
	return nil
}

// unmarshaller tells what google/fhir/go refuses of our own.
func unmarshaller(out *strings.Builder) error {
	c, err := readCounts(left + "protos/counts.tsv")
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "github.com/google/fhir/go v0.7.4, jsonformat with validation: %s bundles and lines, %s read, %s refused for a reason that is listed.\n\n", c.of["texts"], c.of["read"], c.of["listed"])
	return listOf(out, "testdata/judges/protos/disagreements.tsv", "\t", []string{"refusal", "who is right", "why"})
}

// invariants tells what fhirpath.js finds of the official invariants.
func invariants(out *strings.Builder) error {
	c, err := readCounts(left + "fhirpath/counts.tsv")
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "npm fhirpath 5.2.2; the invariants of every element and type that stands in our bundles, out of the official StructureDefinitions of R4 4.0.1 (as packed in hapi-fhir-validation-resources-r4 8.8.1). %s resources, %s of them distinct; %s evaluations of %s invariants, all true but for those listed.\n\n",
		c.of["resources"], c.of["distinct"], c.of["evaluated"], c.of["invariants"])
	fmt.Fprintf(out, "Met: %s.\n\n", strings.Join(c.names[4:], ", "))
	if err := listOf(out, "testdata/judges/fhirpath/unevaluated.tsv", "\t", []string{"invariant", "what it is", "why"}); err != nil {
		return err
	}
	out.WriteString("The tables of FHIRPath tests of the standard are not run: saltmark evaluates no FHIRPath, it only writes such expressions as places in findings.\n\n")
	return nil
}

// units tells where internal/ucum and ucum-lhc differ.
func units(out *strings.Builder) error {
	c, err := readCounts(left + "ucum/counts.tsv")
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "npm @lhncbc/ucum-lhc 7.1.10. %s codes (%s that we write, %s of the UCUM table alone, %s cases of the UCUM community, %s of a list), %s of them valid and %s not: whether it is a code, its dimension, and the size of %s ordinary units in base units to nine digits. %s differ, each for a reason that is listed. internal/ucum passes all 573 functional tests of the UCUM community but those on names, in its own tests.\n\n",
		c.of["codes"], c.of["from written"], c.of["from table"], c.of["from community"], c.of["from list"], c.of["valid"], c.of["invalid"], c.of["sizes"], c.of["listed"])
	return listOf(out, "testdata/judges/ucum/disagreements.tsv", "\t", []string{"what", "code or ratio", "who is right", "why"})
}

// listOf shows a list of exclusions.
func listOf(out *strings.Builder, path, divider string, head []string) error {
	text, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	var rows [][]string
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSpace(line)
		if line != "" && !strings.HasPrefix(line, "#") {
			cells := strings.Split(line, divider)
			cells[0] = code(cells[0])
			rows = append(rows, cells)
		}
	}
	if len(rows) == 0 {
		out.WriteString("Nothing is excused.\n\n")
		return nil
	}
	mark(out, head, rows)
	return nil
}

const limits = `- No judge knows what a number of this field means: labels, arithmetic and statuses are held by our own
  rules and tests alone.
- The engine runs offline: SNOMED CT is not checked, of LOINC only the codes that we write, of ISO/IEEE
  11073 and DICOM only those of our tables; search parameters, servers and
  what a conditional reference finds are not judged. hl7.fhir.r4.core is not used: the definitions are
  those that the engine brings.
- What agrees here was agreed by these versions on these invented bundles. No patient's data was
  judged, and nobody has certified anything.

`

func notClaimed(out *strings.Builder) error {
	out.WriteString(limits)
	return nil
}
