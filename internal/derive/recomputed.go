package derive

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"math"
	"slices"
	"strings"

	"saltmark/internal/dilution"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// recomputedRow is one value of a computation, beside the value of the same measure
// that a monitor reports.
type recomputedRow struct {
	measure string
	of      func(*dilution.Result) dilution.Estimate
	// times turns the unit of the computation into that of the measure.
	times float64
	// charted: it may become part of the record; else it stands in reports alone.
	charted bool
}

// recomputedRows are the values of a computation, in the order in which they are shown.
// The dispersion volume is for registries and is never charted.
var recomputedRows = []recomputedRow{
	{"blood-flow", func(r *dilution.Result) dilution.Estimate { return r.Flow }, 0.06, true}, // mL/s to L/min
	{"central-blood-volume", func(r *dilution.Result) dilution.Estimate { return r.CentralML }, 1, true},
	{"mean-transit-time", func(r *dilution.Result) dilution.Estimate { return r.Transit }, 1, true},
	{"dispersion-volume", func(r *dilution.Result) dilution.Estimate { return r.DispersionML }, 1, false},
	{"indicator-distribution-volume", func(r *dilution.Result) dilution.Estimate { return r.Distribution }, 1, true},
}

// isRecomputedValue tells whether a measure is a value that a monitor may report and a
// computation may give.
func isRecomputedValue(key string) bool {
	return slices.ContainsFunc(recomputedRows, func(row recomputedRow) bool {
		return key == row.measure || key == uncertaintyOf(row.measure)
	})
}

// uncertaintyOf names the measure that holds the stated standard deviation of another.
func uncertaintyOf(key string) string { return key + "-uncertainty" }

// whyWithheld are the reasons of the table of measures for those of a computation.
var whyWithheld = map[dilution.Reason]string{
	dilution.SensorFault:     "sensor-fault",
	dilution.BaselineShort:   "baseline-short",
	dilution.RecordShort:     "record-short",
	dilution.SlowNoise:       "slow-noise",
	dilution.InputMissing:    "input-missing",
	dilution.EarlyAppearance: "early-appearance",
	dilution.NotComputable:   "not-computable",
}

func reasonFor(r dilution.Reason) string {
	if reason := whyWithheld[r]; reason != "" {
		return reason
	}
	return "not-computable"
}

// value gives an estimate as it is charted, and its standard deviation. What is no
// number above zero as it is charted, or has no uncertainty, is withheld whoever gave it.
func (row *recomputedRow) value(r *dilution.Result) (v record.Value, sd ucum.Quantity) {
	e := row.of(r)
	if e.Withheld == "" && sound(e.Value) && sound(e.SD) {
		v.Quantity, _ = measure.Get(row.measure).ChartFloat(e.Value * row.times)
	} else {
		e.Withheld = cmp.Or(e.Withheld, dilution.NotComputable)
	}
	if x := v.Quantity.Rat(); x == nil || x.Sign() == 0 {
		return record.Value{Absent: record.Absence{Reason: reasonFor(e.Withheld)}}, sd
	}
	if m := measure.Get(uncertaintyOf(row.measure)); m != nil {
		sd, _ = m.ChartFloat(e.SD * row.times)
	}
	return v, sd
}

func sound(x float64) bool { return x > 0 && !math.IsInf(x, 1) }

// signRow is a sign of a shunt that a computation gives.
type signRow struct {
	measure string
	of      func(*dilution.Result) dilution.Sign
}

var signRows = []signRow{
	{leftToRightSign, func(r *dilution.Result) dilution.Sign { return r.LeftToRight }},
	{earlyAppearance, func(r *dilution.Result) dilution.Sign { return r.Early }},
}

// The signs that are computed.
const (
	leftToRightSign = "computed-left-to-right-sign"
	earlyAppearance = "computed-early-appearance"
)

func (row signRow) value(r *dilution.Result) record.Value {
	switch sign := row.of(r); {
	case sign.Withheld != "":
		return record.Value{Absent: record.Absence{Reason: reasonFor(sign.Withheld)}}
	case sign.Present:
		return record.Value{Code: "yes"}
	}
	return record.Value{Code: "no"}
}

// withComputed gives the facts with those that the computation makes in place of those
// that an earlier one made. Where nothing was computed they stay as they are.
func withComputed(s *record.Session, facts []record.Fact, computed []Computed) []record.Fact {
	if len(computed) == 0 {
		return facts
	}
	facts = slices.DeleteFunc(facts, func(f record.Fact) bool {
		return f.Origin == record.Recomputed && (s.Withdrawn() || !f.Status.TakenBack()) &&
			(f.About == record.TheSession || slices.ContainsFunc(computed, func(c Computed) bool { return c.Injection == f.About }))
	})
	charted := chartsRecomputed(facts)
	for i := range computed {
		facts = append(facts, computed[i].facts(facts, charted)...)
	}
	return facts
}

// chartsRecomputed tells whether recomputed values become part of the record: the site
// wants it, and the monitor reported nothing of the kind in the whole session.
func chartsRecomputed(facts []record.Fact) bool {
	wanted := false
	for i := range facts {
		f := &facts[i]
		if f.Measure == "recomputed-charted" && f.Value.Code == "yes" {
			wanted = true
		}
		if f.Origin == record.Reported && measure.Get(f.Measure) != nil && measure.Get(f.Measure).Kind == measure.Quantity {
			return false
		}
	}
	return wanted
}

// recordingDoubtful is why a value that was computed is withheld where no monitor showed
// one: nothing stands beside it, and a fault of the recording may make it far off.
const recordingDoubtful = "recording-doubtful"

// facts gives what the record holds of a computation: that it was made, from what, the
// signs, and what is wrong with the recording; the values where they are charted.
func (c *Computed) facts(facts []record.Fact, charted bool) []record.Fact {
	at, traces := aboutInjection(facts, c.Injection)
	fact := func(key string, v record.Value) record.Fact {
		f := record.Fact{Ref: record.Ref{About: c.Injection, Measure: key, Origin: record.Recomputed}, Value: v}
		if measure.Get(key).In == "" {
			f.At = at
		}
		return f
	}
	interval := "with-inputs"
	if u := c.Input.Uncertainty; math.IsNaN(u.Volume + u.LoopFlow + u.Tubing + u.Sensor) {
		interval = "computation-only"
	}
	made := []record.Fact{
		fact("curve-computation", record.Value{}),
		fact(versionKey, record.Value{Text: dilution.Version}),
		fact("computation-recipe", record.Value{Text: c.Recipe}),
		fact("computation-interval", record.Value{Code: interval}),
	}
	for _, row := range signRows {
		made = append(made, fact(row.measure, row.value(&c.Result)))
	}
	made = append(made, c.faultFacts(fact)...)
	for i := range recomputedRows {
		row := &recomputedRows[i]
		if !charted || !row.charted {
			continue
		}
		v, sd := row.value(&c.Result)
		if !v.IsAbsent() && isDoubtful(*c) {
			v = record.Value{Absent: record.Absence{Reason: recordingDoubtful}}
		}
		f := fact(row.measure, v)
		if !v.IsAbsent() {
			f.From = traces
			made = append(made, fact(uncertaintyOf(row.measure), record.Value{Quantity: sd}))
		}
		made = append(made, f)
	}
	return made
}

// aboutInjection gives the time of an injection and its curves.
func aboutInjection(facts []record.Fact, injection record.Thing) (at record.Time, traces []record.Ref) {
	for i := range facts {
		f := &facts[i]
		switch {
		case f.About != injection:
		case f.Measure == "injection":
			at = f.At
		case f.Value.Curve != nil:
			traces = append(traces, f.Ref)
		}
	}
	slices.SortFunc(traces, record.Ref.Compare)
	return at, traces
}

// recipeOf gives the SHA-256 of all that a computation starts from, as it is written:
// whatever of it is changed afterwards is found by it.
func recipeOf(r recipe) string {
	var b strings.Builder
	for _, key := range recipeMeasures {
		f := r.get(key)
		if f == nil {
			continue
		}
		b.WriteString(key + "\t")
		if c := f.Value.Curve; c != nil {
			b.WriteString(strings.Join([]string{string(c.Start), c.Origin.String(), c.Period, c.Factor, c.LowerLimit, c.UpperLimit, c.Data}, "\t"))
		} else {
			b.WriteString(f.Value.Quantity.String())
		}
		b.WriteByte('\n')
	}
	if r.postductal() {
		b.WriteString("postductal\n")
	}
	if group := r.get("injection"); group != nil {
		b.WriteString("at\t" + string(group.At) + "\n")
	}
	sum := sha256.Sum256([]byte(b.String()))
	return hex.EncodeToString(sum[:])
}

// recipeMeasures are the measures that a computation starts from.
var recipeMeasures = slices.Concat(of("arterial-trace", "venous-trace"), needed, of("injection-duration", "weight", "indicator-sound-speed",
	"indicator-volume-uncertainty", "loop-flow-uncertainty", "tubing-uncertainty", "sensor-uncertainty"))
