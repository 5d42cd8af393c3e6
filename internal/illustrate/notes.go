package illustrate

import (
	"math"
	"strings"

	"saltmark/internal/derive"
	"saltmark/internal/dilution"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// perMinute turns mL/s into L/min.
const perMinute = 60.0 / 1000

// valueRow is a computed value, beside the measure that names and rounds it. times
// turns the unit of the computation into that of the measure.
type valueRow struct {
	measure string
	times   float64
	of      func(*dilution.Result) dilution.Estimate
}

// flowRow is the flow; valueRows are the values that stand after it. The dispersion
// volume is for registries and is not shown.
var (
	flowRow   = valueRow{"blood-flow", perMinute, func(r *dilution.Result) dilution.Estimate { return r.Flow }}
	valueRows = []valueRow{
		{"mean-transit-time", 1, func(r *dilution.Result) dilution.Estimate { return r.Transit }},
		{"central-blood-volume", 1, func(r *dilution.Result) dilution.Estimate { return r.CentralML }},
		{"indicator-distribution-volume", 1, func(r *dilution.Result) dilution.Estimate { return r.Distribution }},
	}
)

// notes are the paragraphs below the panels of an injection.
func (i illustration) notes(c *derive.Computed) []string {
	values := i.values(&c.Result)
	if i.hasRange(&c.Result) {
		values += " " + i.of(say.brackets)
	}
	notes := append([]string{i.flow(c)}, i.stands(c)...)
	notes = append(notes, i.separations(&c.Result), values, i.signs(&c.Result))
	if quality := i.quality(&c.Result); len(quality) > 0 {
		notes = append(notes, i.of(say.quality, "list", strings.Join(quality, "; ")))
	}
	return append(notes, i.faults(c)...)
}

// flow says the computed flow beside the reported one, and that it is doubtful.
func (i illustration) flow(c *derive.Computed) string {
	reported := i.of(say.notReported)
	if f := i.find(c, flowRow.measure, record.Reported); f != nil {
		value := f.Value.Quantity.String()
		if f.Value.IsAbsent() {
			value = i.withheld(f.Value.Absent.Reason)
		}
		reported = i.of(say.reported, "value", value)
	}
	value := i.value(flowRow, &c.Result)
	if len(c.Doubts()) > 0 && i.whyNot(flowRow, &c.Result) == "" {
		value = i.of(say.doubtful, "value", value)
	}
	return i.of(say.flow, "value", value, "reported", reported)
}

// stands says which flow it is, in the words of the report; nothing where those stand
// above, or where the injection has no flow.
func (i illustration) stands(c *derive.Computed) []string {
	f := i.find(c, flowRow.measure, record.Reported)
	reported := f != nil && !f.Value.IsAbsent()
	if len(i.options.Conclusion) > 0 || !reported && i.whyNot(flowRow, &c.Result) != "" {
		return nil
	}
	if words := mapping.WhoseFlow(i.session, i.language); words != "" {
		return []string{words}
	}
	return nil
}

func (i illustration) values(r *dilution.Result) string {
	var list []string
	for _, row := range valueRows {
		name := measure.Get(row.measure).WordsFor("", i.language)
		list = append(list, i.of(say.single, "name", name, "value", i.value(row, r)))
	}
	return upper(strings.Join(list, "; ")) + "."
}

// hasRange tells whether a value is shown with its uncertainty.
func (i illustration) hasRange(r *dilution.Result) bool {
	for _, row := range append([]valueRow{flowRow}, valueRows...) {
		if _, low, high := i.rounded(row, r); low < high {
			return true
		}
	}
	return false
}

// value says a value with two stated standard deviations either way, or why there is
// none.
func (i illustration) value(row valueRow, r *dilution.Result) string {
	if reason := i.whyNot(row, r); reason != "" {
		return i.withheld(reason)
	}
	q, low, high := i.rounded(row, r)
	if !(low < high) {
		return q.String()
	}
	return i.of(say.range95, "value", q.String(), "low", figure(low, q.Decimals()), "high", figure(high, q.Decimals()))
}

// whyNot gives the reason for which a value is not shown, "" where it is: the
// computation withholds it, or the session's shunts.
func (i illustration) whyNot(row valueRow, r *dilution.Result) string {
	e := row.of(r)
	switch {
	case e.Withheld != "":
		return string(e.Withheld)
	case r.Spoiled():
		return string(dilution.SensorFault)
	case !(e.Value > 0) || math.IsInf(e.Value, 0):
		return string(dilution.NotComputable)
	}
	return derive.WithheldIn(i.session, row.measure)
}

// rounded gives a value that is shown, and two standard deviations either way in its
// unit; none where no uncertainty is stated.
func (i illustration) rounded(row valueRow, r *dilution.Result) (q record.Quantity, low, high float64) {
	if i.whyNot(row, r) != "" {
		return q, 0, 0
	}
	e := row.of(r)
	q, _ = measure.Get(row.measure).ChartFloat(e.Value * row.times) // it is a number
	if !(e.SD > 0) || math.IsInf(e.SD, 0) {
		return q, 0, 0
	}
	return q, math.Max(0, e.Value-2*e.SD) * row.times, (e.Value + 2*e.SD) * row.times
}

// withheld says why there is no number.
func (i illustration) withheld(reason string) string {
	words := reason
	if r, ok := measure.ReasonOf(reason); ok {
		words = r.Words.In(i.language)
	}
	return i.of(say.withheld, "why", words)
}

// separations says what each way of taking the first pass out gives.
func (i illustration) separations(r *dilution.Result) string {
	var list []string
	for _, s := range r.Separations {
		value := flowText(s.FlowMLs)
		switch {
		case s.Withheld != "":
			value = i.withheld(string(s.Withheld))
		case r.Spoiled():
			value = i.withheld(string(dilution.SensorFault))
		}
		list = append(list, i.of(say.separation, "name", i.separationName(s.Name), "value", value))
	}
	if len(list) == 0 {
		list = append(list, i.of(say.none))
	}
	says := i.of(say.separations, "list", strings.Join(list, ", "))
	if i.whyNot(flowRow, r) == "" {
		says += " " + i.of(say.corrected)
	}
	return says
}

func (i illustration) separationName(name string) string {
	if w, ok := separationWords[name]; ok {
		return w.In(i.language)
	}
	return name
}

// flowText rounds a flow as the measure has it.
func flowText(flowMLs float64) string {
	q, err := measure.Get(flowRow.measure).ChartFloat(flowMLs * perMinute)
	if err != nil {
		return "?"
	}
	return q.String()
}

// signs says what the curve shows of a shunt.
func (i illustration) signs(r *dilution.Result) string {
	var list []string
	for n, s := range []dilution.Sign{r.LeftToRight, r.Early} {
		name := signWords[n].In(i.language)
		if s.Withheld != "" {
			list = append(list, i.of(say.single, "name", name, "value", i.withheld(string(s.Withheld))))
			continue
		}
		answer := say.no
		if s.Present {
			answer = say.yes
		}
		list = append(list, i.of(say.sign, "name", name, "answer", i.of(answer)))
	}
	return i.of(say.signs, "list", strings.Join(list, "; "))
}

// quality says how good the recording is, as far as it is known: of one that is spoiled
// nothing that was read off it.
func (i illustration) quality(r *dilution.Result) []string {
	q := &r.Quality
	var list []string
	add := func(known float64, w wording, pairs ...string) {
		if known > 0 && !math.IsInf(known, 0) {
			list = append(list, i.of(w, pairs...))
		}
	}
	if !r.Spoiled() {
		i.read(q, add)
	}
	add(q.VolumePerKg, say.perKg, "value", figure(q.VolumePerKg, 2))
	return list
}

// read adds what was read off the curves.
func (i illustration) read(q *dilution.Quality, add func(known float64, w wording, pairs ...string)) {
	add(q.SignalToNoise[0], say.noise, "tenth", times(q.SignalToNoise[0]), "one", times(q.SignalToNoise[1]), "three", times(q.SignalToNoise[2]))
	add(math.Abs(q.DriftPerMin), say.drift, "value", figure(q.DriftPerMin*perCent, 1))
	add(q.Residual, say.residual, "value", figure(q.Residual*perCent, 1))
	add(q.Disagreement, say.disagreement, "value", figure(q.Disagreement*perCent, 1))
	add(q.InjectionS, say.duration, "value", figure(q.InjectionS, 1), "unsteady", figure(q.InjectionUnsteadiness*perCent, 0))
}

// times says how many times the noise a signal is; past a thousand nobody cares.
func times(x float64) string {
	if x > 1000 {
		return ">1000"
	}
	return figure(x, 0)
}

// faults says what is wrong with the recording, one paragraph for each fault, in the words
// of its finding. Figures stand without the quotes that mark what was found on a sheet.
func (i illustration) faults(c *derive.Computed) []string {
	if len(c.Result.Faults) == 0 {
		return []string{i.of(say.noFault)}
	}
	var list []string
	for _, fault := range c.Result.Faults {
		if f, known := c.Tell(fault); known {
			list = append(list, upper(strings.ReplaceAll(f.SentenceIn(i.language, true), `"`, ""))+".")
		}
	}
	return list
}

// upper begins a sentence.
func upper(text string) string {
	if text == "" {
		return text
	}
	first := []rune(text)[:1]
	return strings.ToUpper(string(first)) + text[len(string(first)):]
}
