package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

const (
	pagePath = "internal/audit/EVIDENCE.md"
	left     = "build/judges/" // what the judges left

	engineOnExamples        = left + "reference/examples.tsv"
	engineOnMutations       = left + "reference/mutations.tsv"
	unmarshallerOnMutations = left + "protos/mutations.tsv"
	packageCounts           = left + "reference/examples-counts.tsv"
	mutationIndex           = left + "mutations/index.tsv"

	timesBegin = "<!-- times: they differ in each run -->\n"
	timesEnd   = "<!-- end of times -->\n"
)

// section is one part of the page.
type section struct {
	title string
	write func(*strings.Builder) error
}

var sections = []section{
	{"What was judged", covered},
	{"The reference engine over what we write", engine},
	{"The reference engine over the guide and the national profiles", guides},
	{"google/fhir/go", unmarshaller},
	{"The official invariants by fhirpath.js", invariants},
	{"Units by ucum-lhc", units},
	{"Official examples: the audit beside the engine", examples},
	{"Mutations: who catches what", mutations},
	{"What is not claimed", notClaimed},
	{"Times", times},
}

const introduction = `# Evidence

What outside judges say of the bundles that saltmark writes, and of what its audit says of
others. ` + "`make conformance`" + ` makes this page (testdata/judges); do not edit it. All bundles are
invented. A judge that finds what no list has, and a line of a list that nothing needs, is
red. The page is the same in every run but for the times at its end; CI compares it.

`

// page writes the page, or compares it.
func page(check bool) error {
	var out strings.Builder
	out.WriteString(introduction)
	for _, s := range sections {
		fmt.Fprintf(&out, "## %s\n\n", s.title)
		if err := s.write(&out); err != nil {
			return err
		}
	}
	text := []byte(strings.TrimRight(out.String(), "\n") + "\n")
	if !check {
		return os.WriteFile(pagePath, text, 0o644)
	}
	kept, err := os.ReadFile(pagePath)
	if err != nil {
		return err
	}
	if line := firstDifference(lasting(kept), lasting(text)); line != "" {
		return fmt.Errorf("%s is not what the judges say now; make conformance writes it. First difference: %s", pagePath, line)
	}
	return nil
}

// lasting is the page without its block of times.
func lasting(text []byte) []byte {
	before, rest, _ := bytes.Cut(text, []byte(timesBegin))
	_, after, _ := bytes.Cut(rest, []byte(timesEnd))
	return append(bytes.Clone(before), after...)
}

func firstDifference(kept, now []byte) string {
	a, b := strings.Split(string(kept), "\n"), strings.Split(string(now), "\n")
	for i := range max(len(a), len(b)) {
		switch {
		case i >= len(a):
			return "+ " + b[i]
		case i >= len(b):
			return "- " + a[i]
		case a[i] != b[i]:
			return "- " + a[i] + " + " + b[i]
		}
	}
	return ""
}

// times copies what the judges say of their time.
func times(out *strings.Builder) error {
	files, err := filepath.Glob(left + "*/times.txt")
	if err != nil || len(files) == 0 {
		return fmt.Errorf("no times in %s, %v", left, err)
	}
	out.WriteString(timesBegin + "\n")
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		for line := range strings.Lines(string(text)) {
			fmt.Fprintf(out, "- %s: %s\n", filepath.Base(filepath.Dir(file)), strings.TrimSpace(line))
		}
	}
	out.WriteString("\n" + timesEnd)
	return nil
}
