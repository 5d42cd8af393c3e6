package sheet

import (
	"cmp"
	"slices"
	"strings"
	"sync"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// shape is what may stand at a spot of the form.
type shape uint8

const (
	isSingle shape = iota + 1 // one value
	isObject
	isList
)

// form says how a single value is written.
type form uint8

const (
	asQuantity    form = iota + 1
	asReported         // a quantity, or what a monitor showed instead of one
	asCode             // one of a set of words
	asText             // free text
	asName             // letters, digits, '.', '_' and '-'
	asIdentifier       // visible characters
	asURI              // an absolute URI
	asReference        // a literal reference such as "Patient/123"
	asMoment           // a date with a time of day
	asMomentOrDay      // the same, or a date alone
	asDay              // a date
	asWhole            // a whole number from 1
	asVersion          // the version of the format
	asYesNo            // yes or no, kept as a truth
	asFile             // a file beside the sheet
)

// role is what a value means for the thing or value that it stands beside.
type role uint8

const (
	noRole     role = iota
	keyOf           // the number of the thing
	timeOf          // when it was
	obtainedOf      // how it was obtained
)

// spot is one place of the form.
type spot struct {
	name    string
	shape   shape
	members []*spot
	needs   []string // members that must be there
	short   string   // the member that a single value in place of the object stands for
	level   bool     // an object that a word for state and direction may stand for

	about measure.About // what the elements of a list, or a keyed object, are about
	key   string        // key of the thing of a keyed object

	form     form
	row      *measure.Measure // the measure whose value stands here; nil: none
	field    *field           // the administrative field; nil: none
	role     role
	shared   bool     // given once for all things below
	words    []string // of a code without a set
	dayTime  bool     // a time of day alone will do
	private  bool     // the value stays out of findings
	device   string   // role of the devices that a list holds
	sentence string   // what is wanted here, for the schema
}

func (sp *spot) member(name string) *spot {
	for _, m := range sp.members {
		if m.name == name {
			return m
		}
	}
	return nil
}

// sections are the members of a sheet in their order.
var sections = []string{
	"saltmark", "session", "patient", "encounter", "operator", "verified", "subject", "monitor", "loop", "catheters",
	"indicator", "fluids", "injections", "shunt", "events", "blood", "support", "comparators", "earlier", "confirmations",
}

// things are the lists of the sheet whose elements are things with a number.
var things = []struct {
	path  string
	about measure.About
	timed bool
}{
	{"injections", measure.Injection, true},
	{"events", measure.Event, true},
	{"blood", measure.Sample, true},
	{"support.drugs", measure.Drug, false},
	{"comparators", measure.Comparator, false},
	{"comparators.readings", measure.Reading, true},
	{"earlier", measure.Earlier, true},
	{"confirmations", measure.Confirmation, true},
}

// needed are the members that an object must have.
var needed = map[string][]string{
	"":                     {"saltmark", "session", "patient", "operator"},
	"session":              {"id", "start", "end"},
	"session.entered":      {"at", "by"},
	"session.withdrawn":    {"by", "at", "reason"},
	"verified":             {"by", "at"},
	"subject.weight":       {"value", "at"},
	"subject.length":       {"value", "at"},
	"monitor":              {"name"},
	"loop":                 {"set"},
	"loop.disposables":     {"name"},
	"catheters":            {"arterial", "venous"},
	"catheters.arterial":   {"vessel"},
	"catheters.venous":     {"vessel"},
	"injections":           {"number", "at", "volume"},
	"injections.trace":     {"file"},
	"shunt.atrial":         {"state"},
	"shunt.ventricular":    {"state"},
	"shunt.ductal":         {"state"},
	"shunt.aortopulmonary": {"state"},
	"shunt.sign-answer":    {"answer", "by", "at"},
	"events":               {"number", "at", "what"},
	"blood":                {"number", "at"},
	"support.drugs":        {"number", "name"},
	"comparators":          {"number", "method", "readings"},
	"comparators.readings": {"number", "at"},
	"earlier":              {"number", "at", "fluid"},
	"confirmations":        {"number", "at", "rule", "value", "why", "by"},
}

// shortFor names the member that a single value in place of an object stands for.
var shortFor = map[string]string{
	"patient": "identifier", "encounter": "identifier", "session.order": "identifier",
	"monitor": "name", "loop": "set", "catheters.arterial": "vessel", "catheters.venous": "vessel",
}

// sharedByAll are the values that may be given once for all levels of a shunt.
var sharedByAll = []string{"shunt.seen", "shunt.method", "shunt.by"}

// privateSections hold what tells of a person.
var privateSections = []string{"patient", "encounter", "operator", "verified.by", "subject", "session.entered.by", "session.withdrawn.by", "session.order"}

var theForm = sync.OnceValue(func() *spot {
	b := builder{root: &spot{shape: isObject}}
	for _, name := range sections {
		b.object(name)
	}
	for _, t := range things {
		l := b.object(t.path)
		l.shape, l.about = isList, t.about
		l.members = append(l.members, &spot{name: "number", shape: isSingle, form: asWhole, role: keyOf})
		if t.timed {
			l.members = append(l.members, &spot{name: "at", shape: isSingle, form: asMoment, role: timeOf})
		}
		if b.anyObtained(t.about) {
			l.members = append(l.members, obtained())
		}
	}
	for i := range admin {
		b.field(&admin[i])
	}
	for _, path := range sharedByAll {
		b.shared(path)
	}
	for i := range measure.All() {
		b.row(&measure.All()[i])
	}
	b.finish(b.root, "")
	return b.root
})

// builder makes the form of the tables.
type builder struct{ root *spot }

// object gives the spot of a dotted path, made where it is missing.
func (b *builder) object(path string) *spot {
	at := b.root
	for part := range strings.SplitSeq(path, ".") {
		next := at.member(part)
		if next == nil {
			next = &spot{name: part, shape: isObject}
			at.members = append(at.members, next)
		}
		at = next
	}
	return at
}

// leaf gives a new spot for a value at a dotted path.
func (b *builder) leaf(path string) *spot {
	sp := b.object(path)
	sp.shape = isSingle
	return sp
}

func (b *builder) field(f *field) {
	sp := b.leaf(f.path)
	sp.form, sp.field, sp.words = f.form, f, f.words
	if f.list != "" {
		l := b.object(f.path[:strings.LastIndexByte(f.path, '.')])
		l.shape, l.device = isList, f.list
	}
}

// shared makes the spot for a value of all levels of the row that has the same
// name at one level.
func (b *builder) shared(path string) {
	section, name, _ := strings.Cut(path, ".")
	for i := range measure.All() {
		if m := &measure.All()[i]; m.Sheet == section+".{}."+name {
			sp := b.leaf(path)
			sp.row, sp.form, sp.shared = m, formOf(m), true
		}
	}
}

// row makes the spots of a measure: one, or one for each thing of a closed set.
func (b *builder) row(m *measure.Measure) {
	if m.Sheet == "" {
		return
	}
	path := strings.ReplaceAll(m.Sheet, "[]", "")
	before, after, keyed := strings.Cut(path, ".{}.")
	if !keyed {
		b.measured(path, m)
		return
	}
	for _, key := range measure.ThingsOf(m.About[0]) {
		o := b.object(before + "." + key)
		o.about, o.key = m.About[0], key
		o.level = m.About[0] == measure.Level
		b.measured(before+"."+key+"."+after, m)
	}
}

// measured makes the spot of a value, or of an object around it where the value
// has a time or a way of being obtained of its own.
func (b *builder) measured(path string, m *measure.Measure) {
	alone := !strings.Contains(m.Sheet, "[]")
	if !m.Obtained && (!m.Dated || !alone) {
		sp := b.leaf(path)
		sp.row, sp.form = m, formOf(m)
		return
	}
	o := b.object(path)
	o.short = "value"
	o.members = []*spot{{name: "value", shape: isSingle, row: m, form: formOf(m)}}
	if m.Dated && alone {
		o.members = append(o.members, &spot{name: "at", shape: isSingle, form: asMomentOrDay, role: timeOf})
	}
	if m.Obtained {
		o.members = append(o.members, obtained())
	}
}

func obtained() *spot {
	return &spot{name: "obtained", shape: isSingle, form: asCode, words: measure.SetNames("obtained"), role: obtainedOf}
}

func (b *builder) anyObtained(about measure.About) bool {
	return slices.ContainsFunc(measure.All(), func(m measure.Measure) bool { return m.Obtained && m.Has(about) })
}

// finish gives every spot what its path decides.
func (b *builder) finish(sp *spot, path string) {
	sp.needs = needed[path]
	if short, ok := shortFor[path]; ok {
		sp.short = short
	}
	sp.dayTime = sp.form == asMoment && strings.HasPrefix(path, "injections.")
	sp.private = sp.form == asText || sp.form == asIdentifier || sp.row != nil && sp.row.Private
	for _, section := range privateSections {
		within := path == section || strings.HasPrefix(path, section+".")
		sp.private = sp.private || within && sp.role == noRole
	}
	if sp.row != nil && sp.form == asCode && sp.words == nil {
		sp.words = measure.SetNames(sp.row.Values)
	}
	if sp.needs == nil && sp.short == "value" {
		sp.needs = []string{"value"}
	}
	if path != "" { // lists come last
		slices.SortStableFunc(sp.members, func(x, y *spot) int { return cmp.Compare(listsLast(x), listsLast(y)) })
	}
	for _, m := range sp.members {
		b.finish(m, strings.TrimPrefix(path+"."+m.name, "."))
	}
	sp.sentence = sentenceFor(sp)
}

func listsLast(sp *spot) int {
	if sp.shape == isList {
		return 1
	}
	return 0
}

// formOf gives the way in which values of a measure are written.
func formOf(m *measure.Measure) form {
	switch m.Kind {
	case measure.Quantity:
		if record.Origin(m.DefaultOrigin()) == record.Reported {
			return asReported
		}
		return asQuantity
	case measure.Code:
		return asCode
	case measure.Time:
		return asMoment
	case measure.Date:
		return asDay
	}
	return asText
}
