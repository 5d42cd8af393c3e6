package hemo

import (
	"math/big"

	"saltmark/internal/finding"
)

// StrokeVolume gives the volume of one beat, mL: 1000 Q/HR.
func StrokeVolume(flowLMin, ratePerMin *big.Rat) (*big.Rat, error) {
	if err := positive(exact{"flow", "L/min", flowLMin}, exact{"heart rate", "/min", ratePerMin}); err != nil {
		return nil, err
	}
	volume := new(big.Rat).Quo(flowLMin, ratePerMin)
	return volume.Mul(volume, big.NewRat(1000, 1)), nil
}

// ResistanceFactor gives what one mmHg min/L is in dyn s/cm5: 79.9934.
//
// Derivation: 1 mmHg = 1333.22387415 dyn/cm2, 1 L/min = 1000/60 cm3/s, so
// 1333.22387415 x 60/1000 = 79.993432449, of which four decimals are used. In
// print it is mostly 80.
func ResistanceFactor() *big.Rat { return big.NewRat(799934, 10000) }

// SystemicResistance gives the resistance of the systemic circulation, dyn s/cm5:
//
//	R = 79.9934 (MAP - CVP)/Q
//
// The central venous pressure is a measured one, none is assumed; it may be zero
// or below. The flow is the one that feeds tissue: a pumped loop is taken off by
// the caller.
//
// Source: physiology textbooks; the worked example of the test names its own.
func SystemicResistance(arterialMmHg, venousMmHg, flowLMin *big.Rat) (*big.Rat, error) {
	err := positive(exact{"mean arterial pressure", "mmHg", arterialMmHg}, exact{"flow", "L/min", flowLMin})
	if err != nil {
		return nil, err
	}
	if venousMmHg == nil {
		return nil, finding.Refuse("central venous pressure is missing; a measured one is wanted")
	}
	resistance := new(big.Rat).Sub(arterialMmHg, venousMmHg)
	if resistance.Sign() <= 0 {
		return nil, finding.Refuse("mean arterial pressure is {1} mmHg, central venous {2}; the arterial one must be the higher", shown(arterialMmHg), shown(venousMmHg))
	}
	resistance.Quo(resistance, flowLMin)
	return resistance.Mul(resistance, ResistanceFactor()), nil
}

// SystemicResistanceIndex gives resistance times body surface, dyn s m2/cm5: the
// pressure difference over the flow index.
func SystemicResistanceIndex(arterialMmHg, venousMmHg, flowLMin, areaM2 *big.Rat) (*big.Rat, error) {
	if err := positive(exact{"body surface area", "m2", areaM2}); err != nil {
		return nil, err
	}
	resistance, err := SystemicResistance(arterialMmHg, venousMmHg, flowLMin)
	if err != nil {
		return nil, err
	}
	return resistance.Mul(resistance, areaM2), nil
}
