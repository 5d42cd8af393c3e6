package review

import (
	"bufio"
	"fmt"
	"io"
)

// Format is a form in which the mapping is shown.
type Format string

// The formats.
const (
	Text     Format = "text"
	JSON     Format = "json"
	Markdown Format = "markdown"
	// HTML is the page that a committee reviews and signs.
	HTML Format = "html"
)

// writers make each format. The endings are those of files that hold it.
var writers = []struct {
	format  Format
	endings []string
	write   func(Mapping, *page)
}{
	{Text, []string{".txt"}, writeText},
	{JSON, []string{".json"}, writeJSON},
	{Markdown, []string{".md"}, writeMarkdown},
	{HTML, []string{".html", ".htm"}, writeHTML},
}

// Formats gives the names of the formats.
func Formats() []string {
	var names []string
	for _, w := range writers {
		names = append(names, string(w.format))
	}
	return names
}

// FormatOf gives the format of a file with this ending, "" where there is none.
func FormatOf(ending string) Format {
	for _, w := range writers {
		for _, e := range w.endings {
			if e == ending {
				return w.format
			}
		}
	}
	return ""
}

// Write writes the mapping in a format.
func (m Mapping) Write(to io.Writer, format Format) error {
	for _, w := range writers {
		if w.format == format {
			p := &page{to: bufio.NewWriter(to)}
			w.write(m, p)
			if p.err == nil {
				p.err = p.to.Flush()
			}
			return p.err
		}
	}
	return fmt.Errorf("no format %q", format)
}

// page is what is written to. It keeps the first error.
type page struct {
	to  *bufio.Writer
	err error
}

func (p *page) put(format string, values ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.to, format, values...)
	}
}
