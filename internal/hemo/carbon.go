package hemo

import (
	"cmp"
	"math"

	"saltmark/internal/finding"
)

// PlasmaCarbonDioxide gives the total carbon dioxide content of plasma, mL/dL:
//
//	C   = 2.226 s pCO2 (1 + 10^(pH - pK'))
//	s   = 0.0307 + 0.00057 (37 - T) + 0.00002 (37 - T)^2
//	pK' = 6.086 + 0.042 (7.4 - pH) + (38 - T)(0.00472 + 0.00139 (7.4 - pH))
//
// with T in Cel and pH, pCO2 at that temperature. Taken are pH from 6 to 8 and
// temperatures from 10 to 45 (bounds of ours).
//
// Source: Douglas AR, Jones NL, Reed JW. J Appl Physiol 1988;65:473-477, abstract;
// constants as in public code that cites it.
func PlasmaCarbonDioxide(pressureMmHg, pH, temperatureCel float64) (float64, error) {
	err := cmp.Or(
		above0("carbon dioxide pressure", "mmHg", pressureMmHg),
		between("pH", "", pH, 6, 8),
		between("temperature", "Cel", temperatureCel, 10, 45),
	)
	if err != nil {
		return 0, err
	}
	colder := 37 - temperatureCel
	solubility := 0.0307 + 0.00057*colder + 0.00002*colder*colder
	content := 2.226 * solubility * pressureMmHg * (1 + math.Pow(10, pH-apparentPK(pH, temperatureCel)))
	if math.IsInf(content, 1) {
		return 0, finding.Refuse("carbon dioxide pressure is {1} mmHg; a smaller number is wanted", number(pressureMmHg))
	}
	return content, nil
}

// apparentPK is pK' of the carbonic acid of plasma.
func apparentPK(pH, temperatureCel float64) float64 {
	return 6.086 + 0.042*(7.4-pH) + (38-temperatureCel)*(0.00472+0.00139*(7.4-pH))
}

// BloodCarbonDioxide gives the total carbon dioxide content of whole blood, mL/dL:
//
//	C = plasma (1 - 0.0289 Hb/((3.352 - 0.456 S)(8.142 - pH)))
//
// with plasma as PlasmaCarbonDioxide gives it. Haemoglobin is taken up to 30 g/dL
// (a bound of ours).
//
// Source: as PlasmaCarbonDioxide.
func BloodCarbonDioxide(pressureMmHg, pH, temperatureCel, haemoglobinGDL, saturation float64) (float64, error) {
	err := cmp.Or(
		between("haemoglobin", "g/dL", haemoglobinGDL, 0, 30),
		between("oxygen saturation", "", saturation, 0, 1),
	)
	if err != nil {
		return 0, err
	}
	plasma, err := PlasmaCarbonDioxide(pressureMmHg, pH, temperatureCel)
	if err != nil {
		return 0, err
	}
	factor := 1 - 0.0289*haemoglobinGDL/((3.352-0.456*saturation)*(8.142-pH))
	if factor <= 0 {
		return 0, finding.Refuse("haemoglobin {1} g/dL and pH {2} lie outside what the formula describes", number(haemoglobinGDL), number(pH))
	}
	return plasma * factor, nil
}
