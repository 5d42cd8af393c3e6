package shape

import (
	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// checker goes through a tree and knows where it is.
type checker struct {
	Options
	tables *table
	doc    *source.Document
	trail  source.Trail
	list   finding.List
	left   int // findings beyond mostFaults

	container *source.Node // the resource that is visited, or the one that contains it
	person    bool         // what is visited tells of a person
	ids       elementIDs
}

// IsPerson tells whether resources of a type tell of a person: nothing of them is shown.
func IsPerson(kind string) bool {
	switch kind {
	case "Patient", "Practitioner", "RelatedPerson", "Person":
		return true
	}
	return false
}

// resource judges a resource and those that it holds.
func (c *checker) resource(n *source.Node) {
	d := c.kind(n)
	if d == nil {
		return
	}
	if c.Each != nil {
		c.Each(d.name, n, c.trail.Pointer)
	}
	container, person, ids := c.container, c.person, c.ids.enter()
	if len(c.trail) < 2 || c.trail[len(c.trail)-2].Name != "contained" {
		c.container = n
	}
	c.person = IsPerson(d.name)
	c.object(d, n)
	c.container, c.person = container, person
	c.ids.leave(ids)
}

// kind gives the definition of a resource, nil where it has none.
func (c *checker) kind(n *source.Node) *definition {
	if n.Kind != source.Object {
		c.wanted(n, resource.wanted())
		return nil
	}
	name := n.Get("resourceType")
	if name == nil {
		c.say("schema-resource-type", n, finding.Say("{1} has no resourceType", c.words()), "", "each resource names its type")
		return nil
	}
	d := c.tables.resources[name.Text]
	if d == nil || name.Kind != source.String {
		c.trail.Enter("resourceType")
		c.say("schema-resource-type", name, finding.Say("{1} is {}", c.words()), name.Text, c.typeAdvice(name.Text))
		c.trail.Leave()
		return nil
	}
	return d
}

// typeAdvice says what to write instead of a name that is no type.
func (c *checker) typeAdvice(name string) finding.Text {
	if near, ok := source.Nearest(name, c.tables.names); ok {
		return finding.Say("did you mean {1}?", finding.Quoted(near))
	}
	return "the name of a resource type of FHIR R4 is wanted"
}

// object judges the members of an object.
func (c *checker) object(d *definition, n *source.Node) {
	if len(n.Members) == 0 {
		c.empty(n, false)
		return
	}
	c.met(d, n)
	var seen uint64
	for i := range n.Members {
		m := &n.Members[i]
		e, twin := d.find(m.Name), false
		if e == nil {
			if e, twin = d.twin(m.Name), true; e == nil {
				c.unknown(d, n, m)
				continue
			}
		}
		bit := uint64(1) << e.group
		if e.stem != "" && seen&bit != 0 {
			c.choice(d, n, i, e)
		}
		seen |= bit
		c.trail.Enter(m.Name)
		if twin {
			c.twin(e, n, m.Value)
		} else {
			c.value(d, e, n, m.Value)
		}
		c.trail.Leave()
	}
	if missing := d.required &^ seen; missing != 0 {
		c.missing(d, n, missing)
	}
}

// twin gives the element whose twin with the underscore has this name: only primitives
// have one.
func (d *definition) twin(name string) *element {
	if len(name) < 2 || name[0] != '_' {
		return nil
	}
	if e := d.find(name[1:]); e != nil && e.form > resource && !e.attribute {
		return e
	}
	return nil
}

// value judges the value of a member: a list where there may be several.
func (c *checker) value(d *definition, e *element, holder, n *source.Node) {
	switch {
	case !e.list:
		c.one(d, e, holder, n, -1)
	case n.Kind != source.Array:
		c.wanted(n, "a list")
	case len(n.Items) == 0:
		c.empty(n, d.required>>e.group&1 != 0)
	default:
		for i, item := range n.Items {
			c.trail.Item(i)
			c.one(d, e, holder, item, i)
			c.trail.Leave()
		}
	}
}

// one judges a single value: the item of a list at an index, or with -1 no item.
func (c *checker) one(d *definition, e *element, holder, n *source.Node, index int) {
	switch {
	case n.Kind == source.Null:
		c.null(d, e, holder, n, index)
	case n.Kind != e.form.kind():
		c.wanted(n, e.form.wanted())
	case e.form == resource:
		c.resource(n)
	case e.form == object:
		c.object(e.of, n)
		if e.targets != nil {
			c.target(e, n)
		}
		if e.set != nil {
			c.concept(e, n)
		}
	default:
		c.primitive(d, e, n)
	}
}

func (c *checker) primitive(d *definition, e *element, n *source.Node) {
	what, ok := e.form.judge(n.Text)
	switch {
	case what.rule == "schema-empty":
		c.empty(n, d.required>>e.group&1 != 0)
	case what.rule == "time-not-real":
		c.show(what.rule, n, finding.Say("{1} is {}", finding.Data(e.name)), n.Text, what.allowed)
	case what.rule == "schema-control-character":
		c.hide(what.rule, n, finding.Say("{1} is {}, with a control character in it", c.words()), n.Text, what.allowed)
	case !ok:
		c.hide(what.rule, n, n.Kind.Stands(c.words()), n.Text, what.allowed)
	case e.set != nil && !e.set.known():
		c.leave(e.set)
	case e.set != nil && !e.set.has("", n.Text):
		c.show("binding-required", n, finding.Say("{1} is {}", finding.Data(e.pathIn(d))), n.Text, e.set.words())
	case e.attribute && e.name == "id":
		c.elementID(n)
	case e.form == canonical && n.Text[0] == '#' && len(n.Text) > 1 && c.inside(n.Text[1:]) == "":
		c.say("reference-unresolved", n, "the reference leads nowhere", "", "a contained resource has it as id")
	}
}

// twin judges what stands under the name of a primitive with an underscore: its id and
// extensions, in a list one for each value.
func (c *checker) twin(e *element, holder, n *source.Node) {
	field := holder.Get(e.name)
	element := c.tables.all["Element"]
	if !e.list {
		if n.Kind == source.Object {
			c.object(element, n)
		} else {
			c.wanted(n, "an object")
		}
		return
	}
	switch {
	case n.Kind != source.Array:
		c.wanted(n, "a list")
		return
	case len(n.Items) == 0:
		c.empty(n, false)
		return
	case field != nil && field.Kind == source.Array && len(field.Items) != len(n.Items):
		c.say("field-list-length", n, finding.Say("this list has {1} items, {2} has {3}", finding.Number(len(n.Items)), finding.Data(e.name), finding.Number(len(field.Items))), "", "one for each")
	}
	for i, item := range n.Items {
		c.trail.Item(i)
		switch {
		case item.Kind == source.Object:
			c.object(element, item)
		case item.Kind != source.Null:
			c.wanted(item, "an object")
		case !holds(field, i):
			c.strayNull(item)
		}
		c.trail.Leave()
	}
}

// holds tells whether a list has something at an index.
func holds(list *source.Node, i int) bool {
	return list != nil && i < len(list.Items) && list.Items[i].Kind != source.Null
}

// null: in place of a value it says nothing. In a list of primitives it stands for one
// of which the twin says something.
func (c *checker) null(d *definition, e *element, holder, n *source.Node, index int) {
	if index < 0 {
		allowed := finding.Say("{1} is wanted", e.form.wanted())
		if d.required>>e.group&1 == 0 {
			allowed = finding.Say("{1}, or leave it out", allowed)
		}
		c.say("schema-null", n, n.Kind.Stands(c.words()), "", allowed)
		return
	}
	if e.form <= resource || e.attribute || !holds(holder.Get("_"+e.name), index) {
		c.strayNull(n)
	}
}
