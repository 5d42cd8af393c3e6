package sheet

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// BlankOptions say what an empty sheet has room for.
type BlankOptions struct {
	// Injections is how many there is room for, from 1 to MostBlankInjections.
	Injections int
	// Short leaves out whatever a sheet can do without.
	Short bool
}

// MostBlankInjections bounds an empty sheet, which a person is to look through.
const MostBlankInjections = 99

// Blank gives an empty sheet with every key of the form, what each means and how it
// is written. It holds no example of a value. What every sheet has stands ready and
// empty, which no reader takes for a value: a sheet that is filled in by half is not
// charted. The rest is commented out.
//
// Two marks of hashes tell what is to be read from what is to be used: a line with
// "##" explains, one with "#" is a key, and taking the "# " away makes it one.
func Blank(o BlankOptions) ([]byte, error) {
	if o.Injections < 1 || o.Injections > MostBlankInjections {
		return nil, fmt.Errorf("room for 1 to %d is wanted; %d is given", MostBlankInjections, o.Injections)
	}
	b := blank{BlankOptions: o}
	top := spotLine{hash: never, told: true}
	for _, words := range headNotes(o.Short) {
		b.explain(top, words)
	}
	for _, m := range theForm().members {
		b.spot(m, top)
	}
	return []byte(b.text.String()), nil
}

// onEverySheet are the keys with which a sheet charts and without which it does not,
// the smallest sheet. Where an object may be said by one value, Short does.
var onEverySheet = []string{
	"saltmark", "session.id", "session.start", "session.end", "patient.identifier", "operator",
	"subject.weight.value", "subject.weight.at", "loop.set", "catheters.arterial.vessel", "catheters.venous.vessel",
	"injections.number", "injections.at", "injections.volume", "injections.reported.blood-flow",
	"shunt.seen", "shunt.atrial.state", "shunt.ventricular.state", "shunt.ductal.state", "shunt.aortopulmonary.state",
}

// isOnEverySheet tells whether a key is, or holds, one of those.
func isOnEverySheet(path string) bool {
	return slices.ContainsFunc(onEverySheet, func(p string) bool { return p == path || strings.HasPrefix(p, path+".") })
}

// blank writes an empty sheet.
type blank struct {
	BlankOptions
	text strings.Builder
}

// spotLine is where a line of the empty sheet stands.
type spotLine struct {
	path  string
	thing string // key of the thing that the line is about, where the form names it
	depth int
	hash  int  // depth of the outermost key around that is commented out, or never
	told  bool // whether what is meant is explained here
	dash  bool // the first member of an element of a list
}

// never is the depth of nothing.
const never = -1

// put writes a line, behind "# " where it is commented out and "## " where it
// explains.
func (b *blank) put(at spotLine, mark, words string) {
	depth := strings.Repeat(indent, at.depth)
	before := depth
	if at.hash != never {
		before, depth = depth[:at.hash*len(indent)], depth[at.hash*len(indent):]
	} else {
		depth = ""
	}
	if at.hash != never && mark == "" {
		mark = "# "
	}
	b.text.WriteString(before + mark + depth + words + "\n")
}

// isWritten stands between what a value is and how it is written.
const isWritten = " | "

// explainWidth is how wide an explanation may be.
const explainWidth = 90

// explain writes what is to be read, wrapped.
func (b *blank) explain(at spotLine, words string) {
	if !at.told || words == "" {
		return
	}
	room := explainWidth - at.depth*len(indent) - len("## ")
	row, begins := "", true
	for _, word := range strings.Fields(words) {
		switch {
		case begins:
			row += word
		case len(row)+1+len(word) > room:
			b.put(at, "## ", row)
			row = indent + word
		default:
			row += " " + word
		}
		begins = false
	}
	b.put(at, "## ", row)
}

// key writes a key with what stands behind it.
func (b *blank) key(at spotLine, name, value string) {
	words := strings.TrimRight(name+": "+value, " ")
	if at.dash {
		at.depth--
		words = "- " + words
	}
	b.put(at, "", words)
}

// spot writes a member of the form, and all below it.
func (b *blank) spot(sp *spot, around spotLine) {
	at := around
	at.path = strings.TrimPrefix(around.path+"."+sp.name, ".")
	if sp.key != "" {
		at.thing = sp.key
	}
	if !isOnEverySheet(at.path) {
		if b.Short {
			return
		}
		if at.hash == never {
			at.hash = at.depth
		}
	}
	if around.path == "" {
		b.text.WriteByte('\n')
	}
	switch one := sp.member(sp.short); {
	case b.Short && sp.level:
		b.explain(at, strings.TrimSuffix(notes[at.path], ".")+isWritten+oneOfWords(levelWordList()))
		b.key(at, sp.name, "")
	case b.Short && one != nil && !isOnEverySheet(at.path+".at"):
		at.path += "." + one.name
		b.explain(at, meaningOf(one, at)+isWritten+wantedOf(one))
		b.key(at, sp.name, "")
	case sp.shape == isSingle:
		b.single(sp, at)
	case sp.shape == isList:
		b.list(sp, at)
	default:
		b.explain(at, notes[at.path])
		b.key(at, sp.name, "")
		b.members(sp, at)
	}
}

func (b *blank) members(sp *spot, at spotLine) {
	at.depth++
	for _, m := range sp.members {
		b.spot(m, at)
	}
}

func (b *blank) single(sp *spot, at spotLine) {
	if sp.form == asVersion {
		b.key(at, sp.name, strconv.Itoa(Version))
		return
	}
	b.explain(at, meaningOf(sp, at)+isWritten+wantedOf(sp))
	b.key(at, sp.name, "")
}

// list writes the elements of a list: as many as there is room for of those that
// every sheet has, of others one.
func (b *blank) list(sp *spot, at spotLine) {
	b.explain(at, notes[at.path])
	b.key(at, sp.name, "")
	elements := 1
	if at.hash == never {
		elements = b.Injections
	}
	at.depth += 2
	for n := 1; n <= elements; n++ {
		at.told = n == 1
		for i, m := range sp.members {
			in := at
			in.dash = i == 0
			if m.role == keyOf {
				b.key(in, m.name, strconv.Itoa(n))
				continue
			}
			b.spot(m, in)
		}
	}
}
