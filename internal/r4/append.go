package r4

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"strconv"
	"unicode/utf8"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/source"
)

// appender writes what a bundle has by the hundred without looking at every member
// that R4 allows: the data types below, in the very bytes that encoding/json gives.
// A value with a member that we never write goes the long way, so nothing is lost.
// A value without content is an error.
type appender struct {
	b      []byte
	member string // the last that was begun
	err    error  // the first
}

func (a *appender) fail(err error) {
	if a.err == nil {
		a.err = err
	}
}

// hollow fails for a value without content.
func (a *appender) hollow(member, what string) {
	a.fail(fmt.Errorf("member %q is %s; an element without content is left out, a required one must be set", member, what))
}

// long writes a value by encoding/json.
func (a *appender) long(v any) {
	var b bytes.Buffer
	encoder := json.NewEncoder(&b)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(v); err != nil {
		a.fail(err)
		return
	}
	text := bytes.TrimSuffix(b.Bytes(), []byte("\n"))
	if member, what := hollow(text); what != "" {
		a.hollow(cmp.Or(member, a.member), what)
	}
	a.b = append(a.b, text...)
}

// whole gives what was written of a resource.
func (a *appender) whole(resource any) ([]byte, error) {
	if a.err != nil {
		return nil, fmt.Errorf("writing a %T: %w", resource, a.err)
	}
	return a.b, nil
}

func (a *appender) open() { a.b = append(a.b, '{') }

func (a *appender) close() {
	if a.b[len(a.b)-1] == '{' {
		a.hollow(a.member, "an empty object")
	}
	a.b = append(a.b, '}')
}

// name writes the name of a member, behind a comma where one stands before it.
func (a *appender) name(name string) {
	a.member = name
	b := a.b
	if b[len(b)-1] != '{' {
		b = append(b, ',')
	}
	b = append(b, '"')
	b = append(b, name...)
	a.b = append(b, '"', ':')
}

// quote writes a text. One with characters that are seldom written goes the long way.
func (a *appender) quote(s string) {
	if s == "" {
		a.hollow(a.member, "an empty text")
	}
	b, ok := appendEscaped(append(a.b, '"'), s)
	if !ok {
		a.long(s)
		return
	}
	a.b = append(b, '"')
}

// appendEscaped appends the inside of a text, as encoding/json writes it: with a backslash
// before a quote and a backslash, and \n for the end of a line. It gives up at another
// control character, at the line ends of Unicode, and at what is no UTF-8.
func appendEscaped(b []byte, s string) (_ []byte, ok bool) {
	from := 0 // what is not yet written
	for i := source.EndOfPlain(s, 0); i < len(s); i = source.EndOfPlain(s, i) {
		switch c := s[i]; {
		case c == '"' || c == '\\':
			b = append(append(b, s[from:i]...), '\\', c)
			i++
			from = i
		case c == '\n':
			b = append(append(b, s[from:i]...), '\\', 'n')
			i++
			from = i
		case c < ' ':
			return nil, false
		default:
			r, size := utf8.DecodeRuneInString(s[i:])
			if r == utf8.RuneError || r == '\u2028' || r == '\u2029' {
				return nil, false
			}
			i += size
		}
	}
	return append(b, s[from:]...), true
}

func (a *appender) text(name string, s *string) {
	if s != nil {
		a.name(name)
		a.quote(*s)
	}
}

func (a *appender) code(name, code string) {
	a.name(name)
	a.quote(code)
}

// number writes a decimal; encoding/json refuses what is none.
func (a *appender) number(name string, n *json.Number) {
	if n == nil {
		return
	}
	a.name(name)
	if plainNumber(string(*n)) {
		a.b = append(a.b, *n...)
	} else {
		a.long(*n)
	}
}

func (a *appender) integer(name string, i *int) {
	if i != nil {
		a.name(name)
		a.b = strconv.AppendInt(a.b, int64(*i), 10)
	}
}

func (a *appender) truth(name string, b *bool) {
	if b != nil {
		a.name(name)
		a.b = strconv.AppendBool(a.b, *b)
	}
}

// one writes a member that may be there, list one that may hold several.
func one[T any](a *appender, name string, v *T, write func(*appender, *T)) {
	if v != nil {
		a.name(name)
		write(a, v)
	}
}

func list[T any](a *appender, name string, items []T, write func(*appender, *T)) {
	if len(items) == 0 {
		return
	}
	a.name(name)
	a.b = append(a.b, '[')
	for i := range items {
		if i > 0 {
			a.b = append(a.b, ',')
		}
		write(a, &items[i])
	}
	a.b = append(a.b, ']')
}

func (a *appender) coding(c *fhir.Coding) {
	if c.Id != nil || c.Extension != nil || c.Version != nil || c.UserSelected != nil {
		a.long(c)
		return
	}
	a.open()
	a.text("system", c.System)
	a.text("code", c.Code)
	a.text("display", c.Display)
	a.close()
}

func (a *appender) concept(c *fhir.CodeableConcept) {
	if c.Id != nil || c.Extension != nil {
		a.long(c)
		return
	}
	a.open()
	list(a, "coding", c.Coding, (*appender).coding)
	a.text("text", c.Text)
	a.close()
}

func (a *appender) quantity(q *fhir.Quantity) {
	if q.Id != nil || q.Extension != nil || q.Comparator != nil {
		a.long(q)
		return
	}
	a.open()
	a.number("value", q.Value)
	a.text("unit", q.Unit)
	a.text("system", q.System)
	a.text("code", q.Code)
	a.close()
}

func (a *appender) samples(s *fhir.SampledData) {
	if s.Id != nil || s.Extension != nil {
		a.long(s)
		return
	}
	a.open()
	one(a, "origin", &s.Origin, (*appender).quantity)
	a.number("period", &s.Period)
	a.number("factor", s.Factor)
	a.number("lowerLimit", s.LowerLimit)
	a.number("upperLimit", s.UpperLimit)
	a.integer("dimensions", &s.Dimensions)
	a.text("data", s.Data)
	a.close()
}

func (a *appender) identifier(i *fhir.Identifier) {
	if i.Id != nil || i.Extension != nil || i.Use != nil || i.Type != nil || i.Period != nil || i.Assigner != nil {
		a.long(i)
		return
	}
	a.open()
	a.text("system", i.System)
	a.text("value", i.Value)
	a.close()
}

func (a *appender) reference(r *fhir.Reference) {
	if r.Id != nil || r.Extension != nil || r.Display != nil {
		a.long(r)
		return
	}
	a.open()
	a.text("reference", r.Reference)
	a.text("type", r.Type)
	one(a, "identifier", r.Identifier, (*appender).identifier)
	a.close()
}

func (a *appender) period(p *fhir.Period) {
	if p.Id != nil || p.Extension != nil {
		a.long(p)
		return
	}
	a.open()
	a.text("start", p.Start)
	a.text("end", p.End)
	a.close()
}

func (a *appender) narrative(n *fhir.Narrative) {
	if n.Id != nil || n.Extension != nil {
		a.long(n)
		return
	}
	a.open()
	a.code("status", n.Status.Code())
	a.code("div", n.Div)
	a.close()
}

func (a *appender) meta(m *fhir.Meta) {
	if m.Id != nil || m.Extension != nil || m.VersionId != nil || m.LastUpdated != nil || m.Source != nil || m.Tag != nil {
		a.long(m)
		return
	}
	a.open()
	list(a, "profile", m.Profile, func(a *appender, canonical *string) { a.quote(*canonical) })
	list(a, "security", m.Security, (*appender).coding)
	a.close()
}

func (a *appender) extension(e *Extension) {
	a.open()
	a.code("url", e.URL)
	a.text("valueCode", e.ValueCode)
	one(a, "valueCodeableConcept", e.ValueCodeableConcept, (*appender).concept)
	a.close()
}

func (a *appender) component(c *Component) {
	a.open()
	list(a, "extension", c.Extension, (*appender).extension)
	a.name("code")
	a.concept(&c.Code)
	one(a, "valueQuantity", c.ValueQuantity, (*appender).quantity)
	one(a, "valueCodeableConcept", c.ValueCodeableConcept, (*appender).concept)
	a.text("valueString", c.ValueString)
	a.truth("valueBoolean", c.ValueBoolean)
	a.integer("valueInteger", c.ValueInteger)
	a.text("valueDateTime", c.ValueDateTime)
	one(a, "dataAbsentReason", c.DataAbsentReason, (*appender).concept)
	a.close()
}

// observation writes an Observation; false tells that it has a member that we never
// write.
func (a *appender) observation(o *Observation) bool {
	if o.rare() {
		return false
	}
	a.head("Observation", o.Id, o.Meta, nil, o.Text)
	list(a, "identifier", o.Identifier, (*appender).identifier)
	list(a, "basedOn", o.BasedOn, (*appender).reference)
	list(a, "partOf", o.PartOf, (*appender).reference)
	a.code("status", o.Status.Code())
	list(a, "category", o.Category, (*appender).concept)
	a.name("code")
	a.concept(&o.Code)
	one(a, "subject", o.Subject, (*appender).reference)
	one(a, "encounter", o.Encounter, (*appender).reference)
	a.text("effectiveDateTime", o.EffectiveDateTime)
	one(a, "effectivePeriod", o.EffectivePeriod, (*appender).period)
	a.text("issued", o.Issued)
	list(a, "performer", o.Performer, (*appender).reference)
	one(a, "valueQuantity", o.ValueQuantity, (*appender).quantity)
	one(a, "valueCodeableConcept", o.ValueCodeableConcept, (*appender).concept)
	a.text("valueString", o.ValueString)
	one(a, "valueSampledData", o.ValueSampledData, (*appender).samples)
	a.text("valueDateTime", o.ValueDateTime)
	one(a, "dataAbsentReason", o.DataAbsentReason, (*appender).concept)
	list(a, "note", o.Note, (*appender).annotation)
	one(a, "bodySite", o.BodySite, (*appender).concept)
	one(a, "method", o.Method, (*appender).concept)
	one(a, "device", o.Device, (*appender).reference)
	list(a, "hasMember", o.HasMember, (*appender).reference)
	list(a, "derivedFrom", o.DerivedFrom, (*appender).reference)
	list(a, "extension", o.Extension, (*appender).extension)
	list(a, "component", o.Component, (*appender).component)
	a.close()
	return true
}

// rare tells whether an Observation has a member that we never write.
func (o *Observation) rare() bool {
	return o.ImplicitRules != nil || o.Language != nil || o.ModifierExtension != nil || o.Focus != nil ||
		o.EffectiveTiming != nil || o.EffectiveInstant != nil || o.ValueBoolean != nil || o.ValueInteger != nil ||
		o.ValueRange != nil || o.ValueRatio != nil || o.ValueTime != nil || o.ValuePeriod != nil ||
		o.Interpretation != nil || o.Specimen != nil || o.ReferenceRange != nil
}
