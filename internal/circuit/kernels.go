package circuit

import (
	"errors"
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Kernels is a circulation of linear transfer functions at steady flow, solved in the
// Laplace domain: every chamber, lung path, kernelOrgan and tube has a passage of transit times
// of its own, drawn from several families (tanks in a row, advection with dispersion,
// laminar layers, short cuts), and the nodes between them balance flows. It knows no
// beat, no breath and no added volume; it is quick, and its shapes spread wider than
// those of the circuits that are integrated in time. It serves tuning.
type Kernels struct{}

// Name is one word for tables.
func (Kernels) Name() string { return "kernels" }

const (
	kernelStepS  = 0.05
	kernelPoints = 2560
	// kernelDamping takes what is left after the period to a part in 10^5.
	kernelDamping = 11.5 / (kernelStepS * kernelPoints)
)

var errBalance = errors.New("the shunts and the loop take more than flows there")

// passageFlows are the flows of the passages, mL/s, each along its way.
type passageFlows struct {
	body, toRight, toPulmonary, lungs, toLeft, toAorta float64
}

// waysOf gives them. A way whose flow turns round has no transit times.
func waysOf(s Scenario) (passageFlows, error) {
	a, v, d := s.Shunts.Atrial, s.Shunts.Ventricular, s.Shunts.Ductal
	var f passageFlows
	f.body = s.FlowMLs - s.Loop.FlowMLs
	f.toRight = s.FlowMLs + a.LeftToRight - a.RightToLeft
	f.toPulmonary = f.toRight + v.LeftToRight - v.RightToLeft
	f.lungs = f.toPulmonary + d.LeftToRight - d.RightToLeft
	f.toLeft = f.lungs + a.RightToLeft - a.LeftToRight
	f.toAorta = f.toLeft + v.RightToLeft - v.LeftToRight
	for _, q := range []float64{f.body, f.toRight, f.toPulmonary, f.lungs, f.toLeft, f.toAorta} {
		if !(q > 0.05*s.FlowMLs) {
			return f, errBalance
		}
	}
	return f, nil
}

// passages is one drawn circulation.
type passages struct {
	s Scenario
	f passageFlows
	caval, rightAtrium, rightVentricle, lungs, leftAtrium, leftVentricle,
	aorta, artery, sensorToPort, portToSensor, portToVein, rest passage
	organs []kernelOrgan
	// upper is the share of the body's flow that leaves before the duct.
	upper float64
	// entry and port have what the injection does at the vein and at the venous sensor.
	entry, port []float64
}

type kernelOrgan struct {
	share   float64
	upper   bool
	passage passage
}

// Run simulates the scenario.
func (Kernels) Run(s Scenario) (Run, error) {
	f, err := waysOf(s)
	if err != nil {
		return Run{}, err
	}
	if err := s.Check(); err != nil {
		return Run{}, err
	}
	rng := newDraw(s, streamKernels).Rand
	n := drawPassages(rng, s, f)
	arterial, venous := n.solve()
	if s.StepS == 0 {
		s.StepS = 0.01
	}
	r := Run{StartS: -s.BaselineS, StepS: s.StepS}
	count := int(math.Round((s.BaselineS + s.AfterS) / s.StepS))
	r.Arterial, r.Venous = make([]float64, count), make([]float64, count)
	for i := range count {
		t := r.StartS + float64(i)*s.StepS
		r.Arterial[i], r.Venous[i] = readAt(arterial, t), readAt(venous, t)
	}
	r.Truth = n.truth(arterial)
	return r, nil
}

// at reads a curve on the passages's grid at a time, linearly.
func readAt(curve []float64, t float64) float64 {
	x := t / kernelStepS
	i := int(math.Floor(x))
	if i < 0 || i+1 >= len(curve) {
		return 0
	}
	return curve[i] + (x-float64(i))*(curve[i+1]-curve[i])
}

func (n *passages) truth(arterial []float64) Truth {
	s := n.s
	t := Truth{FlowMLs: s.FlowMLs, PulmonaryMLs: n.f.lungs, CentralML: math.NaN()}
	t.TransitS = n.transit()
	if s.Shunts.Atrial.RightToLeft == 0 && s.Shunts.Ventricular.RightToLeft == 0 && s.Shunts.Ductal.RightToLeft == 0 {
		t.CentralML = s.FlowMLs * t.TransitS
	}
	after := s.Injection.DurationS + 60 + (s.Loop.PortToSensorML+s.Loop.SensorToVeinML+s.Loop.ArteryToSensorML)/s.Loop.FlowMLs
	if h := readAt(arterial, after); h > 0 && after < s.AfterS {
		t.DistributionML = s.Injection.VolumeML / h
	}
	return t
}

// transit is the mean time from the tip of the venous to that of the arterial catheter
// with all return cut, from the slope of the transfer function near nought.
func (n *passages) transit() float64 {
	const e = 1e-5
	h := func(s float64) float64 {
		ar, _ := n.balanceAt(complex(s, 0), 1, false)
		return real(ar)
	}
	return (h(0) - h(2*e)) / (2 * e * h(e))
}

// solve gives the concentrations at both sensors on the passages's grid, from the
// start of the injection.
func (n *passages) solve() (arterial, venous []float64) {
	fft := fourier.NewFFT(kernelPoints)
	entry := fft.Coefficients(nil, damped(n.entry))
	port := fft.Coefficients(nil, damped(n.port))
	art, ven := make([]complex128, len(entry)), make([]complex128, len(entry))
	for k := range entry {
		s := complex(kernelDamping, 2*math.Pi*float64(k)/(kernelStepS*kernelPoints))
		way := n.portToVein(s)
		tip, _ := n.balanceAt(s, entry[k]*way, true)
		art[k] = tip * n.artery(s)
		back := art[k] * n.sensorToPort(s)
		ven[k] = port[k]*n.portToSensor(s) + back*n.rest(s)
	}
	return n.grown(fft.Sequence(nil, art)), n.grown(fft.Sequence(nil, ven))
}

func damped(f []float64) []float64 {
	g := make([]float64, kernelPoints)
	for i := range f {
		g[i] = f[i] * math.Exp(-kernelDamping*kernelStepS*float64(i))
	}
	return g
}

// grown takes the damping off again and what is left of rounding below nought with it.
func (n *passages) grown(f []float64) []float64 {
	for i := range f {
		f[i] *= math.Exp(kernelDamping*kernelStepS*float64(i)) / kernelPoints
	}
	return f
}

// balanceAt solves the nodes for a flux of indicator into the vein: the concentration
// at the tip of the arterial catheter. Without return the body and the loop give
// atOnce back.
func (n *passages) balanceAt(s complex128, flux complex128, back bool) (tip, lungs complex128) {
	f, sh := n.f, n.s.Shunts
	c := func(x float64) complex128 { return complex(x, 0) }
	q := n.s.FlowMLs
	kRA, kRV, kL, kLA, kLV, kAo := n.rightAtrium(s), n.rightVentricle(s), n.lungs(s), n.leftAtrium(s), n.leftVentricle(s), n.aorta(s)
	kCav := n.caval(s)
	var up, low complex128
	upperFlow := 0.0
	for _, o := range n.organs {
		if o.upper {
			up += c(o.share) * o.passage(s)
			upperFlow += o.share
		} else {
			low += c(o.share) * o.passage(s)
		}
	}
	qUpper := upperFlow * f.body
	loopDelay := n.artery(s) * n.sensorToPort(s) * n.rest(s)
	// Unknowns: 0 caval, 1 right atrium, 2 right ventricle, 3 pulmonary artery, 4 left
	// atrium, 5 left ventricle, 6 aorta before, 7 aorta behind the duct.
	var m [8][9]complex128
	for i := range 8 {
		m[i][i] = 1
	}
	tipNode := 6
	if n.s.Postductal {
		tipNode = 7
	}
	// Caval blood enters the right atrium: body, loop and indicator.
	if back {
		m[0][6] -= c(f.body/q) * up
		m[0][7] -= c(f.body/q) * low
		m[0][tipNode] -= c(n.s.Loop.FlowMLs/q) * loopDelay
	}
	m[0][8] = flux / c(q)
	in := q + sh.Atrial.LeftToRight
	m[1][0] -= kRA * kCav * c(q/in)
	m[1][4] -= kRA * c(sh.Atrial.LeftToRight/in)
	in = f.toRight + sh.Ventricular.LeftToRight
	m[2][1] -= kRV * c(f.toRight/in)
	m[2][5] -= kRV * c(sh.Ventricular.LeftToRight/in)
	in = f.toPulmonary + sh.Ductal.LeftToRight
	m[3][2] -= c(f.toPulmonary / in)
	m[3][6] -= c(sh.Ductal.LeftToRight / in)
	in = f.lungs + sh.Atrial.RightToLeft
	m[4][3] -= kLA * kL * c(f.lungs/in)
	m[4][1] -= kLA * c(sh.Atrial.RightToLeft/in)
	in = f.toLeft + sh.Ventricular.RightToLeft
	m[5][4] -= kLV * c(f.toLeft/in)
	m[5][2] -= kLV * c(sh.Ventricular.RightToLeft/in)
	m[6][5] -= kAo
	below := f.toAorta - qUpper - sh.Ductal.LeftToRight
	if tipNode == 6 {
		below -= n.s.Loop.FlowMLs
	}
	below = max(below, 0)
	in = below + sh.Ductal.RightToLeft
	if in > 0 {
		m[7][6] -= c(below / in)
		m[7][3] -= c(sh.Ductal.RightToLeft / in)
	}
	x := eliminate(&m)
	return x[tipNode], x[3]
}

// eliminate solves the system by elimination with the largest pivot.
func eliminate(m *[8][9]complex128) (x [8]complex128) {
	for i := range 8 {
		p := i
		for r := i + 1; r < 8; r++ {
			if cmplx.Abs(m[r][i]) > cmplx.Abs(m[p][i]) {
				p = r
			}
		}
		m[i], m[p] = m[p], m[i]
		for r := i + 1; r < 8; r++ {
			if m[r][i] == 0 {
				continue
			}
			k := m[r][i] / m[i][i]
			for col := i; col < 9; col++ {
				m[r][col] -= k * m[i][col]
			}
		}
	}
	for i := 7; i >= 0; i-- {
		x[i] = m[i][8]
		for col := i + 1; col < 8; col++ {
			x[i] -= m[i][col] * x[col]
		}
		x[i] /= m[i][i]
	}
	return x
}
