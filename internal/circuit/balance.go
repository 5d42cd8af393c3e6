package circuit

import "fmt"

// balance has the net flows of the heart at rest, mL/s. With a, v, d the net flows
// from left to right at atrial, ventricular and ductal level:
//
//	tricuspid = Qs + a          mitral = Qs + v + d
//	pulmonary valve = Qs + a + v  aortic valve = Qs + d
//	lungs Qp = Qs + a + v + d
type balance struct {
	tricuspid, pulmonaryValve, lungs, mitral, aorticValve float64
}

// net is the flow from left to right that is left over.
func (c Crossing) net() float64 { return c.LeftToRight - c.RightToLeft }

// newBalance refuses flows that no chamber could give: through every valve and the
// lungs goes at least a twentieth of Qs.
func newBalance(s Scenario) (balance, error) {
	a, v, d := s.Shunts.Atrial.net(), s.Shunts.Ventricular.net(), s.Shunts.Ductal.net()
	b := balance{
		tricuspid:      s.FlowMLs + a,
		pulmonaryValve: s.FlowMLs + a + v,
		lungs:          s.FlowMLs + a + v + d,
		mitral:         s.FlowMLs + v + d,
		aorticValve:    s.FlowMLs + d,
	}
	for _, way := range []struct {
		name    string
		flowMLs float64
	}{
		{"the tricuspid valve", b.tricuspid},
		{"the pulmonary valve", b.pulmonaryValve},
		{"the lungs", b.lungs},
		{"the mitral valve", b.mitral},
		{"the aortic valve", b.aorticValve},
	} {
		if way.flowMLs < 0.05*s.FlowMLs {
			return balance{}, fmt.Errorf("the shunts leave %.4g mL/s for %s; at least a twentieth of the flow, %.4g mL/s, has to go there",
				way.flowMLs, way.name, 0.05*s.FlowMLs)
		}
	}
	return b, nil
}
