package site

import (
	"cmp"
	"maps"
	"regexp"
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Device is a monitor or a tubing set, with the values that it brings.
type Device struct {
	Model, Serial string
	// Reference is the record's own Device of a monitor; zero = one is written.
	Reference record.Reference
	// Values by measure.
	Values map[string]record.Value
}

// deviceName is the form of names that become part of identities.
var deviceName = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$`)

// devices reads the monitors or the tubing sets.
func (r *reader) devices(section string, into map[string]Device) {
	sectionNode := r.doc.Root.Get(section)
	if sectionNode == nil {
		return
	}
	for _, member := range sectionNode.Members {
		pointer := source.Pointer(section, member.Name)
		if !deviceName.MatchString(member.Name) {
			r.add("name-form", member.Value, pointer, finding.Say("{1} has the name {}", finding.Data(section)), member.Name, "1 to 64 letters, digits, points, underscores and hyphens are wanted, a letter or digit first")
			continue
		}
		d := Device{
			Model: orElse(member.Value.Get("model"), ""), Serial: orElse(member.Value.Get("serial"), ""),
			Reference: record.Reference{Literal: orElse(member.Value.Get("reference"), "")}, Values: map[string]record.Value{},
		}
		if id := member.Value.Get("identifier"); id != nil {
			d.Reference.System, d.Reference.Value = id.Get("system").Text, id.Get("value").Text
		}
		r.oneDescription(d, member.Value, pointer)
		for i := range measure.All() {
			m := &measure.All()[i]
			name, ok := strings.CutPrefix(m.Setting, section+".{}.")
			if n := member.Value.Get(name); ok && n != nil {
				if v, ok := r.value(m, n, pointer+source.Pointer(name)); ok {
					d.Values[m.Key] = v
				}
			}
		}
		into[member.Name] = d
	}
}

// oneDescription judges that a monitor is either described, or referred to in one way.
func (r *reader) oneDescription(d Device, n *source.Node, pointer string) {
	switch {
	case d.Reference.Literal != "" && d.Reference.Value != "":
		r.add("setting-device", n, pointer, finding.Say("{1} has a reference and an identifier", finding.Data(dotted(pointer))), "", "one of both is wanted")
	case !d.Reference.IsZero() && (d.Model != "" || d.Serial != ""):
		r.add("setting-device", n, pointer, finding.Say("{1} refers to the record's own Device and has a model or a serial number", finding.Data(dotted(pointer))), "", "that Device says them; they would not be charted")
	}
}

// device looks a monitor or a tubing set up by its name and takes its values over.
func (t *Settings) device(s *record.Session, d *record.Device) finding.List {
	var known map[string]Device
	var rule string
	var place finding.Place
	var says finding.Text
	switch d.Role {
	case "monitor":
		known, rule, place = t.Monitors, "monitor-unknown", s.Places.Fields["monitor.name"]
		says = "the monitor is {}"
	case "loop":
		known, rule, says = t.Loops, "loop-unknown", "the loop is {}"
		if f := s.Get(record.TheSession, "loop-set"); f != nil {
			place = s.Places.Of(f.Ref)
		}
	default:
		return nil
	}
	found, ok := known[d.Key]
	if !ok {
		return finding.List{finding.New(rule, place, says, d.Key, knownNames(d.Key, slices.Sorted(maps.Keys(known))))}
	}
	var list finding.List
	if d.Reference = found.Reference; !d.Reference.IsZero() && d.Version != "" {
		list = append(list, finding.New("monitor-of-the-record", s.Places.Fields["monitor.software"], "the software of the monitor is on the sheet, and the settings refer to the record's own Device", "", "that Device says it; it is not charted here"))
		d.Version = ""
	}
	d.Model, d.Serial = cmp.Or(d.Model, found.Model), cmp.Or(d.Serial, found.Serial)
	for _, key := range slices.Sorted(maps.Keys(found.Values)) {
		give(s, measure.Get(key), found.Values[key])
	}
	return list
}

func knownNames(name string, known []string) finding.Text {
	names := finding.Data(strings.Join(known, ", "))
	if near, ok := source.Nearest(name, known); ok {
		return finding.Say("did you mean {1}? The settings of the site know {2}", finding.Quoted(near), names)
	}
	if len(known) == 0 {
		return "the settings of the site know none"
	}
	return finding.Say("the settings of the site know {1}", names)
}
