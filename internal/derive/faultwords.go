package derive

import (
	"math"
	"strconv"

	"saltmark/internal/dilution"
	"saltmark/internal/finding"
	"saltmark/mapping/record"
)

// faultRow says in words what is wrong with a recording. In found {1} stands for the
// number of the injection, {2} for the curve and {} for the figure; in allowed {1} for
// the limit.
type faultRow struct {
	rule           string
	found, allowed finding.Text
	// cause: of several rows of a rule the one for this cause.
	cause dilution.Cause
	// timeless: when it was seen says nothing.
	timeless bool
}

// tooLittle and tooMuch are the causes of what lies below its limit, and of what does not.
const (
	tooLittle dilution.Cause = "too little"
	tooMuch   dilution.Cause = "too much"
)

// faultRows has a row, or several, for every rule of dilution.Rules, in its order.
var faultRows = []faultRow{
	{
		rule:    "curve-unit-wrong",
		found:   "the numbers of {2} of injection {1} cannot be of the unit that is stated",
		allowed: "the unit that the sensor wrote is wanted: 1, % or m/s",
	},
	{
		rule:    "sensors-swapped",
		found:   "the curves of injection {1} stand under each other's sensor",
		allowed: "the venous sensor sees the injection first: exchange the columns",
	},
	{
		rule:    "curve-reversed",
		found:   "{2} of injection {1} falls where indicator goes by",
		allowed: "a curve that rises with the indicator is wanted: look at the sign of the recorder and at the unit",
	},
	{
		rule:    "no-indicator",
		found:   "no curve of injection {1} shows an indicator",
		allowed: "the recording of this injection is wanted",
	},
	{
		rule: "recording-repeated", timeless: true,
		found:   "injection {1} has the same recording as one before it",
		allowed: "the recording of each injection is wanted: look at the names of the files",
	},
	{
		rule:    "curve-flat",
		found:   "{2} of injection {1} stands still",
		allowed: "a curve that moves is wanted: look at clamp, cable and contact of the sensor",
	},
	{
		rule:    "sensor-unplugged",
		found:   "{2} of injection {1} breaks off, or stays where no blood is",
		allowed: "a sensor that stays connected is wanted: look at cable and clamp",
	},
	{
		rule:    "curve-clipped",
		found:   "{2} of injection {1} is cut off at a limit of the sensor, in {} of its samples",
		allowed: "the whole curve is wanted, within the range of the recorder",
	},
	{
		rule:    "two-injections",
		found:   "a second injection falls into the curves of injection {1}, {} s after the first",
		allowed: "a recording of one injection is wanted",
	},
	{
		rule:    "baseline-missing",
		found:   "{2} of injection {1} begins {} s before the injection",
		allowed: "at least {1} s are wanted, better 30 s",
	},
	{
		rule:    "baseline-short",
		found:   "{2} of injection {1} begins {} s before the injection",
		allowed: "at least {1} s are wanted, better 30 s",
	},
	{
		rule:    "record-short",
		found:   "{2} of injection {1} ends {} s after the injection",
		allowed: "at least {1} s are wanted, better 90 s",
	},
	{
		rule:    "curve-gap",
		found:   "in {2} of injection {1} samples of {} s are missing",
		allowed: "at most {1} s in a row may be missing",
	},
	{
		rule:    "air-burst",
		found:   "{2} of injection {1} shows what air in the loop looks like, {} of its peak",
		allowed: "at most {1} of the peak; look for air in the loop at once, by the local protocol",
	},
	{
		rule:    "noise-burst",
		found:   "{2} of injection {1} is disturbed for a while, by {} of its peak",
		allowed: "at most {1} of the peak",
	},
	{
		rule:    "curve-noisy",
		found:   "{2} of injection {1} has noise of {} of its peak",
		allowed: "at most {1} of the peak",
	},
	{
		rule:    "drift-strong",
		found:   "{2} of injection {1} drifts by {} of its peak in a minute",
		allowed: "at most {1} of the peak in a minute",
	},
	{
		rule:    "curve-step",
		found:   "the level of {2} of injection {1} leaps by {} of its peak and stays",
		allowed: "at most {1} of the peak: look for what happened to the sensor then",
	},
	{
		rule:    "blood-stands",
		found:   "{2} of injection {1} stops in its fall and stays there for {} s: the blood in the line stands",
		allowed: "blood that moves is wanted: look at clamps and pump",
	},
	{
		rule: "injection-unsteady", timeless: true,
		found:   "the rate of injection {1} wavers by {} of its mean, as the venous curve shows",
		allowed: "at most {1}",
	},
	{
		rule: "venous-area-mismatch", cause: tooLittle, timeless: true,
		found:   "the venous sensor saw {} of the volume that the sheet states for injection {1}",
		allowed: "at least {1} is wanted: look at volume, loop flow and sensor",
	},
	{
		rule: "venous-area-mismatch", cause: tooMuch, timeless: true,
		found:   "the venous sensor saw {} of the volume that the sheet states for injection {1}",
		allowed: "at most {1} is wanted: look at volume, loop flow and sensor",
	},
	{
		rule: "venous-volumes-differ", timeless: true,
		found:   "beside the other injections, the venous sensor saw {} of the volume that the sheet states for injection {1}",
		allowed: "the same share of each is wanted, within {1}: look at the volumes on the sheet",
	},
	{
		rule: "injection-time-off", timeless: true,
		found:   "injection {1} was given {} s from its noted time, as the venous curve shows",
		allowed: "at most {1} s; the time of the curve is what was computed with",
	},
	{
		rule: doubtful, cause: dilution.Unlike, timeless: true,
		found:   "the recording of injection {1} is unlike those that the computation was tried on, and its flow may be far off",
		allowed: "look at tubes, loop flow and volume on the sheet",
	},
	{
		rule: doubtful, cause: dilution.Imprecise, timeless: true,
		found:   "the stated standard deviation of the flow computed from the curves of injection {1} is {} of it",
		allowed: "at most {1} is wanted: look at tubes, loop flow and volume on the sheet",
	},
	{
		rule: doubtful, cause: dilution.Volume, timeless: true,
		found:   "the flow computed from the curves of injection {1} goes by a volume that the venous sensor did not see",
		allowed: "see what is said of the volume",
	},
}

// doubtful is the rule of a flow that may be far off without another sign of it.
const doubtful = "flow-doubtful"

// curveWords names the curve of a sensor, "" being both.
var curveWords = map[string]finding.Text{
	"arterial": "the arterial curve", "venous": "the venous curve", "": "a curve",
}

// tellFaults says what is wrong with the recordings of an injection. What the monitor
// reported is charted in any case.
func (w *work) tellFaults(c *Computed) {
	for _, fault := range c.Result.Faults {
		if f, known := c.Tell(fault); known {
			f.Place = w.placeOfCurve(c.Injection, fault.Sensor)
			w.report(f)
		}
	}
}

// Tell says a fault of the recordings of an injection, without a place; not known where
// the rule has no words.
func (c *Computed) Tell(fault dilution.Fault) (told finding.Finding, known bool) {
	row := wordsOfFault(fault)
	if row == nil {
		return told, false
	}
	rule := ruleOf(fault.Rule)
	found := finding.Say(row.found, finding.Data(c.Injection.Key), curveWords[fault.Sensor])
	if !row.timeless && !math.IsNaN(fault.AtS) && !math.IsInf(fault.AtS, 0) {
		found = finding.Say("{1}, at {2} s", found, finding.Data(figure(fault.AtS, "s")))
	}
	allowed := finding.Say(row.allowed, finding.Data(figure(fault.Allowed, rule.Unit)))
	if fault.Spoils {
		allowed = finding.Say("{1}; no value is computed from these curves", allowed)
	}
	told = finding.New(row.rule, finding.Place{}, found, figure(fault.Found, rule.Unit), allowed)
	told.Severity = severityOf(fault)
	return told, true
}

// wordsOfFault gives the row of a fault: that of its cause, where its rule has several,
// else the first.
func wordsOfFault(fault dilution.Fault) *faultRow {
	cause := fault.Cause
	switch {
	case cause != "":
	case fault.Found < fault.Allowed:
		cause = tooLittle
	default:
		cause = tooMuch
	}
	var first *faultRow
	for i := range faultRows {
		row := &faultRows[i]
		switch {
		case row.rule != fault.Rule:
		case row.cause == cause:
			return row
		case first == nil:
			first = row
		}
	}
	return first
}

// placeOfCurve is where the curve of a sensor stands, or the arterial one.
func (w *work) placeOfCurve(injection record.Thing, sensor string) finding.Place {
	key := curveMeasures[sensor]
	if key == "" || w.get(injection, key) == nil {
		key = curveMeasures["arterial"]
	}
	return w.placeOf(w.get(injection, key))
}

// figure writes a figure with three digits at the most and no exponent; parts of one in
// per cent.
func figure(x float64, unit string) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "-"
	}
	percent := ""
	if unit == "1" || unit == "1/min" {
		x, percent = 100*x, " %"
	}
	places := 0
	if x != 0 {
		places = min(max(2-int(math.Floor(math.Log10(math.Abs(x)))), 0), 6)
	}
	scale := math.Pow(10, float64(places))
	return strconv.FormatFloat(math.Round(x*scale)/scale, 'f', -1, 64) + percent
}

// ruleOf gives what dilution says of a rule.
func ruleOf(id string) dilution.Rule {
	for _, r := range dilution.Rules() {
		if r.ID == id {
			return r
		}
	}
	return dilution.Rule{}
}
