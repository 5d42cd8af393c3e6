package trace

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"strconv"
	"unicode/utf8"

	"saltmark/internal/finding"
)

const (
	// MaxBytes is the largest file that is read.
	MaxBytes = 32 << 20
	// MaxSamples is the largest number of samples of a series.
	MaxSamples = 2_000_000
	// MinSamples is how many measured values a series needs at least (common
	// practice, no source; a computation asks for many more).
	MinSamples = 10
	// maxFaults is after how many errors reading stops.
	maxFaults = 20
)

// Recording is what a file holds.
type Recording struct {
	// SHA256 is of the bytes of the file, in hex; "" where the file is too large.
	SHA256 string
	// Series are in the order of the file's columns and share one grid of times.
	// There are none where a finding is an error.
	Series []Series
	// Resampled tells that the rows were unevenly spaced and that values were drawn
	// on straight lines between them.
	Resampled bool
}

// Named gives the series of that name.
func (r Recording) Named(name string) (Series, bool) {
	for _, s := range r.Series {
		if s.Name == name {
			return s, true
		}
	}
	return Series{}, false
}

// ReadCSV reads the recording of a sensor.
//
// The text is UTF-8; a byte order mark is skipped; lines end in LF or CRLF. Lines
// that begin with # may stand above the header, empty lines at the top and at the
// end. The header names the columns: time_s or time_ms, and arterial, venous or
// both, each followed by its unit in brackets ("arterial [%]") unless units gives
// it by the column's name. Cells are separated by commas, or by semicolons where
// the header has one. A number has a decimal point, never a comma. An empty cell
// is a missing sample; every row needs its time.
//
// Findings carry file, line and column. Text that is no number may be anything
// and is hidden.
func ReadCSV(file string, data []byte, units map[string]string) (Recording, finding.List) {
	r := reader{file: file}
	if len(data) > MaxBytes {
		r.fault(finding.New("trace-size", r.whole(), "the file has {} bytes", strconv.Itoa(len(data)), finding.Say("at most {1} are read", finding.Number(MaxBytes))))
		return Recording{}, r.findings
	}
	sum := sha256.Sum256(data)
	recording := Recording{SHA256: hex.EncodeToString(sum[:])}
	if at, ok := firstInvalid(data); !ok {
		r.line = 1 + bytes.Count(data[:at], []byte{'\n'})
		r.fault(finding.New("trace-encoding", r.place(0), "the text is not UTF-8", "", "UTF-8 is wanted"))
		return recording, r.findings
	}
	r.rest = bytes.TrimPrefix(data, []byte("\uFEFF"))
	if r.readHeader(units) && r.readRows() {
		recording.Series, recording.Resampled = r.series()
	}
	r.findings.Sort()
	return recording, r.findings
}

// firstInvalid gives the place of the first byte that is not UTF-8.
func firstInvalid(data []byte) (at int, ok bool) {
	if utf8.Valid(data) {
		return 0, true
	}
	for at < len(data) {
		r, size := utf8.DecodeRune(data[at:])
		if r == utf8.RuneError && size == 1 {
			break
		}
		at += size
	}
	return at, false
}

// reader is the state of reading one file.
type reader struct {
	file     string
	rest     []byte
	line     int // number of the line that was taken last
	findings finding.List
	faults   int // how many of the findings are errors

	separator byte
	columns   []column
	firstRow  int // line of the first row
	timeUnit  int64
	times     []int64 // ns
}

// column is one column of the file.
type column struct {
	name, unit string
	timePlaces int // of the digits that make a nanosecond; 0 for values
	cells      cells
	measured   int
}

// place is a column of the line that was taken last, 0 for the whole line.
func (r *reader) place(columnNumber int) finding.Place {
	return finding.Place{File: r.file, Line: r.line, Column: columnNumber}
}

// whole is the file.
func (r *reader) whole() finding.Place { return finding.Place{File: r.file} }

// fault adds a finding that is an error.
func (r *reader) fault(f finding.Finding) {
	r.findings = append(r.findings, f)
	r.faults++
}

// next takes a line off the text, without its end.
func (r *reader) next() (line []byte, ok bool) {
	if len(r.rest) == 0 {
		return nil, false
	}
	r.line++
	end := bytes.IndexByte(r.rest, '\n')
	if end < 0 {
		line, r.rest = r.rest, nil
	} else {
		line, r.rest = r.rest[:end], r.rest[end+1:]
		line = bytes.TrimSuffix(line, []byte{'\r'})
	}
	if at := bytes.IndexByte(line, '\r'); at >= 0 {
		r.fault(finding.New("trace-line-end", r.place(1+utf8.RuneCount(line[:at])), "a carriage return stands alone", "", "lines end in LF or CRLF"))
		r.rest = nil
		return nil, false
	}
	return line, true
}

// series lays the rows on a grid and makes a series of each column.
func (r *reader) series() (list []Series, resampled bool) {
	g := layGrid(r.times, r.timeUnit)
	if g.count > MaxSamples {
		r.fault(finding.New("trace-length", r.whole(), "the file spans more than {} samples at its median step", strconv.Itoa(MaxSamples), "a recording without so long a gap is wanted"))
		return nil, false
	}
	drawn := 0
	for _, c := range r.columns {
		if c.timePlaces > 0 {
			continue
		}
		q := c.cells.quantise(r.times, g)
		if n := len(q.series.Samples) - missingIn(q.series.Samples); n < MinSamples {
			r.fault(finding.New("trace-few-samples", r.whole(), finding.Say("column {1} has {} values on the step of most rows, {2} ms", finding.Data(c.name), finding.Data(msText(g.period))), strconv.Itoa(n), finding.Say("at least {1} are wanted", finding.Number(MinSamples))))
			return nil, false
		}
		q.series.Name, q.series.Unit = c.name, c.unit
		list, drawn = append(list, q.series), q.drawn
		r.tellColumn(c, q)
	}
	r.tellSpacing(g, drawn)
	return list, drawn > 0
}

func missingIn(samples []int32) (n int) {
	for _, s := range samples {
		if s == Missing {
			n++
		}
	}
	return n
}

// tellColumn says what quantising a column did.
func (r *reader) tellColumn(c column, q quantised) {
	if q.rounded {
		r.findings = append(r.findings, finding.New("trace-rounded", r.whole(),
			finding.Say("column {1} was rounded to steps of {}", finding.Data(c.name)), q.series.Factor, "at most six decimals are kept"))
	}
	if empty := len(c.cells) - c.measured; empty > 0 {
		r.findings = append(r.findings, finding.New("trace-missing", r.whole(),
			finding.Say("column {1} has {} empty cells", finding.Data(c.name)), strconv.Itoa(empty), "they are marked as missing samples"))
	}
}

// tellSpacing says what the times of the rows are like.
func (r *reader) tellSpacing(g grid, drawn int) {
	if found := findGaps(r.times, g); found.number > 0 {
		at := finding.Place{File: r.file, Line: r.firstRow + found.first}
		r.findings = append(r.findings, finding.New("trace-gap", at,
			finding.Say("{1} gaps between rows, the longest of {} ms; the first ends here", finding.Number(found.number)),
			msText(found.longest), finding.Say("rows every {1} ms are wanted; the samples within are marked as missing", finding.Data(msText(g.period)))))
	}
	if drawn > 0 {
		r.findings = append(r.findings, finding.New("trace-uneven", r.whole(),
			"the rows are unevenly spaced, with a median step of {} ms", msText(g.period),
			finding.Say("the trace was resampled linearly to that step; {1} points lie between rows", finding.Number(drawn))))
	}
}
