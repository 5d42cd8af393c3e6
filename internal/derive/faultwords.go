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
}

// faultRows has a row for every rule of dilution.Rules, in its order.
var faultRows = []faultRow{
	{
		"curve-unit-wrong", "the numbers of {2} of injection {1} cannot be of the unit that is stated",
		"the unit that the sensor wrote is wanted: 1, % or m/s",
	},
	{
		"sensors-swapped", "the curves of injection {1} stand under each other's sensor",
		"the venous sensor sees the injection first: exchange the columns",
	},
	{
		"curve-reversed", "{2} of injection {1} falls where indicator goes by",
		"a curve that rises with the indicator is wanted: look at the sign of the recorder and at the unit",
	},
	{
		"no-indicator", "no curve of injection {1} shows an indicator",
		"the recording of this injection is wanted",
	},
	{
		"recording-repeated", "injection {1} has the same recording as one before it",
		"the recording of each injection is wanted: look at the names of the files",
	},
	{
		"curve-flat", "{2} of injection {1} stands still",
		"a curve that moves is wanted: look at clamp, cable and contact of the sensor",
	},
	{
		"sensor-unplugged", "{2} of injection {1} breaks off, or stays where no blood is",
		"a sensor that stays connected is wanted: look at cable and clamp",
	},
	{
		"curve-clipped", "{2} of injection {1} is cut off at a limit of the sensor, in {} of its samples",
		"the whole curve is wanted, within the range of the recorder",
	},
	{
		"two-injections", "a second injection falls into the curves of injection {1}, {} s after the first",
		"a recording of one injection is wanted",
	},
	{
		"baseline-missing", "{2} of injection {1} begins {} s before the injection",
		"at least {1} s are wanted, better 30 s",
	},
	{
		"baseline-short", "{2} of injection {1} begins {} s before the injection",
		"at least {1} s are wanted, better 30 s",
	},
	{
		"record-short", "{2} of injection {1} ends {} s after the injection",
		"at least {1} s are wanted, better 90 s",
	},
	{
		"curve-gap", "in {2} of injection {1} samples of {} s are missing",
		"at most {1} s in a row may be missing",
	},
	{
		"air-burst", "{2} of injection {1} shows what air in the loop looks like, {} of its peak",
		"at most {1} of the peak; look for air in the loop at once, by the local protocol",
	},
	{
		"noise-burst", "{2} of injection {1} is disturbed for a while, by {} of its peak",
		"at most {1} of the peak",
	},
	{
		"curve-noisy", "{2} of injection {1} has noise of {} of its peak",
		"at most {1} of the peak",
	},
	{
		"drift-strong", "{2} of injection {1} drifts by {} of its peak in a minute",
		"at most {1} of the peak in a minute",
	},
	{
		"curve-step", "the level of {2} of injection {1} leaps by {} of its peak and stays",
		"at most {1} of the peak: look for what happened to the sensor then",
	},
	{
		"blood-stands", "{2} of injection {1} stops in its fall and stays there for {} s: the blood in the line stands",
		"blood that moves is wanted: look at clamps and pump",
	},
	{
		"injection-unsteady", "the rate of injection {1} wavers by {} of its mean, as the venous curve shows",
		"at most {1}",
	},
	{
		"venous-area-mismatch", "of injection {1} the venous sensor saw {} of the volume that is stated",
		"the volume on the sheet is wanted, but for {1}: look at volume, loop flow and sensor",
	},
	{
		"venous-volumes-differ", "measured by the volumes that are stated, the venous sensor saw {} as much of injection {1} as of the others",
		"the same is wanted, within {1}: look at the volumes on the sheet",
	},
	{
		"injection-time-off", "injection {1} was given {} s from its noted time, as the venous curve shows",
		"at most {1} s; the time of the curve is what was computed with",
	},
	{
		doubtful, "the flow computed from the curves of injection {1} may be far off",
		"a recording like those that the computation was tried on is wanted, and a flow that is known well enough",
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
		row := wordsOfFault(fault.Rule)
		if row == nil {
			continue
		}
		rule := ruleOf(fault.Rule)
		found := finding.Say(row.found, finding.Data(c.Injection.Key), curveWords[fault.Sensor])
		if !math.IsNaN(fault.AtS) {
			found = finding.Say("{1}, at {2} s", found, finding.Data(figure(fault.AtS, "s")))
		}
		allowed := finding.Say(row.allowed, finding.Data(figure(fault.Allowed, rule.Unit)))
		if fault.Spoils {
			allowed = finding.Say("{1}; no value is computed from these curves", allowed)
		}
		f := finding.New(row.rule, w.placeOfCurve(c.Injection, fault.Sensor), found, figure(fault.Found, rule.Unit), allowed)
		f.Severity = severityOf(fault)
		w.report(f)
	}
}

func wordsOfFault(rule string) *faultRow {
	for i := range faultRows {
		if faultRows[i].rule == rule {
			return &faultRows[i]
		}
	}
	return nil
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
	if math.IsNaN(x) {
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
