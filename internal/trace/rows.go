package trace

import (
	"bytes"
	"errors"
	"strconv"
	"strings"
	"unicode/utf8"

	"saltmark/internal/finding"
)

// timeLimit bounds the size of a time, in ns.
const timeLimit = 1_000_000_000_000_000

const numberAllowed finding.Text = "a decimal with a point, such as -0.0125, is wanted, or nothing for a missing sample"

// readRows reads what follows the header and tells whether series can be made of
// it.
func (r *reader) readRows() bool {
	r.firstRow = r.line + 1
	r.timeUnit = 1_000_000_000_000
	r.makeRoom()
	for r.faults < maxFaults {
		line, ok := r.next()
		if !ok {
			break
		}
		if len(r.times) == MaxSamples {
			r.fault(finding.New("trace-length", r.place(0), "the file has more than {} rows", strconv.Itoa(MaxSamples), "a shorter recording or longer steps are wanted"))
			break
		}
		if len(line) == 0 {
			r.emptyLine()
			continue
		}
		r.readRow(line)
	}
	if r.faults >= maxFaults {
		r.findings = append(r.findings, finding.New("trace-stopped", r.whole(), "reading stopped after {} errors", strconv.Itoa(r.faults), "there may be more"))
	}
	if r.faults == 0 {
		r.checkCounts()
	}
	return r.faults == 0
}

// makeRoom makes room for as many rows as there are lines.
func (r *reader) makeRoom() {
	rows := min(bytes.Count(r.rest, []byte{'\n'})+1, MaxSamples)
	r.times = make([]int64, 0, rows)
	for i := range r.columns {
		if r.columns[i].timePlaces == 0 {
			r.columns[i].cells = make(cells, 0, rows)
		}
	}
}

// emptyLine takes all that is left when nothing but empty lines is.
func (r *reader) emptyLine() {
	if len(bytes.Trim(r.rest, "\r\n")) > 0 {
		r.fault(finding.New("trace-row", r.place(1), "an empty line stands between rows", "", "empty lines are allowed at the end"))
	}
}

// readRow reads one row.
func (r *reader) readRow(line []byte) {
	if line[0] == '#' {
		r.fault(finding.New("trace-row", r.place(1), "a comment stands below the header", "", "comments are allowed above it"))
		return
	}
	if n := 1 + bytes.Count(line, []byte{r.separator}); n != len(r.columns) {
		allowed := finding.Say("{1} cells, as in the header, are wanted", finding.Number(len(r.columns)))
		if r.separator == ',' && n > len(r.columns) {
			allowed = finding.Say("{1}; a decimal comma is not accepted", allowed)
		}
		r.fault(finding.New("trace-row", r.place(1), "the row has {} cells", strconv.Itoa(n), allowed))
		return
	}
	start := 0
	for i := range r.columns {
		end := bytes.IndexByte(line[start:], r.separator)
		if end < 0 {
			end = len(line) - start
		}
		cell := line[start : start+end]
		if c := &r.columns[i]; c.timePlaces > 0 {
			r.timeCell(c, line, start, cell)
		} else {
			r.valueCell(c, line, start, cell)
		}
		start += end + 1
	}
}

// at gives the place of a cell, which begins at a byte of the line.
func (r *reader) at(line []byte, start int, cell []byte) finding.Place {
	start += len(cell) - len(bytes.TrimLeft(cell, " \t"))
	return r.place(1 + utf8.RuneCount(line[:start]))
}

// timeCell takes the time of a row.
func (r *reader) timeCell(c *column, line []byte, start int, cell []byte) {
	text := bytes.Trim(cell, " \t")
	d, err := parse(text)
	if err != nil {
		r.badNumber(r.at(line, start, cell), string(text), err)
		return
	}
	ns, _, ok := d.scaled(c.timePlaces)
	if !ok || ns > timeLimit || ns < -timeLimit {
		r.fault(finding.New("trace-number", r.at(line, start, cell), "the time is {}", string(text), "at most 10^6 s on both sides of the origin of time are allowed"))
		return
	}
	if n := len(r.times); n > 0 && ns <= r.times[n-1] {
		var found finding.Text = "the time {} comes after a later one"
		if ns == r.times[n-1] {
			found = "the time {} stands twice"
		}
		r.fault(finding.New("trace-time-order", r.at(line, start, cell), found, string(text), "each row needs a later time than the row before"))
		return
	}
	r.times = append(r.times, ns)
	if r.timeUnit > 1 {
		r.timeUnit = min(r.timeUnit, pow10(max(c.timePlaces-d.places, 0)))
	}
}

// valueCell takes one value, or none.
func (r *reader) valueCell(c *column, line []byte, start int, cell []byte) {
	text := bytes.Trim(cell, " \t")
	if len(text) == 0 {
		c.cells = append(c.cells, decimal{places: -1})
		return
	}
	d, err := parse(text)
	if err != nil {
		r.badNumber(r.at(line, start, cell), string(text), err)
		return
	}
	if whole, _, ok := d.scaled(0); !ok || whole >= valueLimit || whole <= -valueLimit {
		r.fault(finding.New("trace-number", r.at(line, start, cell), "the value is {}", string(text), "a size below 10^9 is wanted"))
		return
	}
	c.cells = append(c.cells, d)
	c.measured++
}

// badNumber says why a cell is no number. Its text may be anything, so it is
// hidden.
func (r *reader) badNumber(at finding.Place, text string, err error) {
	switch {
	case errors.Is(err, errTooLong):
		r.fault(finding.New("trace-number-length", at, "the number has too many digits", "", finding.Say("at most {1} digits in {2} characters are read", finding.Number(maxDigits), finding.Number(maxNumber))))
	case text == "":
		r.fault(finding.New("trace-number", at, "the row has no time", "", "each row needs its time"))
	case r.separator == ';' && strings.Contains(text, ","):
		r.fault(finding.New("trace-number", at, "{} is no number", text, finding.Say("a decimal comma is not accepted; {1}", numberAllowed)).Hide())
	default:
		r.fault(finding.New("trace-number", at, "{} is no number", text, numberAllowed).Hide())
	}
}

// checkCounts asks for enough rows, and enough measured values in each column.
func (r *reader) checkCounts() {
	allowed := finding.Say("at least {1} are wanted", finding.Number(MinSamples))
	if n := len(r.times); n < MinSamples {
		r.fault(finding.New("trace-few-samples", r.whole(), "the file has {} rows", strconv.Itoa(n), allowed))
		return
	}
	for _, c := range r.columns {
		if c.timePlaces == 0 && c.measured < MinSamples {
			r.fault(finding.New("trace-few-samples", r.whole(), finding.Say("column {1} has {} measured values", finding.Data(c.name)), strconv.Itoa(c.measured), allowed))
		}
	}
}
