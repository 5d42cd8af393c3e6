package hemo

import (
	"cmp"
	"math"
	"math/big"

	"saltmark/internal/finding"
)

// OxygenConstants are what a site uses to compute oxygen content.
type OxygenConstants struct {
	// Huefner is the oxygen that one gram of haemoglobin binds, mL/g. In use are
	// 1.34, 1.36 and 1.39.
	Huefner *big.Rat
	// Solubility is the oxygen that a decilitre of blood dissolves for each mmHg of
	// oxygen pressure, mL/dL/mmHg. In use are 0.003 and 0.0031. It is not needed
	// where no oxygen pressure is given.
	Solubility *big.Rat
}

// OxygenContent gives the oxygen content of blood, mL/dL:
//
//	C = Huefner Hb S + Solubility pO2
//
// A nil pressure means that none is known: the dissolved part is left out, and
// the caller must say so.
//
// Source: physiology textbooks; the worked examples of the tests name theirs.
func OxygenContent(haemoglobinGDL, saturation, pressureMmHg *big.Rat, with OxygenConstants) (*big.Rat, error) {
	err := cmp.Or(
		positive(exact{"haemoglobin", "g/dL", haemoglobinGDL}, exact{"the oxygen bound by haemoglobin", "mL/g", with.Huefner}),
		fraction(exact{"oxygen saturation", "", saturation}),
	)
	if err != nil {
		return nil, err
	}
	bound := new(big.Rat).Mul(with.Huefner, haemoglobinGDL)
	bound.Mul(bound, saturation)
	if pressureMmHg == nil {
		return bound, nil
	}
	err = positive(exact{"oxygen pressure", "mmHg", pressureMmHg}, exact{"the solubility of oxygen", "mL/dL/mmHg", with.Solubility})
	if err != nil {
		return nil, err
	}
	dissolved := new(big.Rat).Mul(with.Solubility, pressureMmHg)
	return bound.Add(bound, dissolved), nil
}

// OxygenDelivery gives the oxygen that a flow carries, mL/min: 10 Q C, with the
// content in mL/dL. The flow is the one that feeds tissue: a pumped loop is taken
// off by the caller.
func OxygenDelivery(flowLMin, contentMLDL *big.Rat) (*big.Rat, error) {
	if err := positive(exact{"flow", "L/min", flowLMin}, exact{"oxygen content", "mL/dL", contentMLDL}); err != nil {
		return nil, err
	}
	delivery := new(big.Rat).Mul(flowLMin, contentMLDL)
	return delivery.Mul(delivery, big.NewRat(10, 1)), nil
}

// OxygenSaturation gives the saturation of adult haemoglobin, a fraction, at an
// oxygen pressure, 37 Cel and pH 7.40:
//
//	S = 1/(1 + 23400/(p^3 + 150 p))
//
// Haemoglobin of the newborn binds oxygen more firmly: the formula reads too low
// there.
//
// Source: Severinghaus JW. J Appl Physiol 1979;46:599-602, abstract (fit within
// 0.0055 of the saturation).
func OxygenSaturation(pressureMmHg float64) (float64, error) {
	if err := above0("oxygen pressure", "mmHg", pressureMmHg); err != nil {
		return 0, err
	}
	s := 1 / (1 + 23400/(pressureMmHg*pressureMmHg*pressureMmHg+150*pressureMmHg))
	if math.IsNaN(s) {
		return 0, finding.Refuse("oxygen pressure is {1} mmHg; a smaller number is wanted", number(pressureMmHg))
	}
	return s, nil
}
