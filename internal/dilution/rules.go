package dilution

// Rule is one thing that can be wrong with a recording.
type Rule struct {
	// ID names it, the same for ever.
	ID string
	// MaySpoil tells that a fault of it can forbid every value that rests on the curves.
	MaySpoil bool
	// Warns tells that a fault of it is a warning also where it spoils nothing.
	Warns bool
	// Bends tells that a fault of it can make the signs of a shunt where there is none.
	Bends bool
	// Unit of the figures Found and Allowed of a fault, UCUM; "" where it has none.
	Unit string
}

// Rules gives every rule that a fault can name, in the order in which faults are told.
// What follows each is the sentence, why, and how to mend it; sources are common
// practice, no source, unless something else is said.
func Rules() []Rule {
	return []Rule{
		// The numbers of a curve can be what its unit says. Volume fractions of indicator
		// beyond 1, a speed of sound that no blood has, or a dilution that asks for a flow
		// below the loop's or a hundred times the usual one are of another unit.
		// Why: a curve in per cent that is said to be a fraction makes the flow a hundredth.
		// Mend: state the unit that the sensor wrote (1, % or m/s).
		{ID: "curve-unit-wrong", MaySpoil: true},
		// Each curve stands under the name of its sensor: the injection goes by the venous
		// one first.
		// Why: the flow would come from the injection in the tube instead of from the blood.
		// Mend: exchange the names of the two columns; look how the sensors are clamped.
		{ID: "sensors-swapped", MaySpoil: true},
		// Indicator shows as more indicator.
		// Why: a curve that falls where it should rise has no area to make a flow of.
		// Mend: look at the sign of the recorder, at the indicator (its speed of sound must be
		// below that of blood), and at the unit.
		{ID: "curve-reversed", MaySpoil: true},
		// At least one sensor sees the indicator.
		// Why: nothing can be computed where nothing was injected or recorded.
		// Mend: look whether the recording is that of this injection.
		{ID: "no-indicator", MaySpoil: true},
		// No two injections have one recording.
		// Why: one curve says nothing about how well two injections agree, and it is not known
		// whose it is.
		// Mend: name the file of each injection.
		{ID: "recording-repeated", MaySpoil: true},
		// A curve moves: it neither stands still for seconds nor stays level while the other
		// sensor sees the indicator.
		// Why: a sensor that has stopped shows a volume of blood that is not there.
		// Mend: look at clamp, cable and contact; repeat the injection.
		{ID: "curve-flat", MaySpoil: true, Bends: true},
		// A sensor stays connected: its curve neither jumps to a value and stays there, nor
		// ends before the other's, nor turns to noise.
		// Why: what comes after is no blood.
		// Mend: look at cable and clamp; repeat the injection.
		{ID: "sensor-unplugged", MaySpoil: true, Bends: true},
		// No sample is cut off at a limit of the sensor.
		// Why: an area without its top is too small and makes the flow too large.
		// Mend: inject less or slower, or widen the range of the recorder.
		{ID: "curve-clipped", MaySpoil: true, Bends: true, Unit: "1"},
		// No second injection falls into the minute that is computed.
		// Why: the second dilution is taken for recirculation or a shunt.
		// Mend: give the part of the recording with one injection, and wait between two until
		// the curve is level.
		{ID: "two-injections", MaySpoil: true, Unit: "s"},
		// The curves begin before the injection.
		// Why: without a baseline nobody knows what no indicator looks like.
		// Mend: start recording at least 30 s before injecting.
		{ID: "baseline-missing", MaySpoil: true, Unit: "s"},
		// At least so many seconds are recorded before the injection.
		// Why: the slope of a short baseline is not known, and a minute later it is the error.
		// Mend: start recording at least 30 s before injecting.
		{ID: "baseline-short", Unit: "s"},
		// The curves go on for a minute after the injection.
		// Why: a record that ends in the downslope has no end of the first pass; one that ends
		// within a minute has no distribution volume.
		// Mend: record at least 90 s after injecting.
		{ID: "record-short", MaySpoil: true, Unit: "s"},
		// No second of samples in a row is missing.
		// Why: what went by in the gap is guessed.
		// Mend: look at the link between sensor and recorder; repeat the injection.
		{ID: "curve-gap", MaySpoil: true, Bends: true, Unit: "s"},
		// No air goes by a sensor.
		// Why: bubbles scatter sound and light and look like indicator or like none. Air in a
		// line to the vein can reach the arteries of a child with a shunt.
		// Mend: look for air in the loop at once, by the local protocol; then repeat.
		{ID: "air-burst", MaySpoil: true, Warns: true, Bends: true, Unit: "1"},
		// Noise stays what it was.
		// Why: movement or an electric disturbance bends the curve in a way that no fit knows.
		// Mend: look for movement, a touched cable, another device; repeat the injection.
		{ID: "noise-burst", MaySpoil: true, Bends: true, Unit: "1"},
		// Noise of averages over 0.1 s stays below a part of the peak.
		// Why: where noise is as large as the signs in the curve, they are noise.
		// Mend: look at the clamp of the sensor and at its contact; inject more where the
		// local protocol allows it.
		{ID: "curve-noisy", MaySpoil: true, Bends: true, Unit: "1"},
		// The baseline does not run away.
		// Why: a strong drift is seldom a straight one.
		// Mend: let the sensor warm up, wait until temperature and haematocrit are steady.
		{ID: "drift-strong", Bends: true, Unit: "1/min"},
		// The level of a curve does not leap and stay.
		// Why: a fit takes a level that is new for indicator that came back.
		// Mend: look for what happened to the sensor then.
		{ID: "curve-step", MaySpoil: true, Unit: "1"},
		// The blood in the arterial line moves.
		// Why: a curve that stops in its fall shows the blood that stands in the line.
		// Mend: look at clamps and pump.
		{ID: "blood-stands", MaySpoil: true, Unit: "s"},
		// The injection is given in one even push.
		// Why: a wavering rate widens the curve by something that no one measures.
		// Mend: one even push; nothing to do where the results agree.
		{ID: "injection-unsteady", Unit: "1"},
		// What went by the venous sensor is the volume that is stated, by loop flow and area.
		// Why: it is the one check of injected volume, loop flow and sensor against each other;
		// each of them goes into the flow one to one.
		// Mend: look at the volume on the sheet, the loop flow, air in the syringe.
		{ID: "venous-area-mismatch", Bends: true, Unit: "1"},
		// What the venous sensor saw of the stated volumes is the same for all injections of a
		// session, for loop flow and sensor are the same.
		// Why: a volume that is wrong on the sheet makes the flow wrong by as much.
		// Mend: look at the volumes on the sheet.
		{ID: "venous-volumes-differ", Bends: true, Unit: "1"},
		// The noted time is that of the injection.
		// Why: another injection, or another recording, may be meant.
		// Mend: correct the time on the sheet. The computation takes the time from the curve.
		{ID: "injection-time-off", MaySpoil: true, Unit: "s"},
		// The recording is like those that the computation was tried on, and its flow is
		// known well enough.
		// Why: what is unlike all that was tried may be grossly off, with no other sign of it.
		// Mend: repeat the injection; compare with another method; look at tubes, loop flow
		// and volume on the sheet.
		{ID: "flow-doubtful", Unit: "1"},
	}
}
