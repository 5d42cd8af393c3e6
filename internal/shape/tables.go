package shape

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"
)

//go:embed definitions.tsv
var text string

// table is all that definitions.tsv says.
type table struct {
	resources map[string]*definition // that may stand alone: no abstract ones
	all       map[string]*definition
	sets      map[string]*set
	names     []string // of resources, sorted
}

// definition is an object of FHIR: a resource, a data type, or a part of one.
type definition struct {
	name     string
	serial   int // its place in the table, from 1
	resource bool
	base     *definition
	own      []row
	elements []*element // those of the base first, in the order of the definitions
	groups   int        // elements, those of a choice counted as one
	required uint64     // a bit for each group that must be there
	slots    []*element // by name, see find
}

// element is a member that an object may have, under its JSON name: each type of a
// choice is one.
type element struct {
	name      string
	path      string // as FHIR writes it: Observation.value[x]
	stem      string // value, of a choice; else ""
	group     int
	list      bool
	form      form
	of        *definition // of an object
	attribute bool        // has no twin with the underscore
	set       *set        // of a required binding
	targets   []string    // resource types that a reference may lead to; nil for any
}

// mostGroups is how many elements an object may have: required is as wide. A test holds
// the definitions against it.
const mostGroups = 64

// set is a value set: of each system the codes that the standard lists or, where it
// lists none, those that the system's grammar has. One without systems is not known.
type set struct {
	name    string
	systems []codes
}

type codes struct {
	system  string
	listed  []string // in the order of the standard
	sorted  []string
	grammar *grammar // of a system as a whole
}

func (c *codes) has(code string) bool {
	if c.grammar != nil {
		return c.grammar.has(code)
	}
	_, found := slices.BinarySearch(c.sorted, code)
	return found
}

// has tells whether the set has a code; a code without a system may be of any.
func (s *set) has(system, code string) bool {
	for i := range s.systems {
		if c := &s.systems[i]; (system == "" || system == c.system) && c.has(code) {
			return true
		}
	}
	return false
}

// known tells whether it can be judged what the set has.
func (s *set) known() bool { return len(s.systems) > 0 }

// listed gives all codes, in the order of the standard.
func (s *set) listed() []string {
	var all []string
	for _, c := range s.systems {
		all = append(all, c.listed...)
	}
	return all
}

// row is a line of an element.
type row struct{ name, count, types, set string }

// tables are read when they are first needed.
var tables = sync.OnceValues(func() (*table, error) { return parse(text) })

func parse(text string) (*table, error) {
	t := &table{resources: map[string]*definition{}, all: map[string]*definition{}, sets: map[string]*set{}}
	bases := map[*definition]string{}
	order, err := t.lines(text, bases)
	if err != nil {
		return nil, err
	}
	for d, base := range bases {
		if d.base = t.all[base]; d.base == nil && base != "" {
			return nil, fmt.Errorf("%s: no base %s", d.name, base)
		}
	}
	for _, d := range order {
		if err := t.fill(d); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// lines reads the text: a line that is not indented begins something, indented ones
// belong to it.
func (t *table) lines(text string, bases map[*definition]string) (order []*definition, err error) {
	var d *definition
	var s *set
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		kind, rest, _ := strings.Cut(line, "\t")
		switch {
		case strings.HasPrefix(line, "#"):
		case kind == "set":
			d, s = nil, &set{name: rest}
			t.sets[rest] = s
		case kind != "":
			name, base, _ := strings.Cut(rest, "\t")
			d, s = &definition{name: name, serial: len(order) + 1, resource: kind == "resource" || base == "" && name == "Resource"}, nil
			t.all[name], bases[d], order = d, base, append(order, d)
			if kind == "resource" {
				t.resources[name], t.names = d, append(t.names, name)
			}
		case d != nil:
			cells := strings.SplitN(rest+"\t\t", "\t", 4)
			d.own = append(d.own, row{cells[0], cells[1], cells[2], strings.TrimRight(cells[3], "\t")})
		case s != nil:
			c, err := readCodes(strings.Split(rest, "\t"))
			if err != nil {
				return nil, fmt.Errorf("%s: %w", s.name, err)
			}
			s.systems = append(s.systems, c)
		default:
			return nil, fmt.Errorf("%q belongs to nothing", line)
		}
	}
	return order, nil
}

// readCodes reads a line of a set: a system and its codes, none for all that it has.
func readCodes(cells []string) (codes, error) {
	c := codes{system: cells[0], listed: cells[1:], sorted: slices.Sorted(slices.Values(cells[1:]))}
	if len(c.listed) > 0 {
		return c, nil
	}
	g, ok := grammars[c.system]
	if !ok {
		return c, fmt.Errorf("no codes of %s, and no grammar", c.system)
	}
	c.grammar = &g
	return c, nil
}

// fill gives a definition its elements: those of its base, then its own, of which some
// stand in place of one of the base.
func (t *table) fill(d *definition) error {
	if d.slots != nil {
		return nil
	}
	if d.base != nil {
		if err := t.fill(d.base); err != nil {
			return err
		}
		d.elements, d.groups, d.required = slices.Clone(d.base.elements), d.base.groups, d.base.required
		d.resource = d.resource || d.base.resource
	}
	for _, r := range d.own {
		if err := t.add(d, r); err != nil {
			return err
		}
	}
	if d.groups > mostGroups {
		return fmt.Errorf("%s has %d elements, more than %d", d.name, d.groups, mostGroups)
	}
	d.own = nil
	d.index()
	return nil
}

func (t *table) add(d *definition, r row) error {
	path := d.name + "." + r.name
	stem, choice := strings.CutSuffix(r.name, "[x]")
	group := d.groups
	for i, e := range d.elements {
		if e.name == stem || choice && e.stem == stem {
			group = e.group
			d.elements = slices.Concat(d.elements[:i:i], slices.DeleteFunc(slices.Clone(d.elements[i:]), func(e *element) bool { return e.group == group }))
			break
		}
	}
	d.groups = max(d.groups, group+1)
	least, most, ok := strings.Cut(r.count, "..")
	if !ok {
		return fmt.Errorf("%s: cardinality %q", path, r.count)
	}
	if most == "0" {
		return nil
	}
	d.required &^= 1 << group
	if least == "1" {
		d.required |= 1 << group
	}
	for kind := range strings.FieldsSeq(r.types) {
		e := &element{name: stem, path: path, group: group, list: most == "*", set: t.sets[r.set]}
		if r.set != "" && e.set == nil {
			return fmt.Errorf("%s: no value set %q", path, r.set)
		}
		if err := t.typed(e, kind); err != nil {
			return err
		}
		if choice {
			name, _, _ := strings.Cut(kind, "(")
			e.stem, e.name = stem, stem+strings.ToUpper(name[:1])+name[1:]
		}
		d.elements = append(d.elements, e)
	}
	return nil
}

// typed gives an element its type.
func (t *table) typed(e *element, kind string) error {
	kind, e.attribute = strings.CutPrefix(kind, "attribute:")
	if targets, ok := strings.CutPrefix(kind, "Reference("); ok {
		kind = "Reference"
		e.targets = strings.Split(strings.TrimSuffix(targets, ")"), "|")
	}
	if profile, ok := strings.CutPrefix(kind, "Quantity("); ok {
		kind = strings.TrimSuffix(profile, ")")
	}
	if f, ok := primitives[kind]; ok {
		e.form = f
		e.attribute = e.attribute || f == xhtml
		return nil
	}
	if e.of = t.all[kind]; e.of == nil {
		return fmt.Errorf("%s: no type %s", e.path, kind)
	}
	e.form = object
	if kind == "Resource" {
		e.form = resource
	}
	return nil
}

// index puts the elements into slots, at most half of which are taken.
func (d *definition) index() {
	size := 2
	for size < 2*len(d.elements) {
		size *= 2
	}
	d.slots = make([]*element, size)
	for _, e := range d.elements {
		at := hash(e.name) & (size - 1)
		for d.slots[at] != nil {
			at = (at + 1) & (size - 1)
		}
		d.slots[at] = e
	}
}

// find gives the element of a name, nil where there is none.
func (d *definition) find(name string) *element {
	if name == "" {
		return nil
	}
	mask := len(d.slots) - 1
	for at := hash(name) & mask; ; at = (at + 1) & mask {
		if e := d.slots[at]; e == nil || e.name == name {
			return e
		}
	}
}

// hash mixes the length of a name and four of its letters, which tell those of one
// object apart well enough.
func hash(name string) int {
	n := len(name)
	h := uint32(n)<<24 | uint32(name[0])<<16 | uint32(name[n-1])<<8 | uint32(name[n/2])
	h = (h ^ uint32(name[n*3/4])<<13) * 0x9E3779B1
	return int(h >> 16)
}
