package dilution

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"saltmark/internal/dilution/leastsquares"
)

// forTheJudge is what testdata/judges/scipy compares: curves, what was asked of them, and our
// answers.
type forTheJudge struct {
	GammaVariate []curveForJudge
	Exponential  []curveForJudge
	Moments      []curveForJudge
	Loop         []loopForJudge
}

type curveForJudge struct {
	StartS, StepS         float64
	H                     []float64
	Height, FromS, RateS  float64 // of the tail
	AreaS, MeanS, Squares float64 // our answers
}

// loopForJudge is one set of parameters of the closed loop and our curve of it.
type loopForJudge struct {
	FlowMLs, VolumeML, ArteryS, PeakH              float64
	MuS, Delay, Chamber, Order, FirstS, SecondS, W float64
	Share, Back, Early, Bypass, Stages, E          float64
	Entry                                          [][3]float64 // from, to, share
	Branches                                       [][2]float64 // part, mean transit
	Tubes                                          []float64    // mean transit of each section, s
	Part                                           float64
	LoopMLs                                        float64
	TimesS, H                                      []float64
}

// TestWriteForTheJudge writes what scipy is to judge into the file that the environment
// names; testdata/judges/scipy/run asks for it.
func TestWriteForTheJudge(t *testing.T) {
	name := os.Getenv("SALTMARK_SCIPY_OUT")
	if name == "" {
		t.Skip("asked for by testdata/judges/scipy/run")
	}
	var all forTheJudge
	random := rand.New(rand.NewPCG(3, 4))
	for _, g := range []gammaVariate{{0.04, 4, 3, 1.5}, {0.02, 6, 2.2, 3}, {0.1, 2, 5, 0.5}} {
		h := make([]float64, 600)
		for i := range h {
			h[i] = g.at(float64(i)*0.1) + 0.005*g.peak*random.NormFloat64()
		}
		s := fitGammaVariate(0, 0.1, h, g.t0)
		from := int(math.Round(s.fromS / 0.1))
		all.GammaVariate = append(all.GammaVariate, curveForJudge{
			StartS: s.fromS, StepS: 0.1, H: h[from : int(math.Round(s.toS/0.1))+1], AreaS: s.areaS, MeanS: s.meanS,
		})
		e := exponential(0, 0.1, h, g.t0)
		first, last := int(math.Round(e.fromS/0.1)), int(math.Round(e.toS/0.1))
		all.Exponential = append(all.Exponential, curveForJudge{
			StartS: e.fromS, StepS: 0.1, H: h[first : last+1], Height: e.beyond.height, FromS: e.beyond.fromS, RateS: e.beyond.ratePerS,
		})
		start := int(math.Ceil(g.t0 / 0.1))
		m := momentsWithTail(float64(start)*0.1, 0.1, h[start:last+1], e.beyond)
		all.Moments = append(all.Moments, curveForJudge{
			StartS: float64(start) * 0.1, StepS: 0.1, H: h[start : last+1], Height: e.beyond.height, FromS: e.beyond.fromS, RateS: e.beyond.ratePerS,
			AreaS: m.areaS, MeanS: m.meanS, Squares: m.varianceS2 + m.meanS*m.meanS,
		})
	}
	for _, form := range []structure{{}, {LeftToRight: true, BroadBody: true}, {RightToLeft: true, BroadBody: true, TwoPaths: true}, {LeftToRight: true, RightToLeft: true, TwoPaths: true}} {
		all.Loop = append(all.Loop, loopForTheJudge(form))
	}
	text, err := json.Marshal(all)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, text, 0o600); err != nil {
		t.Fatal(err)
	}
}

func loopForTheJudge(form structure) loopForJudge {
	p := child()
	p.startS, p.h = 0, make([]float64, 800)
	r := loopResult{form: form, flowMLs: 40, start: loopStart{flowMLs: 40, transitS: 8, bodyS: 25}}
	var at leastsquares.Vector
	f := newLoopFitter()
	f.problem, f.form, f.peak = p, form, 1
	f.setLimits()
	for j := range at[:loopParameters] {
		at[j] = f.limits[j].Mean + 0.2*f.limits[j].SD
	}
	at[atFlow], at[atTransit], at[atBody] = 0, 0, 0
	r.parameters = at
	h := newHeartAndLungs(&at, 8, form)
	b := newBody(&at, 25, form)
	fitted, _ := r.curves(p)
	j := loopForJudge{
		FlowMLs: 40, VolumeML: p.volumeML, ArteryS: p.arteryS(), MuS: h.muS, Delay: h.delay, Chamber: h.chamber, Order: h.order,
		FirstS: h.firstS, SecondS: h.secondS, W: slowPart, Share: h.share, Back: h.back, Early: h.early, Bypass: h.bypass,
		Stages: max(h.stages, 1), E: bypassDelay, Part: p.tubePart, LoopMLs: p.loop.FlowMLs,
	}
	for _, step := range p.enters().steps {
		j.Entry = append(j.Entry, [3]float64{step.fromS, step.toS, step.share})
	}
	for _, x := range b.branches[:b.n] {
		j.Branches = append(j.Branches, [2]float64{x.part, 4 * x.quarterS})
	}
	l := p.loop
	for _, ml := range []float64{l.ArteryToSensorML, l.SensorToPortML, l.PortToSensorML, l.SensorToVeinML} {
		j.Tubes = append(j.Tubes, ml/l.FlowMLs)
	}
	for i := 20; i < 600; i += 23 {
		j.TimesS, j.H = append(j.TimesS, float64(i)*gridStepS), append(j.H, fitted[i])
	}
	for _, x := range fitted {
		j.PeakH = max(j.PeakH, x)
	}
	return j
}
