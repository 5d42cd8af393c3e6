package main

import (
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// The columns at which the words of a list begin.
const (
	commandColumn = 15
	flagColumn    = 26
)

// flagEntry is one flag as the help shows it.
type flagEntry struct {
	short, name string
	value       string // the word that stands for its value, "" where it takes none
	words       string
}

// left is what stands before the words: -q, --quiet.
func (f flagEntry) left() string {
	s := "--" + f.name
	if f.short != "" {
		s = "-" + f.short + ", " + s
	}
	if f.value != "" {
		s += " " + f.value
	}
	return s
}

func flagEntries(flags *pflag.FlagSet) []flagEntry {
	var entries []flagEntry
	flags.VisitAll(func(f *pflag.Flag) {
		if !f.Hidden {
			entries = append(entries, flagEntry{f.Shorthand, f.Name, valueWord(f), wordsOfFlag(f)})
		}
	})
	return entries
}

// valueWord is the word that stands for the value of a flag: what a shell completes it
// with.
func valueWord(f *pflag.Flag) string {
	if _, ok := f.Value.(*choice); ok {
		return "WORD"
	}
	if _, ok := f.Annotations[cobra.BashCompSubdirsInDir]; ok {
		return "FOLDER"
	}
	if _, ok := f.Annotations[cobra.BashCompFilenameExt]; ok {
		return "FILE"
	}
	switch f.Value.Type() {
	case "bool":
		return ""
	case "int", "number":
		return "N"
	}
	return "TEXT"
}

// wordsOfFlag tells what a flag is for, which words it takes and which one it has.
func wordsOfFlag(f *pflag.Flag) string {
	s, standard, told := strings.Cut(f.Usage, " (default")
	if c, ok := f.Value.(*choice); ok {
		s += ": " + oneOf(c.allowed)
	}
	switch {
	case told:
		s += " (default" + standard
	case f.DefValue != "" && f.DefValue != "false":
		s += " (default " + f.DefValue + ")"
	}
	return s
}

// writeEntry writes a name and its words, which begin at a column and go on there in
// the next lines.
func writeEntry(b *strings.Builder, name, words string, column int) {
	b.WriteString("  " + name)
	indent := strings.Repeat(" ", column)
	text := wrapped(words, textWidth()-column)
	switch gap := column - 2 - utf8.RuneCountInString(name); {
	case gap < 2:
		b.WriteString("\n" + indent)
	default:
		b.WriteString(strings.Repeat(" ", gap))
	}
	b.WriteString(strings.ReplaceAll(text, "\n", "\n"+indent) + "\n")
}

// wrapped breaks paragraphs into lines of a width. One that is laid out by hand is kept.
func wrapped(text string, width int) string {
	var paragraphs []string
	for paragraph := range strings.SplitSeq(text, "\n\n") {
		if laidOut(paragraph) {
			paragraphs = append(paragraphs, strings.ReplaceAll(paragraph, "\t", "  "))
			continue
		}
		var lines []string
		line := ""
		for _, word := range strings.Fields(paragraph) {
			switch {
			case line == "":
				line = word
			case utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width:
				lines, line = append(lines, line), word
			default:
				line += " " + word
			}
		}
		paragraphs = append(paragraphs, strings.Join(append(lines, line), "\n"))
	}
	return strings.Join(paragraphs, "\n\n")
}

// laidOut tells whether the lines of a paragraph are laid out by hand.
func laidOut(paragraph string) bool {
	return strings.HasPrefix(paragraph, " ") || strings.HasPrefix(paragraph, "\t") || strings.Contains(paragraph, "\n ")
}
