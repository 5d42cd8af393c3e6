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
// Above each stands what is judged; why, from where and what to do about it stands in the
// page of the rule (internal/finding/rules.md), and nowhere else.
func Rules() []Rule {
	return []Rule{
		// The numbers of a curve can be what its unit says. Volume fractions of indicator
		// beyond 1, a speed of sound that no blood has, or a dilution that asks for a flow
		// below the loop's or a hundred times the usual one are of another unit.
		{ID: "curve-unit-wrong", MaySpoil: true},
		// Each curve stands under the name of its sensor: the injection goes by the venous
		// one first.
		{ID: "sensors-swapped", MaySpoil: true},
		// Indicator shows as more indicator.
		{ID: "curve-reversed", MaySpoil: true},
		// At least one sensor sees the indicator.
		{ID: "no-indicator", MaySpoil: true},
		// No two injections have one recording.
		{ID: "recording-repeated", MaySpoil: true},
		// A curve moves: it neither stands still for seconds nor stays level while the other
		// sensor sees the indicator.
		{ID: "curve-flat", MaySpoil: true, Bends: true},
		// A sensor stays connected: its curve neither jumps to a value and stays there, nor
		// ends before the other's, nor turns to noise.
		{ID: "sensor-unplugged", MaySpoil: true, Bends: true},
		// No sample is cut off at a limit of the sensor.
		{ID: "curve-clipped", MaySpoil: true, Bends: true, Unit: "1"},
		// No second injection falls into the minute that is computed.
		{ID: "two-injections", MaySpoil: true, Unit: "s"},
		// The curves begin before the injection.
		{ID: "baseline-missing", MaySpoil: true, Unit: "s"},
		// At least so many seconds are recorded before the injection.
		{ID: "baseline-short", Unit: "s"},
		// The curves go on for a minute after the injection.
		{ID: "record-short", MaySpoil: true, Unit: "s"},
		// No second of samples in a row is missing.
		{ID: "curve-gap", MaySpoil: true, Bends: true, Unit: "s"},
		// No air goes by a sensor.
		{ID: "air-burst", MaySpoil: true, Warns: true, Bends: true, Unit: "1"},
		// Noise stays what it was.
		{ID: "noise-burst", MaySpoil: true, Bends: true, Unit: "1"},
		// Noise of averages over 0.1 s stays below a part of the peak.
		{ID: "curve-noisy", MaySpoil: true, Bends: true, Unit: "1"},
		// The baseline does not run away.
		{ID: "drift-strong", Bends: true, Unit: "1/min"},
		// The level of a curve does not leap and stay.
		{ID: "curve-step", MaySpoil: true, Unit: "1"},
		// The blood in the arterial line moves.
		{ID: "blood-stands", MaySpoil: true, Unit: "s"},
		// The injection is given in one even push.
		{ID: "injection-unsteady", Unit: "1"},
		// What went by the venous sensor is the volume that is stated, by loop flow and area.
		{ID: "venous-area-mismatch", Bends: true, Unit: "1"},
		// What the venous sensor saw of the stated volumes is the same for all injections of a
		// session, for loop flow and sensor are the same.
		{ID: "venous-volumes-differ", Bends: true, Unit: "1"},
		// The noted time is that of the injection.
		{ID: "injection-time-off", MaySpoil: true, Unit: "s"},
		// The recording is like those that the computation was tried on, and its flow is
		// known well enough.
		{ID: "flow-doubtful", Unit: "1"},
	}
}
