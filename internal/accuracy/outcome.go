package main

import (
	"saltmark/internal/accuracy/cases"
	"saltmark/internal/circuit"
	"saltmark/internal/dilution"
)

// outcome is what the estimator made of one case, without the curves.
type outcome struct {
	condition string
	shunt     circuit.Shunting
	class     circuit.WeightClass
	// ratio is Qp/Qs of what crosses from left to right, at rest.
	ratio      float64
	postductal bool
	baselineS  float64

	truth                       circuit.Truth
	flow, central, distribution dilution.Estimate
	leftToRight, early          dilution.Sign
	dispersion                  float64 // squared, relative, of the first pass
	rules                       []string
	spoiled                     bool
	// refused is why there is no case: the circuit cannot run it.
	refused error
}

// tried makes a case and computes it.
func tried(c circuit.Circuit, g group, seed uint64) outcome {
	made, err := cases.Make(c, g.setup, seed)
	if err != nil {
		return outcome{condition: g.condition, shunt: g.setup.Shunt, refused: err}
	}
	r := dilution.Analyse(made.Input)
	if g.condition == wrongVolume {
		again := made.Again(g.setup, seed)
		second := dilution.Analyse(again.Input)
		dilution.Together([]dilution.Measured{{Input: made.Input, Result: &r}, {Input: again.Input, Result: &second}})
	}
	o := outcome{
		condition: g.condition, shunt: g.setup.Shunt, class: circuit.ClassOf(made.WeightKg),
		ratio:      1 + leftToRightMLs(made.Shunts)/made.FlowMLs,
		postductal: made.Postductal, baselineS: made.BaselineS, truth: made.Truth(),
		flow: r.Flow, central: r.CentralML, distribution: r.Distribution,
		leftToRight: r.LeftToRight, early: r.Early, dispersion: r.RelativeDispersion,
	}
	for _, f := range r.Faults {
		o.rules = append(o.rules, f.Rule)
		o.spoiled = o.spoiled || f.Spoils
	}
	return o
}

func leftToRightMLs(s circuit.Shunts) float64 {
	return s.Atrial.LeftToRight + s.Ventricular.LeftToRight + s.Ductal.LeftToRight
}

// appearsEarly tells whether early appearance of indicator is there to be seen: right to left
// above the arch anywhere, through the duct only behind it.
func (o outcome) appearsEarly() bool {
	return o.shunt == circuit.AtrialRightToLeft || o.shunt == circuit.VentricularRightToLeft ||
		o.shunt == circuit.DuctalRightToLeft && o.postductal
}
