package audit

import (
	"strings"
	"time"

	"saltmark/internal/r4"
	"saltmark/internal/shape"
	"saltmark/internal/source"
)

const wholeDate = "2006-01-02"

// periodBackward (per-1): a period does not end before it starts.
func periodBackward(w *walk, _ string, n *source.Node) {
	if backward(r4.Text(n, "start"), r4.Text(n, "end")) {
		w.report("period-backward", n, "the period ends before it starts", "", "start is at or before end")
	}
}

// backward compares two times. A date stands for the whole of its day, month or
// year; beside a moment it may be that of any place, since it has no offset.
func backward(start, end string) bool {
	if !shape.IsDateTime(start) || !shape.IsDateTime(end) {
		return false
	}
	if !strings.Contains(start, "T") && !strings.Contains(end, "T") {
		n := min(len(start), len(end))
		return end[:n] < start[:n]
	}
	from, _ := spanOf(start)
	_, to := spanOf(end)
	return to.Before(from)
}

// spanOf gives the first and the last moment that a time may mean.
func spanOf(s string) (from, to time.Time) {
	if strings.Contains(s, "T") {
		at, _ := time.Parse(time.RFC3339, strings.Replace(s, ":60", ":59", 1))
		return at, at
	}
	from, _ = time.Parse(wholeDate[:len(s)], s)
	switch len(s) {
	case 4:
		to = from.AddDate(1, 0, 0)
	case 7:
		to = from.AddDate(0, 1, 0)
	default:
		to = from.AddDate(0, 0, 1)
	}
	return from.Add(-14 * time.Hour), to.Add(14 * time.Hour)
}
