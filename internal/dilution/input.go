package dilution

// Units that a curve may have.
const (
	Fraction   = "1"   // volume of indicator per volume of blood
	Percent    = "%"   // the same in per cent
	SoundSpeed = "m/s" // speed of sound, which falls where saline dilutes blood
)

// Curve is one evenly sampled recording of a sensor, as it was quantised on reading.
type Curve struct {
	// Sample i is at time StartS + i StepS; time nought is when the injection was noted.
	StartS, StepS float64
	// Values in Unit, NaN where no valid sample is.
	Values []float64
	Unit   string
	// Quantum is the step of the values, 0 where not known.
	Quantum float64
	// Lower and Upper are the limits of detection, NaN where not known; Below and Beyond
	// count the samples that were marked so.
	Lower, Upper  float64
	Below, Beyond int
}

// Empty tells whether nothing was recorded.
func (c Curve) Empty() bool { return len(c.Values) == 0 }

// Loop is the extracorporeal loop: its flow, mL/s, and the volumes of its four
// sections, mL.
type Loop struct {
	FlowMLs                                                          float64
	ArteryToSensorML, SensorToPortML, PortToSensorML, SensorToVeinML float64
}

// Uncertainty has the relative standard deviations of what was stated, as parts of
// one; NaN where the site does not say.
type Uncertainty struct{ Volume, LoopFlow, Tubing, Sensor float64 }

// Input is all that the computation of one injection knows. It is the recipe of a
// recomputation: what travels in a bundle beside the two curves.
type Input struct {
	Arterial, Venous Curve
	Loop             Loop
	VolumeML         float64 // indicator injected
	DurationS        float64 // of the injection as stated, NaN where not stated
	WeightKg         float64 // NaN where not known
	// IndicatorSoundMS is the speed of sound in the indicator, m/s, NaN where not known;
	// curves in m/s need it.
	IndicatorSoundMS float64
	// Postductal tells whether the artery lies behind the duct.
	Postductal  bool
	Uncertainty Uncertainty
}
