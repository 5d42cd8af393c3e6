package hemo

import (
	"math/big"

	"saltmark/internal/finding"
)

// FickFlow gives the flow, L/min, through a bed that takes up oxygen:
//
//	Q = VO2/(10 (Ca - Cv))
//
// with the uptake in mL/min and the arterial and venous content in mL/dL.
//
// Source: Fick's principle, physiology textbooks.
func FickFlow(uptakeMLMin, arterialMLDL, venousMLDL *big.Rat) (*big.Rat, error) {
	err := positive(
		exact{"oxygen uptake", "mL/min", uptakeMLMin},
		exact{"arterial oxygen content", "mL/dL", arterialMLDL},
		exact{"venous oxygen content", "mL/dL", venousMLDL},
	)
	if err != nil {
		return nil, err
	}
	difference := new(big.Rat).Sub(arterialMLDL, venousMLDL)
	if difference.Sign() <= 0 {
		return nil, finding.Refuse("arterial oxygen content is {1} mL/dL, venous {2}; the arterial one must be the higher", shown(arterialMLDL), shown(venousMLDL))
	}
	return difference.Quo(uptakeMLMin, difference.Mul(difference, big.NewRat(10, 1))), nil
}

// FickCarbonDioxideFlow gives the flow, L/min, through a bed that gives off carbon
// dioxide:
//
//	Q = VCO2/(10 (Cv - Ca))
//
// with the output in mL/min and the venous and arterial content in mL/dL.
//
// Source: as FickFlow.
func FickCarbonDioxideFlow(outputMLMin, arterialMLDL, venousMLDL *big.Rat) (*big.Rat, error) {
	err := positive(
		exact{"carbon dioxide output", "mL/min", outputMLMin},
		exact{"arterial carbon dioxide content", "mL/dL", arterialMLDL},
		exact{"venous carbon dioxide content", "mL/dL", venousMLDL},
	)
	if err != nil {
		return nil, err
	}
	difference := new(big.Rat).Sub(venousMLDL, arterialMLDL)
	if difference.Sign() <= 0 {
		return nil, finding.Refuse("arterial carbon dioxide content is {1} mL/dL, venous {2}; the venous one must be the higher", shown(arterialMLDL), shown(venousMLDL))
	}
	return difference.Quo(outputMLMin, difference.Mul(difference, big.NewRat(10, 1))), nil
}

// MixedVenous gives the mixed venous value from the two caval veins:
// (3 SVC + IVC)/4, for saturations or contents, both in the unit of the result.
//
// Source: Clinical Anesthesia Procedures of the Massachusetts General Hospital,
// 8th edition (stored copies of teaching pages).
func MixedVenous(superior, inferior *big.Rat) (*big.Rat, error) {
	err := positive(
		exact{"the value of the superior caval vein", "", superior},
		exact{"the value of the inferior caval vein", "", inferior},
	)
	if err != nil {
		return nil, err
	}
	mixed := new(big.Rat).Mul(superior, big.NewRat(3, 1))
	return mixed.Quo(mixed.Add(mixed, inferior), big.NewRat(4, 1)), nil
}

// Sites holds the oxygen at the four sites that a shunt ratio needs: saturations
// or contents, all four in one unit.
type Sites struct {
	Aortic, MixedVenous, PulmonaryVenous, PulmonaryArterial *big.Rat
}

// ShuntRatio gives pulmonary over systemic flow:
//
//	Qp/Qs = (aortic - mixed venous)/(pulmonary venous - pulmonary arterial)
//
// With saturations, dissolved oxygen is left out on both sides; breathing much
// oxygen makes that wrong, and contents are wanted.
//
// Source: as MixedVenous.
func ShuntRatio(at Sites) (*big.Rat, error) {
	err := positive(
		exact{"the aortic value", "", at.Aortic},
		exact{"the mixed venous value", "", at.MixedVenous},
		exact{"the pulmonary venous value", "", at.PulmonaryVenous},
		exact{"the pulmonary arterial value", "", at.PulmonaryArterial},
	)
	if err != nil {
		return nil, err
	}
	systemic := new(big.Rat).Sub(at.Aortic, at.MixedVenous)
	if systemic.Sign() <= 0 {
		return nil, finding.Refuse("the aortic value is not above the mixed venous one; no ratio can be computed")
	}
	pulmonary := new(big.Rat).Sub(at.PulmonaryVenous, at.PulmonaryArterial)
	if pulmonary.Sign() <= 0 {
		return nil, finding.Refuse("the pulmonary venous value is not above the pulmonary arterial one; no ratio can be computed")
	}
	return systemic.Quo(systemic, pulmonary), nil
}
