package site

import (
	"errors"
	"regexp"
	"regexp/syntax"
	"strconv"

	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping/record"
)

// Identifier is what the identifiers of one system look like at this site. The zero
// Identifier takes any.
type Identifier struct {
	// Pattern is held against the whole identifier; Written is how the file has it.
	Pattern *regexp.Regexp
	Written string
	// CheckDigit is the name of a scheme of checkDigits, Weights are its weights.
	CheckDigit string
	Weights    []int
}

// systemURL is a system of identifiers by its name in the settings.
type systemURL struct {
	name string
	url  *string
	// described: the hospital gives these identifiers out, and the settings may say what
	// they look like. The others are made by this program.
	described bool
}

func (t *Settings) systems() []systemURL {
	return []systemURL{
		{"session", &t.Systems.Session, false}, {"device", &t.Systems.Device, false}, {"person", &t.Systems.Person, true},
		{"patient", &t.Systems.Patient, true}, {"encounter", &t.Systems.Encounter, true}, {"order", &t.Systems.Order, true},
	}
}

// readSystems reads the systems of identifiers, each an address or an object with
// what its identifiers look like.
func (r *reader) readSystems() {
	for _, s := range r.t.systems() {
		n := r.doc.Root.Get("systems").Get(s.name)
		*s.url = r.t.Base + "/sid/" + s.name
		switch {
		case n == nil:
		case n.Kind == source.Object:
			*s.url = n.Get("system").Text
			if id, ok := r.identifier(n, source.Pointer("systems", s.name)); ok {
				r.t.Identifiers[s.name] = id
			}
		default:
			*s.url = n.Text
		}
	}
}

// identifier reads what the identifiers of a system look like; ok is false where the
// settings do not say.
func (r *reader) identifier(n *source.Node, pointer string) (id Identifier, ok bool) {
	if p := n.Get("pattern"); p != nil {
		id.Written = p.Text
		id.Pattern = r.pattern(p, pointer+"/pattern")
		ok = true
	}
	if c := n.Get("check-digit"); c != nil {
		id.CheckDigit = c.Text
		ok = true
	}
	if w := n.Get("weights"); w != nil {
		for _, item := range w.Items {
			weight, _ := strconv.Atoi(item.Text) // whole and bounded by the schema
			id.Weights = append(id.Weights, weight)
		}
		ok = true
	}
	scheme := checkDigitOf(id.CheckDigit)
	if weighted := scheme != nil && scheme.weighted; weighted != (id.Weights != nil) {
		says := map[bool]finding.Text{true: "{1} has the check digit {} without weights", false: "{1} has weights and the check digit {}"}[weighted]
		r.add("setting-check-digit", n, pointer, finding.Say(says, finding.Data(dotted(pointer))), id.CheckDigit,
			finding.Say("weights belong to {1} and to no other scheme", finding.And(finding.Datas(weightedSchemes())...)))
	}
	return id, ok
}

// pattern compiles a pattern so that it holds of the whole identifier. RE2 takes time
// in proportion to the text, whatever the pattern; the schema bounds its length.
func (r *reader) pattern(n *source.Node, pointer string) *regexp.Regexp {
	compiled, err := regexp.Compile(`^(?:` + n.Text + `)$`)
	wanted := finding.Say("a regular expression (RE2) is wanted, for example {1}", finding.Quoted("[A-Z]{2}[0-9]{6}"))
	if _, alone := syntax.Parse(n.Text, syntax.Perl); alone != nil || err != nil {
		part := n.Text
		if fault := (*syntax.Error)(nil); errors.As(alone, &fault) {
			part = fault.Expr
		}
		r.add("setting-pattern", n, pointer, finding.Say("{1} cannot be read at {}", finding.Data(dotted(pointer))), part, wanted)
		return nil
	}
	if compiled.NumSubexp() > 1 {
		r.add("setting-pattern", n, pointer, finding.Say("{1} has {} groups", finding.Data(dotted(pointer))), strconv.Itoa(compiled.NumSubexp()), "one group at most, around what the check digit is of; others are written (?:...)")
		return nil
	}
	return compiled
}

// Check judges whom and what a session names: that identifiers look as those of this
// site do, and that persons may do what they did. A value never stands in a finding
// unless it is asked for.
func (t *Settings) Check(s *record.Session) finding.List {
	var list finding.List
	for _, named := range []struct {
		path, system string
		ref          record.Reference
	}{
		{"patient.identifier", "patient", s.Patient},
		{"encounter.identifier", "encounter", s.Encounter},
		{"session.order.identifier", "order", s.Order},
	} {
		url := map[string]string{"patient": t.Systems.Patient, "encounter": t.Systems.Encounter, "order": t.Systems.Order}[named.system]
		if named.ref.System == "" || named.ref.System == url { // others are not this site's
			list = append(list, t.judge(s, named.path, named.system, named.ref.Value)...)
		}
	}
	for _, p := range personsOf(s) {
		list = append(list, t.judge(s, p.path, "person", p.identifier)...)
		list = append(list, t.mayDo(s, p)...)
	}
	list.Sort()
	return list
}

// judge holds one identifier against what those of its system look like.
func (t *Settings) judge(s *record.Session, path, system, value string) finding.List {
	id, ok := t.Identifiers[system]
	if !ok || value == "" {
		return nil
	}
	place := s.Places.Fields[path]
	checked := value
	if id.Pattern != nil {
		parts := id.Pattern.FindStringSubmatch(value)
		if parts == nil {
			return finding.List{finding.New("identifier-pattern", place, finding.Say("{1} is {}", finding.Data(path)), value, finding.Say("the settings of the site want the form {1}", finding.Quoted(id.Written))).Hide()}
		}
		checked = parts[len(parts)-1]
	}
	if scheme := checkDigitOf(id.CheckDigit); scheme != nil && !scheme.holds(plainCharacters(checked), id.Weights) {
		return finding.List{finding.New("identifier-check-digit", place, finding.Say("{1} is {}, whose check digit is wrong", finding.Data(path)), value, "a character was mistyped or left out, or two were exchanged; look it up anew").Hide()}
	}
	return nil
}
