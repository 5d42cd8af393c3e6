package main

import (
	"fmt"
	"regexp"
	"strings"
)

// told is what the engine said of a file: one row for each error or warning.
type told struct{ severity, id, place, text string }

// readTold reads what the engine said, by file; of lines (.ndjson) by their file.
func readTold(path string) (map[string][]told, error) {
	rows, err := readTable(path, 5)
	if err != nil {
		return nil, err
	}
	all := map[string][]told{}
	for _, row := range rows {
		name, _, _ := strings.Cut(row[0], " line ")
		if row[1] == "none" {
			row = []string{name, "", "", "", ""}
		}
		said := all[name]
		if row[1] != "" {
			said = append(said, told{row[1], row[2], row[3], row[4]})
		}
		all[name] = said
	}
	return all, nil
}

func errorsOf(said []told) []told {
	var list []told
	for _, t := range said {
		if t.severity == "error" {
			list = append(list, t)
		}
	}
	return list
}

// judgement is a line of a list of disagreements over official examples.
type judgement struct {
	who     string // audit or engine: who accuses
	file    *regexp.Regexp
	message *regexp.Regexp // rule of the audit, or message id and text of the engine
	right   string
	why     string
	files   map[string]bool
}

const judgementsFile = "testdata/judges/reference/examples.tsv"

func readJudgements() ([]*judgement, error) {
	rows, err := readTable(judgementsFile, 5)
	if err != nil {
		return nil, err
	}
	var all []*judgement
	for _, row := range rows {
		file, err := regexp.Compile("^(?:" + row[1] + ")$")
		if err != nil {
			return nil, fmt.Errorf("%s: %w", judgementsFile, err)
		}
		message, err := regexp.Compile(row[2])
		if err != nil {
			return nil, fmt.Errorf("%s: %w", judgementsFile, err)
		}
		all = append(all, &judgement{row[0], file, message, row[3], row[4], map[string]bool{}})
	}
	return all, nil
}

// settled marks the judgement on what one of the two said alone; false where there is
// none.
func settled(all []*judgement, who, file, message string) bool {
	for _, j := range all {
		if j.who == who && j.file.MatchString(file) && j.message.MatchString(message) {
			j.files[file] = true
			return true
		}
	}
	return false
}
