package sheet

import (
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// reader walks a sheet along the form and fills the session.
type reader struct {
	scalars
	s *record.Session
	// once are the values that were given once for all levels.
	once map[string]sharedValue
	// traced are the injections that name a trace file.
	traced map[record.Thing]bool
}

type sharedValue struct {
	value record.Value
	place finding.Place
}

// frame is what the values below a spot share.
type frame struct {
	thing    record.Thing
	at       record.Time
	obtained string
	// first is the earliest time met below, for things without a time of their own.
	first *record.Time
}

func (r *reader) walk(sp *spot, n *source.Node, pointer string, f frame) {
	switch {
	case n == nil || n.Kind == source.Null:
	case sp.shape == isSingle:
		r.single(sp, n, pointer, f)
	case sp.shape == isList && n.Kind == source.Array:
		r.elements(sp, n, pointer, f)
	case sp.shape == isObject && n.Kind == source.Object:
		r.object(sp, n, pointer, f)
	case sp.shape == isObject && isScalar(n) && sp.level:
		r.levelWord(sp, n, pointer)
	case sp.shape == isObject && isScalar(n) && sp.short != "":
		r.short(sp, n, pointer, f)
	}
}

func isScalar(n *source.Node) bool { return n.Kind == source.String || n.Kind == source.Number }

// object reads the members of an object: first what frames the others.
func (r *reader) object(sp *spot, n *source.Node, pointer string, f frame) {
	if sp.key != "" {
		f.thing = record.Thing{Kind: sp.about, Key: sp.key}
	}
	f = r.framed(sp, n, pointer, f)
	for _, m := range sp.members {
		if m.role == noRole {
			r.walk(m, n.Get(m.name), pointer+source.Pointer(m.name), f)
		}
	}
}

// framed reads the time and the way of being obtained that an object states for
// what is in it.
func (r *reader) framed(sp *spot, n *source.Node, pointer string, f frame) frame {
	for _, m := range sp.members {
		c := n.Get(m.name)
		if c == nil || c.Kind == source.Null {
			continue
		}
		at := pointer + source.Pointer(m.name)
		switch m.role {
		case timeOf:
			if v, ok := r.value(m, c, at); ok {
				r.s.Places.Fields[dotted(at)] = r.doc.Place(c, at)
				f.at = v.Time
				if f.first != nil && (*f.first == "" || v.Time.Before(*f.first)) {
					*f.first = v.Time
				}
			}
		case obtainedOf:
			if v, ok := r.value(m, c, at); ok {
				f.obtained = v.Code
			}
		}
	}
	return f
}

// short reads a single value that stands for an object.
func (r *reader) short(sp *spot, n *source.Node, pointer string, f frame) {
	if sp.key != "" {
		f.thing = record.Thing{Kind: sp.about, Key: sp.key}
	}
	if slices.Contains(sp.needs, "at") {
		r.add("time-missing", n, pointer, finding.Say("{1} has no time", finding.Data(dotted(pointer))), "", `it is written with its time: {value: ..., at: ...}`)
		return
	}
	r.walk(sp.member(sp.short), n, pointer, f)
}

// elements reads things with a number, or devices.
func (r *reader) elements(sp *spot, n *source.Node, pointer string, f frame) {
	lines := map[string]int{}
	for i, item := range n.Items {
		at := pointer + source.Pointer(i)
		if item.Kind != source.Object {
			continue
		}
		if sp.device != "" {
			r.device(sp, item, at, f)
			continue
		}
		inner := f
		inner.thing = record.Thing{Kind: sp.about, Key: r.keyIn(sp, item, at, f, i)}
		if line, again := lines[inner.thing.Key]; again {
			r.add("number-repeated", item.Get("number"), at+"/number", finding.Say("{1} is {}, which stands in line {2} already", finding.Data(dotted(at)+".number"), finding.Number(line)),
				ownKey(inner.thing.Key), "each number stands once in its list and is never used again")
			continue
		}
		lines[inner.thing.Key] = r.doc.Place(item, at).Line
		r.thing(sp, item, at, inner)
	}
}

// thing reads one element of a list and adds the fact of its group.
func (r *reader) thing(sp *spot, item *source.Node, pointer string, f frame) {
	outer, earliest := f.first, record.Time("")
	f.first = &earliest
	r.object(sp, item, pointer, f)
	if outer != nil && earliest != "" && (*outer == "" || earliest.Before(*outer)) {
		*outer = earliest
	}
	if group := groupOf(sp.about); group != nil {
		when := earliest
		if when == "" && !timed(sp) {
			when = f.at
		}
		r.fact(record.Fact{Ref: refOf(f.thing, group), At: when}, r.doc.Place(item, pointer))
	}
	r.withoutFlow(sp, f, earliest, r.doc.Place(item, pointer))
	if trace := item.Get("trace"); trace != nil && trace.Get("file") != nil {
		if r.traced == nil {
			r.traced = map[record.Thing]bool{}
		}
		r.traced[f.thing] = true
	}
}

// notReported is the reason for which a reading has no flow of its own: it keeps its time
// and its inputs all the same.
const notReported = "not-reported"

// withoutFlow says of a reading on which no flow is written that none was reported.
func (r *reader) withoutFlow(sp *spot, f frame, at record.Time, place finding.Place) {
	flow := measure.Get("comparator-flow")
	if sp.about != measure.Reading || r.s.Get(f.thing, flow.Key) != nil {
		return
	}
	r.fact(record.Fact{Ref: refOf(f.thing, flow), At: at, Value: record.Value{Absent: record.Absence{Reason: notReported}}}, place)
}

// timed tells whether the things of a list state their time.
func timed(sp *spot) bool {
	return slices.ContainsFunc(sp.members, func(m *spot) bool { return m.role == timeOf })
}

// keyIn gives the key of a thing: its number, below that of the thing around it.
// One without a number gets a key that no thing has, so that its values are judged
// and give no facts.
func (r *reader) keyIn(sp *spot, item *source.Node, pointer string, f frame, i int) string {
	key := noNumber + strconv.Itoa(i)
	if n := item.Get("number"); n != nil && n.Kind != source.Null {
		if v, ok := r.value(sp.member("number"), n, pointer+"/number"); ok {
			key = v.Text
		}
	}
	if f.thing.Kind != measure.Session {
		return f.thing.Key + "." + key
	}
	return key
}

const noNumber = "?"

func ownKey(key string) string { return key[strings.LastIndexByte(key, '.')+1:] }

// device reads one element of a list of devices.
func (r *reader) device(sp *spot, item *source.Node, pointer string, f frame) {
	r.s.Devices = append(r.s.Devices, record.Device{Role: sp.device})
	r.object(sp, item, pointer, f)
	r.s.Places.Fields[dotted(pointer)] = r.doc.Place(item, pointer)
}

// single reads one value into a fact or a field.
func (r *reader) single(sp *spot, n *source.Node, pointer string, f frame) {
	v, ok := r.value(sp, n, pointer)
	place := r.doc.Place(n, pointer)
	switch {
	case !ok:
	case sp.shared:
		if r.once == nil {
			r.once = map[string]sharedValue{}
		}
		r.once[sp.row.Key] = sharedValue{v, place}
	case sp.row != nil:
		made := record.Fact{Ref: refOf(f.thing, sp.row), Value: v}
		if sp.row.In == "" {
			made.At = f.at
		}
		if sp.row.Obtained {
			made.Obtained = f.obtained
		}
		r.fact(made, place)
	case sp.field != nil && sp.field.at != nil:
		r.s.Places.Fields[dotted(pointer)] = place
		r.s.Places.Fields[sp.field.path] = place
		setField(sp.field.at(r.s), v)
	}
}

func setField(at any, v record.Value) {
	switch at := at.(type) {
	case *string:
		*at = v.Text
	case *record.Time:
		*at = v.Time
	case *int:
		*at, _ = strconv.Atoi(v.Text)
	case *bool:
		*at = v.Code == "yes"
	}
}

func refOf(thing record.Thing, m *measure.Measure) record.Ref {
	return record.Ref{About: thing, Measure: m.Key, Origin: record.Origin(m.DefaultOrigin())}
}

// fact adds a fact with its place.
func (r *reader) fact(f record.Fact, place finding.Place) {
	if strings.Contains(f.About.Key, noNumber) {
		return
	}
	r.s.Facts = append(r.s.Facts, f)
	r.s.Places.Facts[f.Ref] = place
}

// complete adds what the sheet says without writing it out: values given once for
// all levels, a direction that was not seen, the loop as a device, the revision
// that was verified, the site that an artery implies.
func (r *reader) complete() {
	for _, level := range measure.Levels {
		r.completeLevel(record.Thing{Kind: measure.Level, Key: level})
	}
	r.completeDuctSite()
	if set := r.s.Get(record.TheSession, "loop-set"); set != nil {
		r.s.Devices = append(r.s.Devices, record.Device{Role: loopRole, Key: set.Value.Text})
	}
	rank := []string{monitorRole, loopRole, disposableRole}
	slices.SortStableFunc(r.s.Devices, func(a, b record.Device) int {
		return slices.Index(rank, a.Role) - slices.Index(rank, b.Role)
	})
	if r.s.Verification.By != "" && r.s.Verification.Revision == 0 {
		r.s.Verification.Revision = r.s.Revision
	}
}
