package hemo

import "math/big"

// pi to more digits than any flow is charted with, as an exact number: the same flow on
// every machine.
var pi = big.NewRat(3141592653589793238, 1000000000000000000)

// DopplerFlow gives the flow, L/min, through a round vessel from the velocity-time
// integral of one beat:
//
//	Q = pi/4 d^2 VTI HR/1000
//
// with the diameter d in mm, taken as (d/10) cm, the integral in cm and the rate per
// minute. A vessel that is not round, or a flow that is not flat across it, makes it
// wrong: the diameter counts twice.
//
// Source: textbooks of echocardiography; the worked example of the test names its own.
func DopplerFlow(diameterMM, integralCM, ratePerMin *big.Rat) (*big.Rat, error) {
	err := positive(exact{"diameter of the vessel", "mm", diameterMM}, exact{"velocity-time integral", "cm", integralCM}, exact{"heart rate", "/min", ratePerMin})
	if err != nil {
		return nil, err
	}
	flow := new(big.Rat).Mul(diameterMM, diameterMM)
	for _, factor := range []*big.Rat{pi, integralCM, ratePerMin, big.NewRat(1, 4*100*1000)} {
		flow.Mul(flow, factor)
	}
	return flow, nil
}
