package circuit

import (
	"fmt"
	"math"
)

// Tanks is a circulation of well-mixed compartments with a beating heart: two atria and
// ventricles whose volumes change with each beat, two ways through the lungs, five ways
// through the body (heart muscle, upper body, kidneys, gut, and the rest), the two caval
// veins, water of the tissues that takes up indicator and gives it back, and the loop.
//
// All flows but that of the loop follow the state of the circulation beat by beat. The
// injected volume stays in the great veins: they hold back as much as comes in.
//
// Where the heart of a scenario is too small for its flows it is dilated: a ventricle
// to stroke by ejection fraction, an atrium to 1.7 times what it takes up in a beat. A
// larger ventricle than that ejects less of its volume.
type Tanks struct {
	// lacks has the structures that were taken away.
	lacks lacking
}

// Name is one word for tables.
func (Tanks) Name() string { return "tanks" }

// largestPart is how much of a tank may leave it in one step.
const largestPart = 0.6

// Run simulates the scenario.
func (c Tanks) Run(s Scenario) (Run, error) {
	if err := s.Check(); err != nil {
		return Run{}, err
	}
	given := newSyringe(s)
	course, err := newCourse(s, given)
	if err != nil {
		return Run{}, err
	}
	t, err := newTanks(s, given, course, c.lacks)
	if err != nil {
		return Run{}, err
	}
	steps, err := t.stepsPerSample(s, given)
	if err != nil {
		return Run{}, err
	}
	seen, venous := t.record(s, given, steps)
	run := Run{StepS: s.sampleStepS(), Truth: seen.truth(s)}
	run.StartS, run.Arterial = withBaseline(s, seen.sensor)
	_, run.Venous = withBaseline(s, venous)
	return run, nil
}

// stepsPerSample finds how many steps are needed so that no tank runs empty within one.
// About 5 ms is enough for every vein that is not too thin.
func (t *tanks) stepsPerSample(s Scenario, given *syringe) (int, error) {
	perSample := max(1, int(math.Ceil(s.sampleStepS()/0.005-1e-9)))
	part, name := t.fastest(s, given)
	needed := int(math.Ceil(part * s.sampleStepS() / largestPart))
	if needed > 40*perSample {
		return 0, fmt.Errorf("%s is emptied %.3g times a second; its volume is too small for its flow", name, part)
	}
	return max(perSample, needed), nil
}

// fastest gives the largest part of any tank that leaves it in a second, and its name.
func (t *tanks) fastest(s Scenario, given *syringe) (perS float64, name string) {
	fastest := 1.0
	for _, f := range t.clock.factors {
		fastest = max(fastest, f)
	}
	rate := given.highestMLs()
	out := make([]float64, len(t.net.chains)+t.net.junctions)
	flows := out[t.net.junctions:]
	flows[t.net.port] = rate
	for i := range t.net.links {
		l := &t.net.links[i]
		// Half a sine is at most pi/2 of its mean.
		flow := max(0, l.steadyMLs*fastest+l.loopMLs+l.injectedPart*rate) + l.pulse*fastest*math.Pi/2/t.clock.open(l.valve)
		out[l.from] += flow
		if l.chain >= 0 {
			flows[l.chain] += flow
		}
	}
	for i, c := range t.net.chains {
		if c.next >= 0 {
			flows[c.next] += flows[i]
		}
		if part := flows[i] / c.tankML; part > perS {
			perS, name = part, t.chainNames[i]
		}
	}
	for j := range t.net.junctions {
		if part := out[j] / t.smallestML[j]; part > perS {
			perS, name = part, junction(j).String()
		}
	}
	return perS, name
}

// record runs the network over the record and looks at it once a sample.
func (t *tanks) record(s Scenario, given *syringe, steps int) (seen recorded, venous []float64) {
	n, stepS := s.samplesAfter(), s.sampleStepS()
	seen = recorded{
		stepS: stepS, transitS: t.transitS,
		tip: make([]float64, n), sensor: make([]float64, n),
		systemicMLs: make([]float64, n), pulmonaryMLs: make([]float64, n),
	}
	venous = make([]float64, n)
	arterial, port := t.net.chains[t.artery].last, t.net.chains[t.vein].last
	lengthS, before := stepS/float64(steps), 0.0
	m := moved{loopS: lengthS}
	for i := range n {
		if i > 0 {
			for k := range steps {
				at := (float64((i-1)*steps + k + 1)) * lengthS
				t.clock.advance(at, &m)
				now := given.byML(at)
				m.injectedML, before = now-before, now
				t.net.step(&m, lengthS)
			}
		}
		seen.tip[i] = t.net.concentrationAt(int(t.tip))
		seen.sensor[i], venous[i] = t.net.concentrationAt(arterial), t.net.concentrationAt(port)
		seen.systemicMLs[i] = s.FlowMLs * t.clock.factor()
		seen.pulmonaryMLs[i] = t.balance.lungs * t.clock.factor()
		if i%10 == 0 || i == n-1 {
			seen.residual = max(seen.residual, math.Abs(t.net.wholeMassML()-before)/s.Injection.VolumeML)
		}
	}
	return seen, venous
}
