package mapping_test

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"pgregory.net/rapid"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// randomSession draws a session from the table of measures: any rows, about any
// things, with any values. It is what a sheet cannot be in one respect: its values
// do not follow from one another, so mapping may not lean on that.
func randomSession(t *rapid.T) *record.Session {
	g := generator{t: t}
	s := &record.Session{
		ID: "demo-2031." + g.text("id", `[A-Za-z0-9._-]{1,8}`), Revision: 1, Test: g.yes("test"),
		Start: "2031-05-03T14:20:00+02:00", End: "2031-05-03T14:40:00+02:00",
		Patient:   record.Reference{System: "https://hospital.example/patients", Value: g.text("patient", `[A-Z0-9|,$\\ ]{0,6}[A-Z0-9]`)},
		Encounter: g.reference("Encounter"), Order: g.reference("ServiceRequest"),
		Operator: g.maybe("operator", `demo-person-[0-9]`),
	}
	if g.yes("literal") {
		s.Patient = record.Reference{Literal: "Patient/123"}
	}
	if g.yes("entered") {
		s.EnteredBy, s.EnteredAt = "demo-person-7", "2031-05-03T14:50:00+02:00"
	}
	if g.yes("verified") {
		s.Verification = record.Verification{By: "demo-person-9", At: "2031-05-03T14:55:00Z", Revision: 1}
	}
	g.devices(s)
	g.facts(s)
	return s
}

type generator struct{ t *rapid.T }

func (g generator) yes(what string) bool { return rapid.Bool().Draw(g.t, what) }

func (g generator) text(what, pattern string) string {
	return rapid.StringMatching(pattern).Draw(g.t, what)
}

func (g generator) maybe(what, pattern string) string {
	if g.yes(what + "?") {
		return g.text(what, pattern)
	}
	return ""
}

func (g generator) one(what string, n int) int { return rapid.IntRange(0, n-1).Draw(g.t, what) }

func pick[T any](g generator, what string, list []T) T { return list[g.one(what, len(list))] }

func (g generator) reference(kind string) record.Reference {
	switch g.one(kind, 3) {
	case 0:
		return record.Reference{}
	case 1:
		return record.Reference{Literal: kind + "/9"}
	}
	return record.Reference{System: "https://hospital.example/" + kind, Value: g.text(kind, `[A-Z0-9 |]{1,5}`)}
}

func (g generator) devices(s *record.Session) {
	if g.yes("monitor of the record") {
		s.Devices = append(s.Devices, record.Device{Role: "monitor", Key: g.text("key", `[a-z0-9_ ü.-]{1,6}`), Reference: pick(g, "reference", []record.Reference{
			{Literal: "Device/m-1"}, {System: "urn:oid:2.999.5", Value: "M 1"},
		})})
	}
	for _, role := range []string{"monitor", "loop", "disposable"} {
		if g.yes(role) {
			s.Devices = append(s.Devices, record.Device{
				Role: role, Key: g.text("key", `[a-z0-9_ ü.-]{1,6}`), Model: g.maybe("model", `[A-Za-z ]{0,4}x`),
				Serial: g.maybe("serial", `[0-9]{1,4}`), Version: g.maybe("version", `[0-9.]{1,4}( \(b\))?`),
				Lot: g.maybe("lot", `[A-Z0-9]{1,4}`), Expiry: record.Time(g.maybe("expiry", `2032-0[1-9]-1[0-9]`)),
			})
		}
	}
}

// facts draws rows of the table about things, groups and other carriers first.
func (g generator) facts(s *record.Session) {
	things := g.things()
	have := map[record.Ref]bool{}
	var own []record.Ref
	add := func(f record.Fact) {
		if !have[f.Ref] {
			have[f.Ref] = true
			s.Facts = append(s.Facts, f)
		}
	}
	for i := range measure.All() {
		m := &measure.All()[i]
		for _, thing := range things {
			if m.In != "" || !m.Has(thing.Kind) || m.Key != "session-panel" && !g.yes(m.Key) {
				continue
			}
			f := g.fact(s, m, thing)
			own = append(own, f.Ref)
			add(f)
		}
	}
	for i := range measure.All() {
		m := &measure.All()[i]
		for _, thing := range things {
			if m.In == "" || !m.Has(thing.Kind) || m.Key == "flow-stands-for" || !g.yes(m.Key) || !hasCarrier(s, m, thing) {
				continue
			}
			f := record.Fact{Ref: record.Ref{About: thing, Measure: m.Key, Origin: g.origin(m)}, Value: g.value(m)}
			add(f)
		}
	}
	for i := range s.Facts {
		f := &s.Facts[i]
		if m := measure.Get(f.Measure); m.In == "" && f.Measure != "session-panel" {
			f.From = slices.DeleteFunc(rapid.SliceOfNDistinct(rapid.SampledFrom(own), 0, min(3, len(own)), rapid.ID).Draw(g.t, "from"),
				func(r record.Ref) bool { return r == f.Ref })
			if len(f.From) == 0 {
				f.From = nil
			}
			f.Method = g.method(s, f, m)
		}
	}
}

func hasCarrier(s *record.Session, m *measure.Measure, thing record.Thing) bool {
	about := record.TheSession
	if measure.Get(m.In).Has(thing.Kind) {
		about = thing
	}
	return s.Get(about, m.In) != nil
}

func (g generator) things() []record.Thing {
	things := []record.Thing{record.TheSession}
	for _, level := range measure.Levels {
		things = append(things, record.Thing{Kind: measure.Level, Key: level})
	}
	for _, catheter := range measure.Catheters {
		things = append(things, record.Thing{Kind: measure.Catheter, Key: catheter})
	}
	for _, kind := range []measure.About{measure.Injection, measure.Sample, measure.Event, measure.Drug, measure.Earlier, measure.Confirmation, measure.Comparator} {
		for range g.one(string(kind), 3) {
			key := strconv.Itoa(rapid.IntRange(1, 30).Draw(g.t, "number"))
			things = append(things, record.Thing{Kind: kind, Key: key})
			if kind == measure.Comparator {
				things = append(things, record.Thing{Kind: measure.Reading, Key: key + ".1"})
			}
		}
	}
	slices.SortFunc(things, func(a, b record.Thing) int { return strings.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
	return slices.Compact(things)
}

// fact draws a fact with an Observation of its own.
func (g generator) fact(s *record.Session, m *measure.Measure, thing record.Thing) record.Fact {
	f := record.Fact{Ref: record.Ref{About: thing, Measure: m.Key, Origin: g.origin(m)}, Value: g.value(m), At: g.time()}
	if m.Kind == measure.Group {
		f.Origin = record.Origin(m.DefaultOrigin())
	}
	if m.Key == "session-panel" {
		f.At = s.Start
	}
	if c := f.Value.Curve; c != nil {
		f.At = c.Start
	}
	if m.Obtained && g.yes("obtained?") {
		f.Obtained = pick(g, "obtained", measure.SetNames("obtained"))
	}
	if m.Labelled {
		f.Label = g.label()
	}
	return f
}

func (g generator) origin(m *measure.Measure) record.Origin {
	origins := []record.Origin{record.Origin(m.DefaultOrigin()), record.Origin(m.DefaultOrigin()), record.Derived, record.Recomputed}
	return pick(g, "origin", origins)
}

func (g generator) time() record.Time {
	return record.Time("2031-05-03T14:" + g.text("minute", `[0-5][0-9]`) + ":00+02:00")
}

func (g generator) value(m *measure.Measure) record.Value {
	if m.Kind == measure.Group {
		return record.Value{}
	}
	if g.one("absent", 8) == 0 {
		reason := pick(g, "reason", measure.Reasons())
		v := record.Value{Absent: record.Absence{Reason: reason.Code}}
		if m.Kind == measure.Quantity && g.yes("bound") {
			v.Absent.Bound = g.quantity(m.Unit)
		}
		return v
	}
	switch m.Kind {
	case measure.Quantity:
		return record.Value{Quantity: g.quantity(m.Unit)}
	case measure.Code:
		return record.Value{Code: pick(g, "code", measure.SetNames(m.Values))}
	case measure.Text:
		return record.Value{Text: g.text("text", `[a-zA-Z0-9ü<>&"\\ \n.]{1,40}`)}
	case measure.Time:
		return record.Value{Time: g.time()}
	case measure.Date:
		return record.Value{Time: record.Time(g.text("date", `203[01]-0[1-9]-1[0-9]`))}
	}
	return record.Value{Curve: &record.Curve{
		Origin: g.quantity("%"), Period: "10", Factor: g.maybe("factor", `0\.0[1-9]`),
		LowerLimit: g.maybe("lower", `[0-9]`), UpperLimit: g.maybe("upper", `[0-9]`),
		Data: g.text("data", `[0-9](0 1[0-9]){0,20}`), Start: g.time(), End: g.time(),
		FileHash: g.maybe("hash", `[0-9a-f]{8}`), ResampledFromUnequal: g.yes("resampled"),
	}}
}

func (g generator) quantity(unit string) record.Quantity {
	return record.Quantity{Number: g.text("number", `(0|[1-9][0-9]{0,3})(\.[0-9]{1,4})?`), Unit: unit}
}

func (g generator) label() measure.Label {
	switch g.one("label", 6) {
	case 0:
		return measure.Label{Part: true}
	case 1:
		return measure.Label{Reason: pick(g, "doubt", []string{"not-assessed", "two-paths", "life-support", "monitor-area-unknown"})}
	}
	return measure.Label{Flows: measure.Flows(rapid.IntRange(1, int(measure.AllFlows)).Draw(g.t, "flows"))}
}

// method draws one that is not what goes without saying.
func (g generator) method(s *record.Session, f *record.Fact, m *measure.Measure) string {
	method := pick(g, "method", []string{"", "", "haycock", "boyd", "echo", "fick-oxygen"})
	usual := m.Method
	if m.MethodFrom != "" {
		number, _, _ := strings.Cut(f.About.Key, ".")
		usual = s.Code(record.Thing{Kind: measure.Comparator, Key: number}, m.MethodFrom)
	}
	if method == usual {
		return ""
	}
	return method
}
