package main

import (
	"fmt"
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// choice is the value of a flag that takes one of a few words.
type choice struct {
	value   string
	allowed []string
}

func newChoice(value string, allowed ...string) choice {
	return choice{value: value, allowed: allowed}
}

func (c *choice) is(word string) bool { return c.value == word }

// Set, String and Type make it a value of a flag.

func (c *choice) Set(word string) error {
	if !slices.Contains(c.allowed, word) {
		if near, ok := source.Nearest(word, c.allowed); ok {
			return fmt.Errorf("%s is given; did you mean %s? %s is wanted", finding.Quote(word), finding.Quote(near), oneOf(c.allowed))
		}
		return fmt.Errorf("%s is given; %s is wanted", finding.Quote(word), oneOf(c.allowed))
	}
	c.value = word
	return nil
}

func (c *choice) String() string { return c.value }

func (c *choice) Type() string { return strings.Join(c.allowed, "|") }

// oneOf lists words in a sentence.
func oneOf(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
