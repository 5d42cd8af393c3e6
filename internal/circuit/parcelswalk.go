package circuit

import "math"

// walk takes a run from step to step.
type walk struct {
	*parcelled
	cut        bool
	stepS, atS float64
	// lostML is the indicator that a cut circulation threw away.
	lostML float64
	// enteredML is the indicator that came from the tube to the tip of the venous
	// catheter, entryML its sum with the time as weight.
	enteredML, entryML float64
}

// seen is what one step of time shows: concentrations at the tip of the arterial
// catheter and at both sensors, and the systemic flow.
type seen struct{ tip, arterial, venous, systemicMLs float64 }

// tide has the volumes of one step: part, s, times a resting flow of the heart gives
// its volume; bodyML is what all organs take.
type tide struct{ part, bodyML, loopML, injectedML float64 }

// step moves all blood on. The factor multiplies the resting flow; injectedML enters
// the loop at the port. It walks the way of the blood from the artery through the loop
// and the vein to the heart; what goes the other way has been taken out before.
func (w *walk) step(factor, injectedML float64, beat bool) seen {
	if beat {
		w.rightVentricle.beat()
		w.leftVentricle.beat()
	}
	r := &w.rest
	// The organs give what the heart wants less what comes from the loop. Where a hand
	// presses more into the vein than that, the heart takes the rest.
	loopML := r.loop * w.stepS
	systemicML := max(r.systemic*factor*w.stepS, loopML+injectedML+leastReturn*r.body*w.stepS)
	t := tide{part: systemicML / r.systemic, bodyML: systemicML - loopML, loopML: loopML, injectedML: injectedML}

	w.rightVentricle.lasts(t.part * r.rightVentricle())
	w.leftVentricle.lasts(t.part * r.leftVentricle())
	back := w.goBack(t)
	aortaML := t.part*r.bulb - t.bodyML*r.byArtery[root]
	aortaShare := w.aorta.leave(aortaML) / aortaML
	back.ductal = aortaShare * t.part * r.ductal.LeftToRight

	shown := w.arteries(t, aortaShare, back.ductalRightToLeft)
	shown.systemicMLs = systemicML / w.stepS
	returned := w.tubes(t, &shown)
	w.heart(t, back, w.veinsGive(t, returned))
	w.atS += w.stepS
	return shown
}

// leastReturn is the part of their resting flow that the organs always give.
const leastReturn = 0.1

// backward has the indicator, mL, that goes against the order of a step.
type backward struct {
	tricuspid, pulmonary, mitral, aortic           float64
	atrial, ventricular, ductal, ductalRightToLeft float64
}

// goBack takes out leaks, shunts from left to right and the duct from right to left.
func (w *walk) goBack(t tide) backward {
	r, p := &w.rest, t.part
	return backward{
		tricuspid: w.rightVentricle.back(p * r.tricuspidLeak),
		pulmonary: w.trunk.back(p * r.pulmonaryLeak),
		mitral:    w.leftVentricle.back(p * r.mitralLeak), aortic: w.bulb.back(p * r.aorticLeak),
		atrial:            w.leftAtrium.back(p * r.atrial.LeftToRight),
		ventricular:       w.leftVentricle.back(p * r.ventricular.LeftToRight),
		ductalRightToLeft: w.trunk.back(p * r.ductal.RightToLeft),
	}
}

// arteries divides the blood at the end of the aorta, and takes it to the organs and to
// the tip of the arterial catheter.
func (w *walk) arteries(t tide, aortaShare, ductalIndicatorML float64) (shown seen) {
	r := &w.rest
	below, across := r.behindDuct(t), t.part*r.ductal.RightToLeft
	share := [arteries]float64{
		arch:       aortaShare,
		descending: (aortaShare*(below-across) + ductalIndicatorML) / below,
	}
	tipML := t.bodyML*r.byArtery[r.atTip] + t.loopML
	share[r.atTip] = w.tip.through(tipML, share[r.atTip]*tipML) / tipML
	for _, from := range [...]artery{arch, descending} {
		w.toOrgans[from].enter(t.bodyML, share[from]*t.bodyML)
	}
	return seen{tip: share[r.atTip]}
}

// tubes takes blood from the tip of the arterial catheter through the loop, with the
// injection at its port. It gives the indicator that comes out at the venous tip.
func (w *walk) tubes(t tide, shown *seen) (indicatorML float64) {
	on := w.loop[0].through(t.loopML, shown.tip*t.loopML)
	shown.arterial = on / t.loopML
	if w.cut {
		w.lostML += on
		on = 0
	}
	on = w.loop[1].through(t.loopML, on) + t.injectedML
	pushedML := t.loopML + t.injectedML
	on = w.loop[2].through(pushedML, on)
	shown.venous = on / pushedML
	on = w.loop[3].through(pushedML, on)
	w.enteredML += on
	w.entryML += on * (w.atS + w.stepS/2)
	return on
}

// inflow is what one vein brings to the right atrium.
type inflow struct{ ml, indicatorML float64 }

// veinsGive takes the organs' blood, and that of the loop, to the right atrium. The
// organs give less than they took by what was injected.
func (w *walk) veinsGive(t tide, fromLoopML float64) (veined [veins]inflow) {
	for i := range w.organs {
		o := &w.organs[i]
		ml, indicatorML := o.leave(t.bodyML-t.injectedML, w.stepS)
		if w.cut {
			w.lostML += indicatorML
			indicatorML = 0
		}
		veined[o.to].ml += ml
		veined[o.to].indicatorML += indicatorML
	}
	at := &veined[w.catheter]
	at.ml += t.loopML + t.injectedML
	at.indicatorML = w.cava.through(at.ml, at.indicatorML+fromLoopML)
	return veined
}

// heart takes the blood of the veins through heart and lungs into the aorta.
func (w *walk) heart(t tide, back backward, veined [veins]inflow) {
	r, p := &w.rest, t.part
	ahead, across := w.atria(t, back, veined)
	on := w.rightVentricle.pass(
		p*r.rightVentricle(), ahead+back.ventricular+back.pulmonary,
		p*r.tricuspidLeak, back.tricuspid, w.stepS)
	rightOut := p * (r.pulmonary + r.ventricular.RightToLeft)
	overSeptum := on * p * r.ventricular.RightToLeft / rightOut
	on = w.trunk.pass(
		p*(r.pulmonary+r.ductal.LeftToRight), on-overSeptum+back.ductal,
		p*(r.pulmonaryLeak+r.ductal.RightToLeft), back.pulmonary+back.ductalRightToLeft, w.stepS)
	on = w.lungs.through(p*r.lungs, on)
	on = w.leftAtrium.pass(
		p*(r.lungs+r.atrial.RightToLeft+r.mitralLeak), on+across+back.mitral,
		p*r.atrial.LeftToRight, back.atrial, w.stepS)
	on = w.leftVentricle.pass(
		p*r.leftVentricle(), on+overSeptum+back.aortic,
		p*(r.mitralLeak+r.ventricular.LeftToRight), back.mitral+back.ventricular, w.stepS)
	on = w.bulb.pass(p*r.aortic, on, p*r.aorticLeak, back.aortic, w.stepS)
	share := on / (p * r.bulb)
	w.toOrgans[root].enter(t.bodyML, share*t.bodyML)
	heartML := t.bodyML * r.byArtery[root]
	w.aorta.entered.enter(p*r.bulb-heartML, on-share*heartML)
}

// atria is the right atrium: part of the blood of the cava with the catheter streams
// past its mixing to the tricuspid valve, and part of that of the lower cava over the
// septum. It gives the indicator ahead, through the valve, and across.
func (w *walk) atria(t tide, back backward, veined [veins]inflow) (ahead, across float64) {
	r, p := &w.rest, t.part
	aheadML, acrossML := p*r.tricuspid, p*r.atrial.RightToLeft
	stream := veined[w.catheter].stream(min(w.streaming*veined[w.catheter].ml, 0.9*aheadML))
	over := veined[lowerCava].stream(min(w.foramenStream*acrossML, 0.9*veined[lowerCava].ml))
	in := inflow{ml: p * (r.tricuspidLeak + r.atrial.LeftToRight), indicatorML: back.tricuspid + back.atrial}
	for _, v := range veined {
		in.ml += v.ml
		in.indicatorML += v.indicatorML
	}
	on := w.rightAtrium.pass(in.ml, in.indicatorML, 0, 0, w.stepS)
	overByMixing := on * (acrossML - over.ml) / in.ml
	return stream.indicatorML + on - overByMixing, over.indicatorML + overByMixing
}

// stream takes a volume out of an inflow.
func (f *inflow) stream(ml float64) (taken inflow) {
	if f.ml <= 0 {
		return inflow{}
	}
	taken = inflow{ml: ml, indicatorML: f.indicatorML * ml / f.ml}
	f.ml -= taken.ml
	f.indicatorML -= taken.indicatorML
	return taken
}

// heldML is all the indicator that is somewhere, lost included.
func (w *walk) heldML() float64 {
	ml := w.lostML
	for _, c := range w.chambers() {
		ml += c.held()
	}
	for _, v := range w.ways() {
		ml += v.held()
	}
	for i := range w.organs {
		ml += w.organs[i].held()
	}
	return ml
}

// massError is the difference to what has been given, as part of all that is.
func (w *walk) massError(givenML, wholeML float64) float64 {
	return math.Abs(w.heldML()-givenML) / wholeML
}
