package sheet

import (
	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// TraceFile is the recording that an injection names: a file beside the sheet. It
// is not part of the record, since paths never leave the machine; the curves that
// are read from it are, with the file's hash.
type TraceFile struct {
	Injection record.Thing
	File      string
	// Units of the columns that the sheet states beside the file: "arterial" and
	// "venous".
	Units map[string]string
	Place finding.Place
}

// Traces gives the recordings that a sheet names, in its order. What is wrong with
// their names is among the findings of Read.
func Traces(doc *source.Document) []TraceFile {
	if doc == nil {
		return nil
	}
	var traces []TraceFile
	form := theForm().member("injections").member("trace")
	injections := doc.Root.Get("injections")
	if injections == nil {
		return nil
	}
	for i, item := range injections.Items {
		trace, number := item.Get("trace"), item.Get("number")
		if trace == nil || number == nil {
			continue
		}
		t := TraceFile{Injection: record.Thing{Kind: measure.Injection, Key: number.Text}, Units: map[string]string{}}
		for _, m := range form.members {
			n := trace.Get(m.name)
			switch {
			case n == nil:
			case m.form == asFile:
				t.File, t.Place = n.Text, doc.Place(n, source.Pointer("injections", i, "trace", m.name))
			default:
				t.Units[m.name] = n.Text
			}
		}
		if t.File != "" {
			traces = append(traces, t)
		}
	}
	return traces
}
