package main

import (
	"fmt"
	"os"
	"strings"
)

// readTable reads lines of cells divided by tabs; one that begins with # is a comment.
func readTable(path string, cells int) ([][]string, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	var rows [][]string
	for line := range strings.Lines(string(text)) {
		line = strings.TrimSuffix(line, "\n")
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		row := strings.Split(line, "\t")
		if len(row) != cells {
			return nil, fmt.Errorf("%s: %d cells are wanted: %q", path, cells, line)
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// counts are figures by name, in the order in which a judge wrote them.
type counts struct {
	names []string
	of    map[string]string
}

func readCounts(path string) (counts, error) {
	rows, err := readTable(path, 2)
	c := counts{of: map[string]string{}}
	for _, row := range rows {
		c.names = append(c.names, row[0])
		c.of[row[0]] = row[1]
	}
	return c, err
}

// mark writes a table in Markdown.
func mark(out *strings.Builder, head []string, rows [][]string) {
	line := func(cells []string) {
		out.WriteString("|")
		for _, c := range cells {
			out.WriteString(" " + strings.ReplaceAll(c, "|", "\\|") + " |")
		}
		out.WriteString("\n")
	}
	line(head)
	out.WriteString(strings.Repeat("|---", len(head)) + "|\n")
	for _, row := range rows {
		line(row)
	}
	out.WriteString("\n")
}
