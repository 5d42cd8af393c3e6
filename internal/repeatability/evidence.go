package repeatability

import (
	"maps"
	"math/big"
	"slices"

	"saltmark/internal/derive"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// evidence is what a session tells of repeatability.
type evidence struct {
	id        string
	revision  int
	patient   record.Reference
	start     record.Time
	test      bool
	withdrawn bool
	verified  bool
	leftOut   bool // the bundle carries no single injections
	twoStates bool
	traits    map[string]string

	flows    []*big.Rat     // of the valid injections, L/min
	excluded map[string]int // injections, by the cause
	unshown  int            // injections without a flow
}

// evidenceOf takes it from a session; the flows are those of an origin. Recomputed flows
// that a session does not hold are computed from the curves that it carries.
func evidenceOf(s *record.Session, values record.Origin) evidence {
	e := evidence{
		id: s.ID, revision: s.Revision, patient: s.Patient, start: s.Start,
		test: s.Test, withdrawn: s.Withdrawn(), verified: s.Verified(),
		leftOut: derive.LeftOut(s), twoStates: len(derive.OneState(s)) > 0,
		traits: map[string]string{}, excluded: map[string]int{},
	}
	for _, t := range Traits {
		e.traits[t.Name] = t.of(s)
	}
	var computed []derive.Computed
	if values == record.Recomputed && !holdsRecomputed(s) {
		computed = derive.Curves(s)
	}
	for _, injection := range s.Things(measure.Injection) {
		e.addInjection(s, injection, values, computed)
	}
	return e
}

// holdsRecomputed tells whether the flows of a session were charted as recomputed, be it
// that one was withheld.
func holdsRecomputed(s *record.Session) bool {
	return slices.ContainsFunc(s.Things(measure.Injection), func(t record.Thing) bool { return s.Find(t, "blood-flow", record.Recomputed) != nil })
}

// addInjection counts one injection. One that was taken back since counts for nothing.
func (e *evidence) addInjection(s *record.Session, injection record.Thing, values record.Origin, computed []derive.Computed) {
	if group := s.Get(injection, "injection"); group == nil || group.Status.TakenBack() {
		return
	}
	if cause := s.Code(injection, "exclusion-cause"); cause != "" {
		e.excluded[cause]++
		return
	}
	var flow record.Quantity
	if f := s.Find(injection, "blood-flow", values); f != nil && !f.Status.TakenBack() {
		flow = f.Value.Quantity
	} else if i := slices.IndexFunc(computed, func(c derive.Computed) bool { return c.Injection == injection }); i >= 0 {
		if q, ok := computed[i].Flow(); ok {
			flow = q
		}
	}
	x, err := ucum.Convert(flow, measure.Get("blood-flow").Unit)
	if err != nil || x.Sign() <= 0 {
		e.unshown++
		return
	}
	e.flows = append(e.flows, x)
}

// equal tells whether two documents of one revision tell the same.
func (e evidence) equal(o evidence) bool {
	return e.patient == o.patient && e.start == o.start && e.test == o.test && e.withdrawn == o.withdrawn &&
		e.verified == o.verified && e.leftOut == o.leftOut && e.twoStates == o.twoStates && e.unshown == o.unshown &&
		maps.Equal(e.traits, o.traits) && maps.Equal(e.excluded, o.excluded) &&
		slices.EqualFunc(e.flows, o.flows, func(a, b *big.Rat) bool { return a.Cmp(b) == 0 })
}

// Trait is something by which sessions are told apart or chosen.
type Trait struct {
	Name, Words string
	// Values are all that there are; nil where any text may be one.
	Values []string
	of     func(*record.Session) string
}

// Traits lists them.
var Traits = []Trait{
	{"flow", "whose number stands for this flow", flowCodes(), flowOf},
	{"monitor", "with this monitor, by its key in the settings", nil, monitorOf},
	{"unit", "of this care unit, as on the sheet", nil, unitOf},
}

// flowCodes gives the codes of the labels that the flow of a session can have: those
// with the flow to the body, and not determined.
func flowCodes() []string {
	var codes []string
	for _, c := range measure.LabelCodes() {
		if l, ok := measure.LabelOf(c.Code, "not-assessed"); ok && (l.Flows.Contains(measure.Qs) || c.Code == measure.NotDetermined) {
			codes = append(codes, c.Code)
		}
	}
	return codes
}

func flowOf(s *record.Session) string {
	if f := s.Find(record.TheSession, "blood-flow", record.Derived); f != nil && !f.Label.IsZero() {
		return f.Label.Code()
	}
	return ""
}

func monitorOf(s *record.Session) string {
	for _, d := range s.Devices {
		if d.Role == "monitor" {
			return d.Key
		}
	}
	return ""
}

func unitOf(s *record.Session) string {
	if f := s.Get(record.TheSession, "care-unit"); f != nil {
		return f.Value.Text
	}
	return ""
}
