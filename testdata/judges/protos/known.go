package main

import (
	"fmt"
	"os"
	"regexp"
	"strings"
)

// known are the refusals that may stand.
type known []*line

type line struct {
	pattern *regexp.Regexp
	times   int
}

// readKnown reads lines of three cells divided by tabs: pattern, who is right, why. A
// line with # is a comment.
func readKnown(path string) (known, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	var all known
	for written := range strings.Lines(string(text)) {
		written = strings.TrimSpace(written)
		if written == "" || strings.HasPrefix(written, "#") {
			continue
		}
		cells := strings.Split(written, "\t")
		if len(cells) != 3 {
			return nil, fmt.Errorf("%s: three cells are wanted: %q", path, written)
		}
		pattern, err := regexp.Compile("^(?:" + cells[0] + ")$")
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		all = append(all, &line{pattern: pattern})
	}
	return all, nil
}

func (k known) excuse(message string) bool {
	for _, l := range k {
		if l.pattern.MatchString(message) {
			l.times++
			return true
		}
	}
	return false
}

func (k known) unused() []string {
	var all []string
	for _, l := range k {
		if l.times == 0 {
			all = append(all, l.pattern.String())
		}
	}
	return all
}
