package sheet

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Write writes a session as a sheet in YAML: what Read reads, in the order of the
// form, the same bytes for the same session. A session written and read again is
// the same, places apart, for what a sheet carries: stated and reported facts and
// the fields of the session. Facts of other origins, statuses and labels are not
// on a sheet; model and serial number of the monitor come from the settings.
//
// The error tells of a fact that no sheet can state.
func Write(s *record.Session) ([]byte, error) {
	sorted := *s
	sorted.Facts = slices.Clone(s.Facts)
	sorted.Sort()
	w := writer{s: &sorted}
	root := w.object(theForm(), record.TheSession)
	if w.err != nil {
		return nil, fmt.Errorf("writing the sheet of session %s: %w", s.ID, w.err)
	}
	return root.yaml(), nil
}

// writer goes along the form and takes out of the session what stands there.
type writer struct {
	s   *record.Session
	err error
}

func (w *writer) fail(format string, args ...any) {
	if w.err == nil {
		w.err = fmt.Errorf(format, args...)
	}
}

// spot gives what stands at a spot, nil where nothing does.
func (w *writer) spot(sp *spot, thing record.Thing) *line {
	switch sp.shape {
	case isList:
		return w.list(sp, thing)
	case isObject:
		if sp.key != "" {
			thing = record.Thing{Kind: sp.about, Key: sp.key}
		}
		o := w.object(sp, thing)
		switch {
		case len(o.members) == 0:
			return nil
		case sp.short != "" && len(o.members) == 1 && o.members[0].name == sp.short && !slices.Contains(sp.needs, "at"):
			return o.members[0].value
		}
		return o
	}
	return w.single(sp, thing)
}

func (w *writer) object(sp *spot, thing record.Thing) *line {
	o := &line{}
	for _, m := range sp.members {
		var value *line
		switch m.role {
		case keyOf:
			value = &line{plain: ownKey(thing.Key)}
		case timeOf, obtainedOf:
			value = w.beside(sp, m, thing)
		default:
			value = w.spot(m, thing)
		}
		if value != nil {
			o.members = append(o.members, named{m.name, value})
		}
	}
	return o
}

// beside gives the time of a thing or value, or how it was obtained.
func (w *writer) beside(around, sp *spot, thing record.Thing) *line {
	var own *measure.Measure // the value that the object is around, if it is around one
	if around.short == "value" {
		own = around.member("value").row
	}
	for i := range w.s.Facts {
		f := &w.s.Facts[i]
		m := measure.Get(f.Measure)
		if m == nil || f.About != thing || !onSheet(f) || own != nil && m != own {
			continue
		}
		switch {
		case sp.role == obtainedOf && own != nil && f.Obtained != "":
			return &line{text: f.Obtained}
		case sp.role == timeOf && f.At != "" && m.In == "":
			return &line{text: string(f.At)}
		}
	}
	return nil
}

// onSheet tells whether a sheet can carry a fact of that origin.
func onSheet(f *record.Fact) bool { return f.Origin == record.Stated || f.Origin == record.Reported }

// list gives the things of a kind, those within a thing where it is one.
func (w *writer) list(sp *spot, around record.Thing) *line {
	var l line
	if sp.device != "" {
		return w.devices(sp)
	}
	for _, thing := range w.s.Things(sp.about) {
		own := thing.Key
		if around.Kind != measure.Session {
			within, ok := strings.CutPrefix(thing.Key, around.Key+".")
			if !ok {
				continue
			}
			own = within
		}
		if n, err := strconv.Atoi(own); err != nil || n < 1 || n > greatest || strconv.Itoa(n) != own {
			w.fail("%s %q is no number of a list", sp.about, thing.Key)
		}
		l.items = append(l.items, w.object(sp, thing))
	}
	if len(l.items) == 0 {
		return nil
	}
	return &l
}

// devices gives the devices of a role: each is seen as the last of a session.
func (w *writer) devices(sp *spot) *line {
	var l line
	for _, d := range w.s.Devices {
		if d.Role == sp.device {
			one := writer{s: &record.Session{Devices: []record.Device{d}}}
			l.items = append(l.items, one.object(sp, record.TheSession))
		}
	}
	if len(l.items) == 0 {
		return nil
	}
	return &l
}

// single gives one value.
func (w *writer) single(sp *spot, thing record.Thing) *line {
	switch {
	case sp.form == asVersion:
		return &line{plain: strconv.Itoa(Version)}
	case sp.shared:
		return nil // written at each level
	case sp.row != nil:
		f := w.s.Find(thing, sp.row.Key, record.Origin(sp.row.DefaultOrigin()))
		if f == nil || f.Value.Absent.Reason == notReported {
			return nil
		}
		return w.value(f)
	case sp.field != nil && sp.field.at != nil:
		// Looking at a device that is not there adds it: to a copy.
		c := *w.s
		c.Devices = slices.Clone(c.Devices)
		return fieldLine(sp.field.at(&c))
	}
	return nil
}

func fieldLine(at any) *line {
	switch at := at.(type) {
	case *string:
		if *at != "" {
			return &line{text: *at}
		}
	case *record.Time:
		if *at != "" {
			return &line{text: string(*at)}
		}
	case *int:
		if *at != 0 {
			return &line{plain: strconv.Itoa(*at)}
		}
	case *bool:
		if *at {
			return &line{text: "yes"}
		}
	}
	return nil
}

func (w *writer) value(f *record.Fact) *line {
	v := f.Value
	switch {
	case v.IsAbsent():
		words, ok := writeReported(v.Absent)
		if !ok || f.Origin != record.Reported {
			w.fail("%s of %s %s is absent (%s), which no sheet states", f.Measure, f.About.Kind, f.About.Key, v.Absent.Reason)
		}
		return &line{text: words}
	case v.Quantity.Number != "":
		return &line{text: v.Quantity.String()}
	case v.Code != "":
		return &line{text: v.Code}
	case v.Time != "":
		return &line{text: string(v.Time)}
	case v.Text != "":
		return &line{text: v.Text}
	}
	w.fail("%s of %s %s has no value that a sheet states", f.Measure, f.About.Kind, f.About.Key)
	return nil
}
