package derive

import (
	"math/big"
	"slices"
	"time"

	"saltmark/internal/finding"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// fluids are what goes into the patient: where its volume stands and where its own
// contents do, "" where it has none to count. Every injection counts, excluded and
// failed ones too. The prime counts where it was given, not discarded.
var fluids = []struct {
	volume          string
	about           measure.About
	sodium, heparin string
	given           func(*work) bool // nil = where a volume is stated
}{
	{"indicator-volume", measure.Injection, "indicator-sodium", "", always},
	{"flush-volume", measure.Injection, "flush-sodium", "flush-heparin", nil},
	{"flush-total", measure.Session, "flush-sodium", "flush-heparin", nil},
	{"prime-volume", measure.Session, "prime-sodium", "prime-heparin", (*work).primeGiven},
	{"rinse-back", measure.Session, "rinse-back-sodium", "", nil},
}

// sections are the parts of the loop whose volumes make its volume.
var sections = []string{"artery-to-sensor-volume", "sensor-to-port-volume", "port-to-sensor-volume", "sensor-to-vein-volume"}

// oneDay is how far back earlier sessions count.
const oneDay = 24 * time.Hour

// tally is a sum with the written quantities that it is made of; it is absent where
// a part is missing, and nothing at all where there is none to add.
type tally struct {
	sum     *big.Rat
	sources []ucum.Quantity
	reason  string
	there   bool
}

// add puts a part to the sum, in a unit; a part without a number makes it absent.
func (t *tally) add(f *record.Fact, unit string) {
	x := number(f, unit)
	t.plus(x)
	t.source(f, unit)
}

// take takes a part off the sum.
func (t *tally) take(f *record.Fact, unit string) {
	x := number(f, unit)
	if x != nil {
		x.Neg(x)
	}
	t.plus(x)
	t.source(f, unit)
}

func (t *tally) source(f *record.Fact, unit string) {
	if f == nil {
		return
	}
	if q, ok := written(f, unit); ok {
		t.sources = append(slices.Clip(t.sources), q) // the sum may be shared
	}
}

func (t *tally) plus(x *big.Rat) {
	t.there = true
	switch {
	case x == nil:
		t.reason = "input-missing"
	case t.sum == nil:
		t.sum = x
	default:
		t.sum = new(big.Rat).Add(t.sum, x)
	}
}

func always(*work) bool { return true }

func (w *work) primeGiven() bool { return w.code(record.TheSession, "prime-given") == "yes" }

// tellPrime says that a prime is left out because nobody knows whether it was given.
func (w *work) tellPrime() {
	if f := w.get(record.TheSession, "prime-given"); f != nil && f.Value.Code == "unknown" {
		w.report(finding.New("prime-not-known", w.placeOf(f), "whether the prime was given to the patient is not known", "",
			"yes or no; it is not counted in the load"))
	}
}

// doses calls visit for each fluid given, with its volume; a volume that should be
// there and is not is nil.
func (w *work) doses(visit func(volume *record.Fact, sodium, heparin string)) {
	for _, fluid := range fluids {
		if fluid.given != nil && !fluid.given(w) {
			continue
		}
		for _, about := range w.things(fluid.about) {
			if volume := w.get(about, fluid.volume); volume != nil || fluid.given != nil {
				visit(volume, fluid.sodium, fluid.heparin)
			}
		}
	}
}

// The sums of the load, each made once.

func (w *work) fluid() tally   { return once(&w.sums.fluid, w.sumOfFluid) }
func (w *work) sodium() tally  { return once(&w.sums.sodium, w.sumOfSodium) }
func (w *work) heparin() tally { return once(&w.sums.heparin, w.sumOfHeparin) }

func once(kept **tally, sum func() tally) tally {
	if *kept == nil {
		t := sum()
		*kept = &t
	}
	return **kept
}

// sumOfFluid is the volume given, less blood discarded.
func (w *work) sumOfFluid() tally {
	var t tally
	w.doses(func(volume *record.Fact, _, _ string) { t.add(volume, "mL") })
	if discarded := w.get(record.TheSession, "blood-discarded"); discarded != nil {
		t.take(discarded, "mL")
	}
	return t
}

// sumOfSodium is what the fluids carried, each by its own content.
func (w *work) sumOfSodium() tally {
	var t tally
	w.doses(func(volume *record.Fact, sodium, _ string) {
		x := number(volume, "mL")
		if x == nil || x.Sign() == 0 {
			t.plus(x)
			return
		}
		t.plus(times(x, w.number(record.TheSession, sodium)))
	})
	return t
}

// sumOfHeparin is what the fluids carried whose concentration is stated.
func (w *work) sumOfHeparin() tally {
	var t tally
	w.doses(func(volume *record.Fact, _, heparin string) {
		if heparin != "" && w.get(record.TheSession, heparin) != nil {
			t.plus(times(number(volume, "mL"), w.number(record.TheSession, heparin)))
		}
	})
	return t
}

// loopVolume is the sum of the sections of the loop, of which all are needed; else
// the volume that fills it.
func (w *work) loopVolume() tally {
	var t tally
	for _, section := range sections {
		f := w.get(record.TheSession, section)
		if f == nil {
			t = tally{}
			break
		}
		t.add(f, "mL")
	}
	if prime := w.get(record.TheSession, "prime-volume"); !t.there && prime != nil {
		t.add(prime, "mL")
	}
	return t
}

func times(x, y *big.Rat) *big.Rat {
	if x == nil || y == nil {
		return nil
	}
	return new(big.Rat).Mul(x, y)
}

// total charts a tally.
func total(of func(*work) tally) by {
	return func(w *work, c *call) made { return of(w).chart(c) }
}

func (t tally) chart(c *call) made {
	switch {
	case !t.there:
		return made{}
	case t.reason != "":
		return absent(t.reason)
	}
	return quantity(c.m.Chart(t.sum, false, t.sources...))
}

// perWeight charts a tally by the weight, the second input. It starts from the
// volumes as written, not from the sum as charted.
func perWeight(of func(*work) tally) by {
	return func(w *work, c *call) made {
		x, err := quotient([]*big.Rat{of(w).sum, number(c.in[1], "kg")})
		if err != nil {
			return w.refused(c, err)
		}
		return quantity(c.m.Chart(x, false))
	}
}

// withEarlier adds what earlier sessions gave whose time lies within a day before
// the start of this one. Without any the row is left out.
func withEarlier(of func(*work) tally, key string) by {
	return func(w *work, c *call) made {
		t := of(w)
		among := false
		for _, earlier := range w.earlier {
			f := w.get(earlier, "earlier-session")
			if f != nil && distance(f.At.Go(), w.session.Start.Go()) <= oneDay {
				among = true
				t.add(w.get(earlier, key), c.m.Unit)
			}
		}
		if !among {
			return made{}
		}
		return t.chart(c)
	}
}

// timeOnLoop is the time from connecting the loop to the end of the session.
func timeOnLoop(w *work, c *call) made {
	on := w.session.End.Sub(c.in[0].Value.Time)
	if on < 0 {
		return made{}
	}
	return quantity(c.m.Chart(big.NewRat(int64(on), int64(time.Minute)), false))
}

// shareOfBlood is the loop's volume in per cent of a blood volume that is taken by
// weight.
func shareOfBlood(in []*big.Rat) (*big.Rat, error) {
	x, err := quotient([]*big.Rat{in[0], times(in[1], in[2])})
	if err != nil {
		return nil, err
	}
	return x.Mul(x, big.NewRat(100, 1)), nil
}

// loadGroup carries the load: it holds at the end of the session, and is made from
// the injections, the weight and earlier sessions.
func loadGroup(w *work, _ *call) made {
	w.tellPrime()
	v := made{there: true, at: w.session.End}
	for _, j := range w.injections {
		if f := w.get(j.thing, "injection"); f != nil {
			v.from = append(v.from, f.Ref)
		}
	}
	if f := w.get(record.TheSession, "weight"); f != nil {
		v.from = append(v.from, f.Ref)
	}
	for _, earlier := range w.earlier {
		if f := w.get(earlier, "earlier-session"); f != nil {
			v.from = append(v.from, f.Ref)
		}
	}
	return v
}
