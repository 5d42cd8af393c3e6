package source

import "saltmark/internal/finding"

// faults gathers what is wrong with one text.
type faults struct {
	doc  *Document
	lim  Limits
	list finding.List
	// pointerTo gives the pointer of what stands at an offset of a text that is not read, nil
	// where that is not known.
	pointerTo func(offset int) string
	// full tells that the reading is to be given up.
	full bool
}

// fault is what is wrong at one place, without the place.
type fault struct {
	rule    string
	found   finding.Text
	value   string // stands for "{}" in found: a key, a mark of the notation, never a value
	allowed finding.Text
}

func (f *faults) add(offset int, pointer string, what fault) {
	if f.full {
		return
	}
	f.list = append(f.list, finding.New(what.rule, f.doc.At(offset, pointer), what.found, what.value, what.allowed))
	if len(f.list) >= f.lim.Findings {
		f.full = true
		f.list = append(f.list, finding.New("more-findings", f.doc.At(offset, ""),
			finding.Say("reading was given up after {1} findings", finding.Number(len(f.list))), "", "more may follow once these are mended"))
	}
}

// addUnread adds a fault for which the text is not read.
func (f *faults) addUnread(offset int, what fault) {
	pointer := ""
	if f.pointerTo != nil {
		pointer = f.pointerTo(offset)
	}
	f.add(offset, pointer, what)
}

// addWhole adds a fault of the text as a whole, which has a line only when the
// text is a line of NDJSON.
func (f *faults) addWhole(what fault) {
	place := finding.Place{File: f.doc.Name, Line: f.doc.firstLine}
	f.list = append(f.list, finding.New(what.rule, place, what.found, what.value, what.allowed))
}

// keep puts each name of an object once, and tells of every repetition.
func (f *faults) keep(members []Member, pointer func() string) []Member {
	const few = 12 // up to here comparing all pairs is faster than a map
	if len(members) <= few {
		for i := 1; i < len(members); i++ {
			for j := range i {
				if members[i].Name == members[j].Name {
					return f.keepFirst(members, pointer())
				}
			}
		}
		return members
	}
	seen := make(map[string]struct{}, len(members))
	for i := range members {
		seen[members[i].Name] = struct{}{}
	}
	if len(seen) == len(members) {
		return members
	}
	return f.keepFirst(members, pointer())
}

func (f *faults) keepFirst(members []Member, pointer string) []Member {
	first := make(map[string]int, len(members))
	kept := members[:0]
	for _, m := range members {
		offset, again := first[m.Name]
		if !again {
			first[m.Name] = m.Offset
			kept = append(kept, m)
			continue
		}
		p := f.doc.At(offset, "")
		f.add(m.Offset, pointer+Pointer(m.Name), fault{
			rule:    "duplicate-key",
			found:   finding.Say("key {} is given again (first in line {1}, column {2})", finding.Number(p.Line), finding.Number(p.Column)),
			value:   m.Name,
			allowed: "each key of an object stands once",
		})
	}
	return kept
}
