package report

import (
	"fmt"
	"io"
	"slices"

	"saltmark/internal/finding"
)

// Writer writes findings as they come, in the order given; it holds none back, so
// that a million of them need no memory. It is for one goroutine at a time.
type Writer struct {
	to      io.Writer
	shape   shape
	options Options
	count   int
	worst   finding.Severity
	alike   map[note]int
	omitted int
	err     error
}

// NewWriter starts a report. Nothing is written before the first finding or Close.
func NewWriter(to io.Writer, format Format, options Options) (*Writer, error) {
	i := slices.IndexFunc(shapes, func(s shape) bool { return s.format == format })
	if i < 0 {
		return nil, fmt.Errorf("report: no format %q", string(format))
	}
	return &Writer{to: to, shape: shapes[i], options: options}, nil
}

// Add writes findings. After an error nothing more is written and the error stays.
func (w *Writer) Add(findings ...finding.Finding) error {
	for _, f := range findings {
		w.worst = max(w.worst, f.Severity)
		if f.Severity != 0 && f.Severity < w.options.AtLeast {
			continue
		}
		if w.saidOften(f) {
			w.omitted++
			continue
		}
		item, err := w.shape.item(f, w.options)
		if err != nil {
			w.fail(err)
			return w.err
		}
		if w.count == 0 {
			w.put(w.shape.open(w.options))
		} else {
			w.put(w.shape.between)
		}
		w.put(string(item) + w.shape.after)
		w.count++
	}
	return w.err
}

// note is what findings that inform are alike in. Its words are those of a table, so
// that there are few of them.
type note struct {
	rule    string
	allowed finding.Text
}

// mostNotes bounds the memory for them, come what may.
const mostNotes = 1000

// saidOften tells whether a finding only informs, and was said as often as is wanted.
func (w *Writer) saidOften(f finding.Finding) bool {
	if w.options.MostAlike == 0 || f.Severity != finding.Info {
		return false
	}
	key := note{f.Rule, f.Allowed}
	if w.alike == nil {
		w.alike = map[note]int{}
	}
	if _, known := w.alike[key]; known || len(w.alike) < mostNotes {
		w.alike[key]++
	}
	return w.alike[key] > w.options.MostAlike
}

// Omitted tells how many findings were left out by Options.MostAlike.
func (w *Writer) Omitted() int { return w.omitted }

// Close completes the report; a list form without findings is still a whole
// document. It does not close what is written to.
func (w *Writer) Close() error {
	if w.count == 0 {
		w.put(w.shape.empty(w.options))
	} else {
		w.put(w.shape.close)
	}
	return w.err
}

// Worst gives the gravest severity so far, also of what was not written for being
// milder than Options.AtLeast; 0 when there is none.
func (w *Writer) Worst() finding.Severity { return w.worst }

// Count tells how many findings were written.
func (w *Writer) Count() int { return w.count }

func (w *Writer) put(s string) {
	if w.err != nil || s == "" {
		return
	}
	if _, err := io.WriteString(w.to, s); err != nil {
		w.fail(err)
	}
}

func (w *Writer) fail(err error) {
	if w.err == nil {
		w.err = fmt.Errorf("write the findings: %w", err)
	}
}
