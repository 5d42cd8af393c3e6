package derive

import (
	"math/big"

	"saltmark/internal/finding"
	"saltmark/internal/hemo"
)

// The formulas here take their inputs in the units of the table of measures, in the
// order of their row: flow L/min, loop flow mL/min, rate /min, weight kg, area m2,
// pressures mm[Hg], oxygen content mL/dL, volumes mL. The quotient of two inputs is
// in the unit that their units make.

func quotient(in []*big.Rat) (*big.Rat, error) {
	switch {
	case in[0] == nil || in[1] == nil:
		return nil, finding.Refuse("an input is no number in the unit of its measure")
	case in[1].Sign() <= 0:
		return nil, finding.Refuse("the divisor is not above zero")
	}
	return new(big.Rat).Quo(in[0], in[1]), nil
}

// millilitresPer is flow in mL/min by the second input.
func millilitresPer(in []*big.Rat) (*big.Rat, error) {
	x, err := quotient(in)
	if err != nil {
		return nil, err
	}
	return x.Mul(x, big.NewRat(1000, 1)), nil
}

// perBeat is stroke volume: flow by rate.
func perBeat(in []*big.Rat) (*big.Rat, error) { return hemo.StrokeVolume(in[0], in[1]) }

// perBeatAndArea is stroke volume by area, from the flow as charted.
func perBeatAndArea(in []*big.Rat) (*big.Rat, error) {
	volume, err := perBeat(in)
	if err != nil {
		return nil, err
	}
	return quotient([]*big.Rat{volume, in[2]})
}

// withoutLoop is the flow less that of the pumped loop, which feeds no tissue.
func withoutLoop(in []*big.Rat) (*big.Rat, error) {
	loop := new(big.Rat).Quo(in[1], big.NewRat(1000, 1))
	rest := new(big.Rat).Sub(in[0], loop)
	if rest.Sign() <= 0 {
		return nil, finding.Refuse("the flow of the loop is not below the blood flow")
	}
	return rest, nil
}

// loopShare is the loop's part of the flow in per cent: loop flow by flow.
func loopShare(in []*big.Rat) (*big.Rat, error) {
	x, err := quotient(in) // mL/min by L/min: per mille
	if err != nil {
		return nil, err
	}
	return x.Quo(x, big.NewRat(10, 1)), nil
}

// resistance is of the flow that feeds tissue, and a measured venous pressure.
func resistance(in []*big.Rat) (*big.Rat, error) {
	return hemo.SystemicResistance(in[1], in[2], in[0])
}

func resistanceTimesArea(in []*big.Rat) (*big.Rat, error) {
	return hemo.SystemicResistanceIndex(in[1], in[2], in[0], in[3])
}

// delivery is the oxygen in the flow that feeds tissue.
func delivery(in []*big.Rat) (*big.Rat, error) { return hemo.OxygenDelivery(in[0], in[1]) }

func deliveryPerArea(in []*big.Rat) (*big.Rat, error) {
	x, err := delivery(in)
	if err != nil {
		return nil, err
	}
	return quotient([]*big.Rat{x, in[2]})
}
