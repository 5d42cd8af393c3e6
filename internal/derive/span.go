package derive

import (
	"math/big"
	"strconv"
	"strings"
	"time"

	"saltmark/mapping/record"
)

// span gives a limit of the session as a time span, nil where there is none or none
// that can be counted in nanoseconds. It is read once.
func (w *work) span(limit string) *time.Duration {
	d, known := w.spans[limit]
	if !known {
		d = spanOf(w.get(record.TheSession, limit))
		w.spans[limit] = d
	}
	return d
}

func spanOf(f *record.Fact) *time.Duration {
	x := number(f, "ns")
	if x == nil {
		return nil
	}
	whole := new(big.Int).Quo(x.Num(), x.Denom())
	if !whole.IsInt64() {
		return nil
	}
	d := time.Duration(whole.Int64())
	return &d
}

// distance gives how far two moments lie apart.
func distance(a, b time.Time) time.Duration { return a.Sub(b).Abs() }

// inWords writes a time span exactly to the second: "31 h 5 min". Days are counted
// from two of them up.
func inWords(d time.Duration) string {
	d = d.Round(time.Second)
	var parts []string
	for _, u := range []struct {
		size, from time.Duration
		unit       string
	}{{24 * time.Hour, 48 * time.Hour, "d"}, {time.Hour, time.Hour, "h"}, {time.Minute, time.Minute, "min"}, {time.Second, time.Second, "s"}} {
		if d >= u.from {
			parts = append(parts, strconv.FormatInt(int64(d/u.size), 10)+" "+u.unit)
			d %= u.size
		}
	}
	if len(parts) == 0 {
		return "0 s"
	}
	return strings.Join(parts, " ")
}
