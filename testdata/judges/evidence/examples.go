package main

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// examples compares what the audit and the engine say of the same official examples.
func examples(out *strings.Builder) error {
	accused, err := accusedExamples()
	if err != nil {
		return err
	}
	if err := everyExample(out, len(accused)); err != nil {
		return err
	}
	said, err := readTold(engineOnExamples)
	if err != nil {
		return err
	}
	judgements, err := readJudgements()
	if err != nil {
		return err
	}
	both, audit, engine, clean := 0, 0, 0, 0
	var open []string
	for _, file := range slices.Sorted(maps.Keys(said)) {
		rules, errors := accused[file], errorsOf(said[file])
		switch {
		case len(rules) > 0 && len(errors) > 0:
			both++
		case len(rules) > 0:
			audit++
		case len(errors) > 0:
			engine++
		default:
			clean++
		}
		for _, rule := range rules {
			if !settled(judgements, "audit", file, rule) {
				open = append(open, fmt.Sprintf("%s: the audit says %s", file, rule))
			}
		}
		for _, t := range errors {
			if !settled(judgements, "engine", file, t.id+": "+t.text) {
				open = append(open, fmt.Sprintf("%s: the engine says %s at %s: %s", file, t.id, t.place, t.text))
			}
		}
	}
	for _, file := range slices.Sorted(maps.Keys(accused)) {
		if _, judged := said[file]; !judged {
			open = append(open, file+" was not given to the engine")
		}
	}
	fmt.Fprintf(out, "%d official examples were given to both: all that the audit calls invalid, the %d types that saltmark writes or audits (below %d kB), and %d of the others. Neither accuses %d; both accuse %d, the audit alone %d, the engine alone %d.\n\n",
		len(said), len(wholeTypes), largest/1000, sampled, clean, both, audit, engine)
	var rows [][]string
	for _, j := range judgements {
		if len(j.files) == 0 {
			open = append(open, fmt.Sprintf("%s: the line %s, %s settles nothing", judgementsFile, j.file, j.message))
		}
		rows = append(rows, []string{j.who, names(j.files), code(j.message.String()), j.right, j.why})
	}
	mark(out, []string{"who says it", "of", "what", "who is right", "why"}, rows)
	return failure("examples", open)
}

// everyExample tells what is held over all official examples, beside those that the engine
// is given.
func everyExample(out *strings.Builder, accused int) error {
	c, err := readCounts(packageCounts)
	if err != nil {
		return err
	}
	opinions, err := readTable("testdata/examples/opinions.tsv", 5)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "All %s examples of npm hl7.fhir.r4.examples 4.0.1 go through the audit's layers of text, shape and base rules (`make examples`, red on what is not listed): no false error; %d break R4, each with the element and the sentence of R4 in testdata/examples/findings.tsv. The official JSON Schema judges them by type beside the shape layer: where the two differ, one of %d reasons of testdata/examples/opinions.tsv fits.\n\n",
		c.of["examples"], accused, len(opinions)-1)
	guides, err := readTable("testdata/examples/guides.tsv", 3)
	if err != nil {
		return err
	}
	said, err := readTable("testdata/examples/guidefindings.tsv", 5)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "So do the examples of %d guides of others (testdata/examples/guides.tsv), none of which was seen when the audit was written: no false error; what is said has %d lines of guidefindings.tsv, each with its reason.\n\n", len(guides), len(said)-1)
	return nil
}

// names lists a few files, or how many there are.
func names(files map[string]bool) string {
	if len(files) > 3 {
		return fmt.Sprintf("%d files", len(files))
	}
	return strings.Join(slices.Sorted(maps.Keys(files)), ", ")
}

func code(text string) string { return "`" + strings.ReplaceAll(text, "`", "'") + "`" }

func failure(what string, open []string) error {
	if len(open) == 0 {
		return nil
	}
	return fmt.Errorf("%s: %d disagreements are in no list:\n%s", what, len(open), strings.Join(open, "\n"))
}
