package derive

import (
	"saltmark/internal/hemo"
	"saltmark/mapping/measure"
)

// derivation is one row of the table.
type derivation struct {
	makes string        // the measure
	about measure.About // what it is about; "" = the session
	from  []string      // measures that it is made from, about the same thing or the session
	// each is a measure of single injections of which the row makes the mean over
	// those that entered the session's flow.
	each string
	// optional are those of its inputs without which the row is left out: a sheet
	// that does not speak of a matter gets no absences about it. All other inputs
	// give an absence with a reason where they are missing.
	optional []string
	// unless gives a reason for which the row is left out; what derives from it is
	// absent for that reason.
	unless func(*work) string
	// quiet rows are left out where others would be absent.
	quiet bool
	// counts rows look at single injections, as do those with each. Where a bundle
	// leaves those out such values stand as they are (leftout.go).
	counts bool
	by     by
}

// by makes a value. Its inputs are there, and none is absent.
type by func(w *work, c *call) made

// derivations is THE table, in an order in which every row comes after what it is
// made from. When a value may be charted stands in the column of its measure, which
// needs the label: so such rows come after sign-contradicts.
var derivations = []derivation{
	{makes: "session-panel", by: at((*work).start)},
	{makes: "measurement-load", by: loadGroup},
	{makes: "shunt-context", by: at((*work).time)},

	{makes: "blood-flow", counts: true, by: agreedFlow},
	{makes: "agreement", counts: true, by: howTheyAgree},
	{makes: "injections-used", counts: true, by: injectionsUsed},
	{makes: "spread", counts: true, by: spreadOfMean},
	{makes: "precision-of-mean", counts: true, from: of("pooled-variation"), optional: of("pooled-variation"), quiet: true, by: repeatability(hemo.PrecisionOfMean)},
	{makes: "least-significant-change", counts: true, from: of("pooled-variation"), optional: of("pooled-variation"), quiet: true, by: repeatability(hemo.LeastSignificantChange)},
	{makes: "loop-share-of-flow", from: of("loop-flow", "blood-flow"), optional: of("loop-flow"), quiet: true, by: exactly(loopShare)},

	{makes: "look-limit", by: lookLimit},
	{makes: "level-age", counts: true, about: measure.Level, from: of("level-seen"), optional: of("level-seen"), by: lookAge},
	{makes: "level-holds", counts: true, about: measure.Level, by: lookHolds},
	{makes: "sign-contradicts", counts: true, by: signContradicts},

	{makes: "central-blood-volume", each: "central-blood-volume", by: reportedMean},
	{makes: "mean-transit-time", each: "mean-transit-time", by: reportedMean},
	{makes: "end-diastolic-volume", each: "end-diastolic-volume", by: reportedMean},
	{makes: "dispersion-volume", each: "dispersion-volume", by: reportedMean},
	{makes: "indicator-distribution-volume", each: "indicator-distribution-volume", by: reportedMean},
	{makes: "blood-flow-uncertainty", each: "blood-flow-uncertainty", quiet: true, by: conditionMean},
	{makes: "central-blood-volume-uncertainty", each: "central-blood-volume-uncertainty", quiet: true, by: conditionMean},
	{makes: "mean-transit-time-uncertainty", each: "mean-transit-time-uncertainty", quiet: true, by: conditionMean},
	{makes: "indicator-distribution-volume-uncertainty", each: "indicator-distribution-volume-uncertainty", quiet: true, by: conditionMean},
	{makes: "mean-heart-rate", each: "heart-rate", by: conditionMean},
	{makes: "mean-arterial-pressure", each: "arterial-pressure-mean", by: conditionMean},
	{makes: "mean-central-venous-pressure", each: "central-venous-pressure", by: conditionMean},

	{makes: "indicator-volume-by-weight", about: measure.Injection, from: of("indicator-volume", "weight"), optional: of("indicator-volume", "weight"), by: exactly(quotient)},
	{makes: "blood-flow-by-weight-of-one-injection", about: measure.Injection, from: of("blood-flow", "weight"), optional: of("blood-flow", "weight"), quiet: true, by: exactly(millilitresPer)},
	{makes: "body-surface-area", from: of("weight", "length"), optional: of("length"), unless: (*work).belowAreaWeight, by: bodySurface},

	{makes: "blood-flow-index-by-weight", from: of("blood-flow", "weight"), by: exactly(millilitresPer)},
	{makes: "blood-flow-index-by-area", from: of("blood-flow", "body-surface-area"), by: exactly(quotient)},
	{makes: "stroke-volume", from: of("blood-flow", "mean-heart-rate"), by: exactly(perBeat)},
	{makes: "stroke-volume-index", from: of("blood-flow", "mean-heart-rate", "body-surface-area"), by: exactly(perBeatAndArea)},

	{makes: "flow-without-loop", from: of("blood-flow", "loop-flow"), optional: of("loop-flow"), by: exactly(withoutLoop)},
	{makes: "systemic-vascular-resistance", from: of("flow-without-loop", "mean-arterial-pressure", "mean-central-venous-pressure"), optional: of("mean-central-venous-pressure"), by: exactly(resistance)},
	{makes: "systemic-vascular-resistance-index", from: of("flow-without-loop", "mean-arterial-pressure", "mean-central-venous-pressure", "body-surface-area"), optional: of("mean-central-venous-pressure", "body-surface-area"), by: exactly(resistanceTimesArea)},
	{makes: "arterial-oxygen-content", by: arterialContent},
	{makes: "dissolved-oxygen-counted", from: of("arterial-oxygen-content"), optional: of("arterial-oxygen-content"), quiet: true, by: dissolvedCounted},
	{makes: "oxygen-delivery", from: of("flow-without-loop", "arterial-oxygen-content"), optional: of("arterial-oxygen-content"), by: exactly(delivery)},
	{makes: "oxygen-delivery-index", from: of("flow-without-loop", "arterial-oxygen-content", "body-surface-area"), optional: of("arterial-oxygen-content", "body-surface-area"), by: exactly(deliveryPerArea)},

	{makes: "central-blood-volume-index-by-weight", from: of("central-blood-volume", "weight"), optional: of("central-blood-volume"), by: exactly(quotient)},
	{makes: "central-blood-volume-index-by-area", from: of("central-blood-volume", "body-surface-area"), optional: of("central-blood-volume", "body-surface-area"), by: exactly(quotient)},
	{makes: "end-diastolic-volume-index-by-weight", from: of("end-diastolic-volume", "weight"), optional: of("end-diastolic-volume"), by: exactly(quotient)},
	{makes: "end-diastolic-volume-index-by-area", from: of("end-diastolic-volume", "body-surface-area"), optional: of("end-diastolic-volume", "body-surface-area"), by: exactly(quotient)},

	{makes: "comparator-arterial-content", about: measure.Reading, by: contentOfReading(arterialSide)},
	{makes: "comparator-venous-content", about: measure.Reading, by: contentOfReading(venousSide)},
	{makes: "comparator-flow", about: measure.Reading, by: flowOfReading},
	{makes: "comparator-flow-from-inputs", about: measure.Reading, by: checkOfReading},

	{makes: "fluid-given", counts: true, by: total((*work).fluid)},
	{makes: "fluid-given-by-weight", counts: true, from: of("fluid-given", "weight"), optional: of("fluid-given", "weight"), by: perWeight((*work).fluid)},
	{makes: "sodium-given", counts: true, by: total((*work).sodium)},
	{makes: "sodium-given-by-weight", counts: true, from: of("sodium-given", "weight"), optional: of("sodium-given", "weight"), by: perWeight((*work).sodium)},
	{makes: "heparin-given", counts: true, by: total((*work).heparin)},
	{makes: "heparin-given-by-weight", counts: true, from: of("heparin-given", "weight"), optional: of("heparin-given", "weight"), by: perWeight((*work).heparin)},
	{makes: "loop-volume", by: total((*work).loopVolume)},
	{makes: "loop-share-of-blood-volume", from: of("loop-volume", "weight", "blood-volume-by-weight"), optional: of("loop-volume", "weight", "blood-volume-by-weight"), by: exactly(shareOfBlood)},
	{makes: "time-on-loop", from: of("loop-connected"), optional: of("loop-connected"), by: timeOnLoop},
	{makes: "fluid-given-24-hours", counts: true, from: of("fluid-given"), optional: of("fluid-given"), by: withEarlier((*work).fluid, "earlier-fluid")},
	{makes: "sodium-given-24-hours", counts: true, from: of("sodium-given"), optional: of("sodium-given"), by: withEarlier((*work).sodium, "earlier-sodium")},
}

// of names measures.
func of(measures ...string) []string { return measures }
