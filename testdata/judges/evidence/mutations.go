package main

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// caught counts the mutations meant for a rule, and who caught them.
type caught struct{ all, engine, unmarshaller int }

// mutations tells who catches the mutations of the audit's tests. The audit catches each,
// by the rule meant for it: its tests fail otherwise.
func mutations(out *strings.Builder) error {
	index, err := readTable(mutationIndex, 5)
	if err != nil {
		return err
	}
	index = index[1:] // its head
	engine, err := readTold(engineOnMutations)
	if err != nil {
		return err
	}
	refused, err := readRefused(unmarshallerOnMutations)
	if err != nil {
		return err
	}
	byRule, total := map[string]*caught{}, caught{}
	for _, row := range index {
		file, good, rule := row[0], row[1], row[2]
		said, judged := engine[file]
		if !judged {
			return fmt.Errorf("mutations: %s was not given to the engine", file)
		}
		if byRule[rule] == nil {
			byRule[rule] = &caught{}
		}
		for _, c := range []*caught{byRule[rule], &total} {
			c.all++
			if saysMore(said, engine[good]) {
				c.engine++
			}
			if refused[file] && !refused[good] {
				c.unmarshaller++
			}
		}
	}
	fmt.Fprintf(out, "%d changes of good documents, ours and of others, one each, and the rule of the audit that is meant for it. The audit catches all %d, each by that rule (its tests switch the rule off and want its finding to disappear); the reference engine says an error or a warning more of %d, google/fhir/go refuses %d. What only the audit catches is what follows from meaning: labels, arithmetic, statuses, units of a measure, words.\n\n",
		total.all, total.all, total.engine, total.unmarshaller)
	var rows [][]string
	for _, rule := range slices.Sorted(maps.Keys(byRule)) {
		c := byRule[rule]
		rows = append(rows, []string{rule, fmt.Sprint(c.all), fmt.Sprint(c.engine), fmt.Sprint(c.unmarshaller)})
	}
	mark(out, []string{"rule of the audit", "mutations", "caught by the engine", "by google/fhir/go"}, rows)
	return nil
}

// saysMore tells whether the engine says something that it does not say of the good
// document.
func saysMore(said, good []told) bool {
	return slices.ContainsFunc(said, func(t told) bool {
		return !slices.ContainsFunc(good, func(g told) bool { return t.id == g.id && t.text == g.text })
	})
}

// readRefused reads which files the unmarshaller refused; one of lines, where it refused
// one of them.
func readRefused(path string) (map[string]bool, error) {
	rows, err := readTable(path, 2)
	refused := map[string]bool{}
	for _, row := range rows {
		name, _, _ := strings.Cut(row[0], " line ")
		refused[name] = refused[name] || row[1] != ""
	}
	return refused, err
}
