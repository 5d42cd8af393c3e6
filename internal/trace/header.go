package trace

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"saltmark/internal/finding"
)

// columnsAllowed says what a header may hold.
const columnsAllowed finding.Text = "time_s or time_ms, and arterial, venous or both are wanted, with the unit in brackets, such as \"arterial [%]\""

// timePlaces gives the names of a time column: how many digits make a nanosecond.
func timePlaces(name string) int {
	switch name {
	case "time_s":
		return 9
	case "time_ms":
		return 6
	}
	return 0
}

func knownUnit(unit string) bool { return unit == "1" || unit == "%" || unit == "m/s" }

// readHeader finds the header and tells whether the rows can be read by it.
func (r *reader) readHeader(units map[string]string) bool {
	line, ok := r.next()
	for ok && (len(line) == 0 || line[0] == '#') {
		line, ok = r.next()
	}
	if !ok {
		if r.faults == 0 {
			r.fault(finding.New("trace-header", r.whole(), "the file has no header", "", columnsAllowed))
		}
		return false
	}
	r.separator = ','
	if bytes.IndexByte(line, ';') >= 0 {
		r.separator = ';'
	}
	at := 1
	for _, cell := range bytes.Split(line, []byte{r.separator}) {
		r.headerCell(string(cell), at, units)
		at += utf8.RuneCount(cell) + 1
	}
	if r.faults > 0 {
		return false
	}
	r.checkColumns()
	return r.faults == 0
}

// headerCell takes one cell of the header, which begins at the given column of
// the line.
func (r *reader) headerCell(cell string, at int, units map[string]string) {
	at += len(cell) - len(strings.TrimLeft(cell, " \t"))
	name, unit := splitUnit(strings.Trim(cell, " \t"))
	c := column{name: name, unit: unit, timePlaces: timePlaces(name)}
	switch {
	case c.timePlaces > 0 && unit != "":
		r.fault(finding.New("trace-unit", r.place(at), finding.Say("column {1} has a unit of its own, {}", finding.Data(name)), unit, "the name of a time column is its unit").Hide())
	case c.timePlaces > 0:
	case name == Arterial || name == Venous:
		c.unit = r.unitOf(name, unit, units[name], at)
	default:
		r.fault(finding.New("trace-column", r.place(at), "no column is called {}", name, columnsAllowed).Hide())
		return
	}
	for _, other := range r.columns {
		if other.name == c.name || other.timePlaces > 0 && c.timePlaces > 0 {
			r.fault(finding.New("trace-header", r.place(at), finding.Say("column {1} comes beside {2}", finding.Data(c.name), finding.Data(other.name)), "", "each column stands once, and one of time"))
		}
	}
	r.columns = append(r.columns, c)
}

// splitUnit takes "name [unit]" apart.
func splitUnit(cell string) (name, unit string) {
	name, unit, found := strings.Cut(cell, "[")
	if !found || !strings.HasSuffix(unit, "]") {
		return cell, ""
	}
	return strings.TrimRight(name, " \t"), strings.TrimSuffix(unit, "]")
}

// unitOf settles the unit of a column from header and caller.
func (r *reader) unitOf(name, inHeader, given string, at int) string {
	const allowed finding.Text = "1 (volume fraction), % or m/s is wanted"
	unit := inHeader
	if unit == "" {
		unit = given
	}
	switch {
	case unit == "":
		r.fault(finding.New("trace-unit", r.place(at), finding.Say("column {1} has no unit", finding.Data(name)), "", finding.Say("{1}, in brackets behind the name or stated beside the file", allowed)))
	case !knownUnit(unit):
		r.fault(finding.New("trace-unit", r.place(at), finding.Say("the unit of column {1} is {}", finding.Data(name)), unit, allowed).Hide())
	case given != "" && given != unit:
		r.fault(finding.New("trace-unit", r.place(at), finding.Say("column {1} is in {2} by its header and in {} as stated beside the file", finding.Data(name), finding.Data(unit)), given, "one unit is wanted").Hide())
	}
	return unit
}

// checkColumns asks for a column of time and one of values.
func (r *reader) checkColumns() {
	times := 0
	for _, c := range r.columns {
		if c.timePlaces > 0 {
			times++
		}
	}
	if times == 0 {
		r.fault(finding.New("trace-header", r.place(0), "the header has no column of time", "", columnsAllowed))
	}
	if times == len(r.columns) {
		r.fault(finding.New("trace-header", r.place(0), "the header has no column of values", "", columnsAllowed))
	}
}
