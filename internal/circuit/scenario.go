// Package circuit simulates what an indicator does in a closed circulation with an
// extracorporeal loop, with known truth, for tests and rehearsals of the estimator.
//
// Two circuits of different physics take the same Scenario: Tanks (well-mixed
// compartments with beating ventricles) and Parcels (moving parcels, skewed and
// laminar paths). Both are richer than any model that the estimator assumes. A
// third, Kernels, is a linear network of random transfer functions: it is quick, and
// widens what the estimator is tuned on.
//
// Units: volumes mL, flows mL/s, times s, weights kg, concentrations as volume
// fraction of indicator in blood. Time nought is the start of the injection.
//
// It knows numbers only: no sheet, no estimator, no unit but its own.
package circuit

// Circuit is one physics of the circulation.
type Circuit interface {
	// Name is one word for tables.
	Name() string
	// Run simulates the scenario. It refuses (error) what cannot flow: a shunt that
	// empties a chamber, a loop above the flow, sizes that are not positive.
	Run(s Scenario) (Run, error)
}

// Scenario is one measurement: who, in which state, and what was done. What a
// circuit needs beyond it (shares of organs, skewness, numbers of tanks) it draws
// itself, from Seed alone.
type Scenario struct {
	Seed uint64
	// Wide draws what the circuit adds from ranges wider than physiology has them: for
	// tuning, never for evaluation.
	Wide bool

	WeightKg        float64
	HeartRatePerMin float64
	// FlowMLs is the resting systemic flow Qs: all that the systemic arteries carry,
	// loop included.
	FlowMLs float64
	// BloodML is all blood outside the loop.
	BloodML float64
	// Chambers and ways between the tips of the two catheters, at rest.
	Heart Heart
	// LungML is the blood of arteries, capillaries and veins of the lungs.
	LungML float64
	// CavalML lies between the tip of the venous catheter and the right atrium.
	CavalML float64
	// AortaML lies between the left ventricle and the tip of the arterial catheter.
	AortaML float64

	Shunts Shunts
	Leaks  Leaks
	// Streaming, 0 to 1, is the part of the caval inflow with the indicator that goes
	// past the mixing of the right atrium.
	Streaming float64
	// Postductal tells where the arterial catheter lies.
	Postductal bool

	Loop      Loop
	Injection Injection
	State     State

	// BaselineS is recorded before the injection, AfterS from its start on.
	BaselineS, AfterS float64
	// StepS is the time between two samples of what Run gives back (0: 0.01 s).
	StepS float64
}

// Heart has the volumes of the chambers at the end of their filling, mL, and how much
// of it the ventricles throw out.
type Heart struct {
	RightAtriumML, RightVentricleML, LeftAtriumML, LeftVentricleML float64
	EjectionFraction                                               float64
}

// Crossing is the flow through one communication, both ways, mL/s, none below 0.
type Crossing struct{ LeftToRight, RightToLeft float64 }

// Shunts are the communications between the two circulations.
type Shunts struct{ Atrial, Ventricular, Ductal Crossing }

// Leaks are the shares of forward flow that come back through a valve, 0 to below 1.
type Leaks struct{ Tricuspid, Pulmonary, Mitral, Aortic float64 }

// Loop is the extracorporeal loop from artery to vein, in its four sections.
type Loop struct {
	FlowMLs                                                          float64
	ArteryToSensorML, SensorToPortML, PortToSensorML, SensorToVeinML float64
}

// Injection is the indicator as a hand gives it: a volume that is really added.
type Injection struct {
	VolumeML  float64
	DurationS float64
	// RampShare and TailShare are the parts of the duration over which the rate rises
	// and falls, 0 to 0.5 each.
	RampShare, TailShare float64
	// Unevenness is the relative SD of a slow wobble of the rate.
	Unevenness float64
	// RaisesFlow lets the added volume raise the flow for some beats.
	RaisesFlow bool
}

// State is what the circulation does while the curve is recorded.
type State struct {
	// BreathingShare is the amplitude of the swing of flow with breathing, as part of
	// the flow; BreathsPerMin its rate.
	BreathingShare, BreathsPerMin float64
	// Irregularity is the relative SD of the time between two beats.
	Irregularity float64
	// DriftPerMin is the relative change of flow per minute while recording.
	DriftPerMin float64
}

// Run is what a circuit gives: noise-free concentrations at both sensors.
type Run struct {
	// Sample i is at time StartS + i StepS.
	StartS, StepS    float64
	Arterial, Venous []float64
	Truth            Truth
}

// Truth is what an estimator ought to find.
type Truth struct {
	// FlowMLs is Qs while the curve is recorded: the mean of the flow, weighted by the
	// noise-free concentration at the tip of the arterial catheter from its arrival
	// until it has fallen to a fifth of its peak. It is what V/area of an undisturbed first pass means when the flow is
	// not steady.
	FlowMLs float64
	// PulmonaryMLs is Qp over the same time.
	PulmonaryMLs float64
	// CentralML is the blood volume between the tips of the catheters: Qs times the mean
	// transit of the indicator from tip to tip, at the resting flow. NaN where a
	// right-to-left shunt lets it mean nothing.
	CentralML float64
	// TransitS is that mean transit time.
	TransitS float64
	// DistributionML is V_ind / H at 60 s after the end of the injection plus the
	// transit of the tubes from port to vein and from artery to sensor; 0 where the
	// record ends before.
	DistributionML float64
	// ResidualML is the largest relative error of the mass of indicator over the run.
	ResidualML float64
}
