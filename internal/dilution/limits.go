package dilution

// Limits of the faults. All are common practice, no source, chosen so that simulated
// records without a fault stay quiet (noise of 3 % of the peak, slow noise of 1 %,
// bending drift, every size and shunt; `make accuracy` shows how often they do).
const (
	// Seconds before and after the injection.
	baselineLeastS  = 1.0
	baselineEnoughS = 6.0
	afterLeastS     = 60.0
	afterShare      = 0.3 // a record that ends above this part of the peak has no downslope

	// Missing samples: the longest run, s, and the part of all within the minute.
	gapS      = 1.0
	gapPart   = 0.1
	gapSpoilS = 1.0 // in the first pass

	// A sensor that stands still: so many seconds, and so far from where it was that it is
	// unplugged and not merely stuck.
	stuckS            = 2.0
	leastNoise        = 1e-4       // of a sensor that is known to have noise, as part of its peak
	stuckJump         = 15.0       // times the noise, to where it was
	leftJump          = 5.0        // a limit is left without one of so many
	clippedMostS      = 15.0       // longer at the top is no injection
	humTimes, humPart = 10.0, 0.05 // noise until the end, by the quietest and by the peak
	humAlways         = 0.6        // part of the peak that noise has only where nothing is connected
	secondLeastS      = 0.8
	lostAtEndS        = 3.0
	clippedRun        = 4 // samples in a row at a limit
	topRun            = 6 // and at the very top where no limit is known

	// Bursts: times the usual noise and part of the sensor's own peak.
	burstTimes, burstPart = 4.0, 0.003
	burstWindowS          = 0.5
	burstSamples          = 25 // a window has at least
	burstLeast            = 2  // windows
	airTimes, airPart     = 8.0, 0.2
	airSamples            = 3
	airShortS, airBulge   = 1.5, 0.5 // s, and part of the peak
	airAside              = 0.6      // of how far air is from the curve, to one side
	airArea               = 0.1      // peaks times s, that air outside of the first pass may have
	spoilingNoise         = 0.05     // part of the peak, within the first pass

	// Noise over 0.1 s as part of the peak: told, and too much.
	noisyPart, noisySpoil = 0.05, 0.15

	// Drift per minute as part of the peak, beyond what noise explains.
	driftPerMin   = 0.15
	driftByNoise  = 4.0
	unsteadyShare = 0.45
	// What the venous sensor saw of the stated volume. In 1,320 simulated pulses on two
	// circuits the part, with the slack for a sensor that is off and with what stood in the
	// tube, was 0.95 to 1.2, and without 0.94 at the most (computed).
	areaLow     = 0.88
	leftUnknown = 0.7 // of what stood in the tube at the end may be missed
	areaHigh    = 1.15
	sensorOff   = 0.04 // a sensor may be off by, and more
	timeOffS    = 6.0
	timeWrongS  = 90.0 // a sheet notes whole minutes; beyond it may be another injection

	// What no curve can be: fractions; speeds of sound, m/s; levels.
	fractionMost             = 1.1
	arterialMost             = 0.8
	levelMost                = 1.5
	soundLowest, soundFaster = 1400.0, 1750.0
	unitFactor               = 20    // a volume or a flow that is so many times off
	smallestPulse            = 0.012 // of an injection, as fraction
	flowPerKgMost            = 40    // mL/s/kg

	// Which sensor saw the injection: by height, and by time, s.
	swappedHeight, swappedS = 1.3, 0.3
	// A second pulse rises above the first by this part, and above all that came through
	// the body.
	secondPart, secondAboveBlood = 0.25, 1.5
	// Depth of a fall below the baseline beside the height of the rise.
	reversedTimes = 1.5
	// A fall has turned where it ends above this part of its depth.
	turned = 0.9
	// A peak must stand above the noise of its averages over 0.1 s so many times.
	seenTimes = 5.0
	// A curve that nowhere goes beyond so many times that noise is none.
	clearTimes = 15.0
)
