package shape

import (
	"math/bits"
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// words says where the checker is.
func (c *checker) words() finding.Text { return source.PathWords(c.trail.Pointer()) }

// add takes a finding, but for those beyond the bound.
func (c *checker) add(f finding.Finding) {
	if len(c.list) >= mostFaults {
		c.left++
		return
	}
	c.list = append(c.list, f)
}

// full tells that findings are only counted.
func (c *checker) full() bool {
	if len(c.list) < mostFaults {
		return false
	}
	c.left++
	return true
}

// say adds a finding about the node that is visited, whose value may be shown.
func (c *checker) say(rule string, n *source.Node, found finding.Text, value string, allowed finding.Text) {
	c.add(finding.New(rule, c.doc.Place(n, c.trail.Pointer()), found, value, allowed))
}

// hide adds one whose value may be anything.
func (c *checker) hide(rule string, n *source.Node, found finding.Text, value string, allowed finding.Text) {
	c.add(finding.New(rule, c.doc.Place(n, c.trail.Pointer()), found, value, allowed).Hide())
}

// show adds one whose value is shown where it looks like a code, a number or a time,
// and is not of a person.
func (c *checker) show(rule string, n *source.Node, found finding.Text, value string, allowed finding.Text) {
	f := finding.New(rule, c.doc.Place(n, c.trail.Pointer()), found, value, allowed).HideProse()
	if c.person {
		f = f.Hide()
	}
	c.add(f)
}

// wanted tells of a node of the wrong kind.
func (c *checker) wanted(n *source.Node, what finding.Text) {
	if c.full() {
		return
	}
	rule := "schema-type"
	if n.Kind == source.Null {
		rule = "schema-null"
	}
	c.hide(rule, n, n.Kind.Stands(c.words()), n.Text, finding.Say("{1} is wanted", what))
}

// empty tells of a text, list or object that holds nothing.
func (c *checker) empty(n *source.Node, required bool) {
	if c.full() {
		return
	}
	var allowed finding.Text = "leave it out or fill it in"
	if required {
		allowed = "it must be filled in"
	}
	c.say("schema-empty", n, finding.Say("{1} is empty", c.words()), "", allowed)
}

func (c *checker) strayNull(n *source.Node) {
	if c.full() {
		return
	}
	c.say("schema-null", n, n.Kind.Stands(c.words()), "", "null may stand in a list only where its twin with the underscore has a value at the same index")
}

// unknown tells of a member that the definition does not have. That of a resource names
// its type.
func (c *checker) unknown(d *definition, n *source.Node, m *source.Member) {
	if m.Name == "resourceType" && d.resource || c.full() {
		return
	}
	place := c.doc.At(m.Offset, c.trail.Pointer()+source.Pointer(m.Name))
	c.add(finding.New("schema-unknown-element", place, finding.Say("{1} has a member {} that is not known here", c.words()), m.Name, source.Suggest(m.Name, d.near(m.Name))))
}

// near gives the names that a wrong one may stand for, those that are the type's own
// first; of a name that begins as a choice only the types of that.
func (d *definition) near(name string) []string {
	bare, twin := strings.CutPrefix(name, "_")
	var own, inherited, ofChoice []string
	for _, e := range d.elements {
		known := e.name
		if twin && e.form > resource && !e.attribute {
			known = "_" + known
		}
		rest, begins := strings.CutPrefix(bare, e.stem)
		switch {
		case e.stem != "" && begins && (rest == "" || rest[0] >= 'A' && rest[0] <= 'Z'):
			ofChoice = append(ofChoice, known)
		case strings.HasPrefix(e.path, d.name+"."):
			own = append(own, known)
		default:
			inherited = append(inherited, known)
		}
	}
	if ofChoice != nil {
		return ofChoice
	}
	return append(own, inherited...)
}

// choice tells of a second type of a choice, the member at an index. A primitive and its
// twin are one.
func (c *checker) choice(d *definition, n *source.Node, index int, e *element) {
	for _, m := range n.Members[:index] {
		other := d.find(strings.TrimPrefix(m.Name, "_"))
		if other == nil || other.group != e.group || other == e {
			continue
		}
		if c.full() {
			return
		}
		m := &n.Members[index]
		c.trail.Enter(m.Name)
		c.say("choice-twice", m.Value, finding.Say("a second {1}[x]", finding.Data(e.stem)), "", "one at the most")
		c.trail.Leave()
		return
	}
}

// missing tells of each group that must be there and is not.
func (c *checker) missing(d *definition, n *source.Node, groups uint64) {
	for ; groups != 0; groups &= groups - 1 {
		group := bits.TrailingZeros64(groups)
		if c.full() {
			continue
		}
		at := slices.IndexFunc(d.elements, func(e *element) bool { return e.group == group })
		c.say("element-missing", n, finding.Say("{1} is missing", finding.Data(d.elements[at].pathIn(d))), "", "FHIR R4 requires it")
	}
}

// pathIn gives the path of an element in a type that has it from its base.
func (e *element) pathIn(d *definition) string {
	return d.name + e.path[strings.LastIndexByte(e.path, '.'):]
}

// words says what a set allows.
func (s *set) words() finding.Text {
	const most = 20
	if g := s.systems[0].grammar; g != nil {
		return finding.Say("the value set {1} has {2}", finding.Data(s.name), g.words)
	}
	listed := s.listed()
	all := strings.Join(listed[:min(len(listed), most)], ", ")
	if len(listed) <= most {
		return finding.Say("the value set {1} has {2}", finding.Data(s.name), finding.Data(all))
	}
	return finding.Say("the value set {1} has {2} and {3} more", finding.Data(s.name), finding.Data(all), finding.Number(len(listed)-most))
}
