package circuit

import "fmt"

// restingFlows has every flow of Parcels at rest, mL/s. All but that of the loop rise
// and fall together.
type restingFlows struct {
	systemic, loop, body float64
	// tricuspid, pulmonary, mitral and aortic go forward through the valves; the leaks
	// come back.
	tricuspid, pulmonary, mitral, aortic                 float64
	tricuspidLeak, pulmonaryLeak, mitralLeak, aorticLeak float64
	atrial, ventricular, ductal                          Crossing
	lungs                                                float64
	// bulb leaves the root of the aorta but for the leak, aorta its part behind the
	// arteries of the heart.
	bulb float64
	// part of the body's flow by artery and by vein.
	byArtery [arteries]float64
	byVein   [veins]float64
	// atTip tells which artery the catheter lies in.
	atTip artery
}

// leakBack is what comes back through a valve that lets net pass and leaks a share of
// its forward flow.
func leakBack(net, share float64) float64 { return net * share / (1 - share) }

// newRestingFlows closes the balance. It refuses a duct that would turn the flow of the
// aorta, at the lowest flow too.
func newRestingFlows(s Scenario, organs []tissue, flow span) (restingFlows, error) {
	b, err := newBalance(s)
	if err != nil {
		return restingFlows{}, err
	}
	r := restingFlows{
		systemic: s.FlowMLs, loop: s.Loop.FlowMLs, body: s.FlowMLs - s.Loop.FlowMLs,
		tricuspidLeak: leakBack(b.tricuspid, s.Leaks.Tricuspid), pulmonaryLeak: leakBack(b.pulmonaryValve, s.Leaks.Pulmonary),
		mitralLeak: leakBack(b.mitral, s.Leaks.Mitral), aorticLeak: leakBack(b.aorticValve, s.Leaks.Aortic),
		atrial: s.Shunts.Atrial, ventricular: s.Shunts.Ventricular, ductal: s.Shunts.Ductal,
		lungs: b.lungs, bulb: b.aorticValve, atTip: arch,
	}
	r.tricuspid, r.pulmonary = b.tricuspid+r.tricuspidLeak, b.pulmonaryValve+r.pulmonaryLeak
	r.mitral, r.aortic = b.mitral+r.mitralLeak, b.aorticValve+r.aorticLeak
	if s.Postductal {
		r.atTip = descending
	}
	for _, t := range organs {
		r.byArtery[t.from] += t.share
		r.byVein[t.to] += t.share
	}
	lowest := max(flow.lowest, (r.loop+leastReturn*r.body)/r.systemic)
	below := r.behindDuct(tide{part: lowest, bodyML: r.systemic*lowest - r.loop, loopML: r.loop})
	if across := lowest * r.ductal.RightToLeft; across > 0.95*below {
		return r, fmt.Errorf("%.4g mL/s come through the duct from right to left; at most 0.95 of the %.4g mL/s of the descending aorta can",
			across, below)
	}
	if behind, least := r.bulb-r.byArtery[root]*r.systemic, 0.05*s.FlowMLs; behind < least {
		return r, fmt.Errorf("the shunts leave %.4g mL/s for the aorta behind the arteries of the heart; at least %.4g mL/s are wanted", behind, least)
	}
	return r, nil
}

// rightVentricle and leftVentricle are what the ventricles take and give.
func (r *restingFlows) rightVentricle() float64 {
	return r.tricuspid + r.ventricular.LeftToRight + r.pulmonaryLeak
}

func (r *restingFlows) leftVentricle() float64 {
	return r.mitral + r.ventricular.RightToLeft + r.aorticLeak
}

// behindDuct is what the descending aorta takes in a step, mL.
func (r *restingFlows) behindDuct(t tide) float64 {
	ml := t.bodyML * r.byArtery[descending]
	if r.atTip == descending {
		ml += t.loopML
	}
	return ml
}
