package sheet

import "saltmark/mapping/measure"

// Range is one row of the table of plausible values: a measure, or a measure
// divided by others, with the wide limits outside which somebody has to confirm
// it in writing, and the second limits outside which nobody can.
//
// Limits are decimal texts in Unit; "" is none. A value at a wide limit is
// plausible; a value at a second limit is impossible.
type Range struct {
	// Rule is the rule of the finding, and what a confirmation names.
	Rule string
	// Of is the measure, By the measures it is divided by, in this order. A measure
	// is taken from the same thing or, where that has none, from the session.
	Of string
	By []string
	// Unit is that of the quotient; "" is the unit of the measure.
	Unit string

	Low, High         string
	HardLow, HardHigh string

	// FromDays and ToDays bound the age at the session to which the row applies, in
	// days, the second one left out; 0 and 0 are every age.
	FromDays, ToDays int

	Source string
}

// Of a range whose limits are of the trade.
const practice = "common practice, no source"

// Days of a year, for limits of age alone.
const year = 365

// DefaultRanges are the limits where the site sets none. They are wide: their
// purpose is to catch a slip of the pen (a unit, a digit, a child taken for
// another), never to judge a patient.
func DefaultRanges() []Range {
	return []Range{
		{Rule: "plausible-flow-per-kg", Of: "blood-flow", By: []string{"weight"}, Unit: "mL/min/kg", Low: "30", High: "600", HardLow: "5", HardHigh: "1500",
			Source: practice + "; newborns 200 to 325 mL/min/kg by ultrasound: Walther et al., Pediatrics 1985 (names from memory)"},
		{Rule: "plausible-flow-per-kg", Of: "comparator-flow", By: []string{"weight"}, Unit: "mL/min/kg", Low: "10", High: "800", HardLow: "1", HardHigh: "2000", Source: practice},
		{Rule: "plausible-stroke", Of: "blood-flow", By: []string{"weight", "heart-rate"}, Unit: "mL/kg", Low: "0.2", High: "5", HardLow: "0.03", HardHigh: "15", Source: practice},
		{Rule: "plausible-volume-per-kg", Of: "central-blood-volume", By: []string{"weight"}, Unit: "mL/kg", Low: "4", High: "60", HardLow: "1", HardHigh: "150",
			Source: practice + "; adults 301 to 546 mL/m2: Circulation 1966;33:347-356"},
		{Rule: "plausible-volume-per-kg", Of: "end-diastolic-volume", By: []string{"weight"}, Unit: "mL/kg", Low: "0.5", High: "40", HardLow: "0.1", HardHigh: "120", Source: practice},
		{Rule: "plausible-volume-per-kg", Of: "dispersion-volume", By: []string{"weight"}, Unit: "mL/kg", Low: "0.5", High: "80", HardLow: "0.1", HardHigh: "300", Source: practice},
		{Rule: "plausible-volume-per-kg", Of: "indicator-distribution-volume", By: []string{"weight"}, Unit: "mL/kg", Low: "30", High: "250", HardLow: "10", HardHigh: "800", Source: practice},
		{Rule: "plausible-transit", Of: "mean-transit-time", Low: "1", High: "60", HardLow: "0.1", HardHigh: "300", Source: practice},
		{Rule: "plausible-indicator-per-kg", Of: "indicator-volume", By: []string{"weight"}, Unit: "mL/kg", Low: "0.1", High: "2", HardLow: "0.01", HardHigh: "10", Source: practice},
		{Rule: "plausible-injection", Of: "injection-duration", Low: "0.2", High: "30", HardLow: "0.02", HardHigh: "300", Source: practice},
		{Rule: "plausible-fluid", Of: "flush-volume", By: []string{"weight"}, Unit: "mL/kg", High: "3", HardHigh: "20", Source: practice},
		{Rule: "plausible-fluid", Of: "flush-total", By: []string{"weight"}, Unit: "mL/kg", High: "10", HardHigh: "50", Source: practice},
		{Rule: "plausible-fluid", Of: "rinse-back", By: []string{"weight"}, Unit: "mL/kg", High: "10", HardHigh: "50", Source: practice},
		{Rule: "plausible-fluid", Of: "blood-discarded", By: []string{"weight"}, Unit: "mL/kg", High: "5", HardHigh: "50", Source: practice},
		{Rule: "plausible-fluid", Of: "prime-volume", By: []string{"weight"}, Unit: "mL/kg", High: "20", HardHigh: "80", Source: practice},
		{Rule: "plausible-content", Of: "indicator-sodium", Low: "0.1", High: "0.6", HardHigh: "6.2", Source: practice + "; the second limit is saturated brine (from memory)"},
		{Rule: "plausible-content", Of: "flush-sodium", High: "0.6", HardHigh: "6.2", Source: practice},
		{Rule: "plausible-content", Of: "prime-sodium", High: "0.6", HardHigh: "6.2", Source: practice},
		{Rule: "plausible-content", Of: "rinse-back-sodium", High: "0.6", HardHigh: "6.2", Source: practice},
		{Rule: "plausible-content", Of: "flush-heparin", High: "100", HardHigh: "25001", Source: practice},
		{Rule: "plausible-content", Of: "prime-heparin", High: "100", HardHigh: "25001", Source: practice},
		{Rule: "plausible-temperature", Of: "indicator-temperature", Low: "15", High: "42", HardLow: "0", HardHigh: "60", Source: practice},
		{Rule: "plausible-loop-flow", Of: "loop-flow", By: []string{"blood-flow"}, Unit: "%", Low: "0.1", High: "25", HardHigh: "100", Source: practice + "; the second limit is conservation of flow"},
		{Rule: "plausible-heart-rate", Of: "heart-rate", Low: "40", High: "250", HardLow: "10", HardHigh: "400", Source: practice},
		{Rule: "plausible-heart-rate", Of: "comparator-heart-rate", Low: "40", High: "250", HardLow: "10", HardHigh: "400", Source: practice},
		{Rule: "plausible-pressure", Of: "arterial-pressure-mean", Low: "15", High: "150", HardLow: "0", HardHigh: "300", Source: practice},
		{Rule: "plausible-pressure", Of: "arterial-pressure-systolic", Low: "20", High: "220", HardLow: "0", HardHigh: "350", Source: practice},
		{Rule: "plausible-pressure", Of: "arterial-pressure-diastolic", Low: "5", High: "140", HardLow: "-10", HardHigh: "300", Source: practice},
		{Rule: "plausible-pressure", Of: "central-venous-pressure", Low: "-10", High: "35", HardLow: "-50", HardHigh: "150", Source: practice},
		{Rule: "plausible-length", Of: "weight", By: []string{"length", "length"}, Unit: "kg/m2", Low: "5", High: "50", HardLow: "2.5", HardHigh: "150", Source: practice},
		{Rule: "plausible-length", Of: "length", Low: "20", High: "210", HardLow: "15", HardHigh: "280", Source: practice},
		{Rule: "plausible-weight", Of: "weight", Low: "0.3", High: "200", HardLow: "0.2", HardHigh: "650", Source: practice},
		{Rule: "plausible-weight-for-age", Of: "weight", Low: "0.3", High: "6.5", HardHigh: "15", ToDays: 28, Source: practice},
		{Rule: "plausible-weight-for-age", Of: "weight", Low: "0.8", High: "16", HardHigh: "35", FromDays: 28, ToDays: year, Source: practice},
		{Rule: "plausible-weight-for-age", Of: "weight", Low: "4", High: "40", HardHigh: "90", FromDays: year, ToDays: 6 * year, Source: practice},
		{Rule: "plausible-weight-for-age", Of: "weight", Low: "9", High: "120", HardHigh: "300", FromDays: 6 * year, ToDays: 12 * year, Source: practice},
		{Rule: "plausible-weight-for-age", Of: "weight", Low: "18", High: "200", HardLow: "5", FromDays: 12 * year, ToDays: 150 * year, Source: practice},
		{Rule: "plausible-weight", Of: "birth-weight", Low: "300", High: "6500", HardLow: "150", HardHigh: "11000", Source: practice},
		{Rule: "plausible-age", Of: "age", High: "40000", HardHigh: "50000", Source: practice},
		{Rule: "plausible-blood-value", Of: "haemoglobin", Low: "4", High: "26", HardLow: "0.5", HardHigh: "40", Source: practice},
		{Rule: "plausible-blood-value", Of: "haematocrit", Low: "10", High: "80", HardLow: "2", HardHigh: "100", Source: practice},
		{Rule: "plausible-blood-value", Of: "arterial-saturation", Low: "30", High: "100", HardLow: "1", HardHigh: "100.1", Source: practice},
		{Rule: "plausible-blood-value", Of: "venous-saturation", Low: "10", High: "100", HardLow: "1", HardHigh: "100.1", Source: practice},
		{Rule: "plausible-blood-value", Of: "arterial-oxygen-pressure", Low: "15", High: "600", HardLow: "1", HardHigh: "760", Source: practice + "; the second limit is the pressure of the air"},
		{Rule: "plausible-support", Of: "inspired-oxygen", Low: "21", High: "100", HardLow: "10", HardHigh: "100.1", Source: practice},
		{Rule: "plausible-support", Of: "inhaled-nitric-oxide", High: "80", HardHigh: "1000", Source: practice},
		{Rule: "plausible-support", Of: "prostaglandin-rate", High: "400", HardHigh: "10000", Source: practice},
		{Rule: "plausible-size", Of: "catheter-size", Low: "1", High: "24", HardLow: "0.5", HardHigh: "60", Source: practice},
		{Rule: "plausible-size", Of: "level-size", Low: "0.2", High: "30", HardLow: "0.01", HardHigh: "100", Source: practice},
		{Rule: "plausible-size", Of: "comparator-diameter", Low: "2", High: "45", HardLow: "0.5", HardHigh: "100", Source: practice},
		{Rule: "plausible-size", Of: "comparator-velocity-integral", Low: "2", High: "60", HardLow: "0.1", HardHigh: "300", Source: practice},
		{Rule: "plausible-gas", Of: "comparator-oxygen-uptake", By: []string{"weight"}, Unit: "mL/min/kg", Low: "2", High: "20", HardLow: "0.2", HardHigh: "100", Source: practice},
		{Rule: "plausible-gas", Of: "comparator-carbon-dioxide-output", By: []string{"weight"}, Unit: "mL/min/kg", Low: "1.5", High: "20", HardLow: "0.2", HardHigh: "100", Source: practice},
		{Rule: "plausible-gas", Of: "comparator-arterial-content", Low: "2", High: "70", HardLow: "0.1", HardHigh: "120", Source: practice},
		{Rule: "plausible-gas", Of: "comparator-venous-content", Low: "1", High: "80", HardLow: "0.1", HardHigh: "120", Source: practice},
		{Rule: "plausible-blood-value", Of: "comparator-haemoglobin", Low: "4", High: "26", HardLow: "0.5", HardHigh: "40", Source: practice},
		{Rule: "plausible-blood-value", Of: "comparator-arterial-saturation", Low: "30", High: "100", HardLow: "1", HardHigh: "100.1", Source: practice},
		{Rule: "plausible-blood-value", Of: "comparator-venous-saturation", Low: "10", High: "100", HardLow: "1", HardHigh: "100.1", Source: practice},
		{Rule: "plausible-blood-value", Of: "comparator-arterial-oxygen-pressure", Low: "15", High: "600", HardLow: "1", HardHigh: "760", Source: practice + "; the second limit is the pressure of the air"},
		{Rule: "plausible-blood-value", Of: "comparator-venous-oxygen-pressure", Low: "10", High: "150", HardLow: "1", HardHigh: "760", Source: practice},
		{Rule: "plausible-blood-value", Of: "comparator-arterial-carbon-dioxide-pressure", Low: "15", High: "120", HardLow: "3", HardHigh: "300", Source: practice},
		{Rule: "plausible-blood-value", Of: "comparator-venous-carbon-dioxide-pressure", Low: "20", High: "130", HardLow: "3", HardHigh: "300", Source: practice},
		{Rule: "plausible-blood-value", Of: "comparator-arterial-ph", Low: "6.8", High: "7.8", HardLow: "6", HardHigh: "8", Source: practice + "; the second limits are those of the formula of carbon dioxide"},
		{Rule: "plausible-blood-value", Of: "comparator-venous-ph", Low: "6.8", High: "7.8", HardLow: "6", HardHigh: "8", Source: practice},
		{Rule: "plausible-temperature", Of: "comparator-gas-temperature", Low: "25", High: "42", HardLow: "10", HardHigh: "45", Source: practice + "; the second limits are those of the formula of carbon dioxide"},
		{Rule: "plausible-loop-volume", Of: "artery-to-sensor-volume", High: "20", HardHigh: "500", Source: practice},
		{Rule: "plausible-loop-volume", Of: "sensor-to-port-volume", High: "20", HardHigh: "500", Source: practice},
		{Rule: "plausible-loop-volume", Of: "port-to-sensor-volume", High: "20", HardHigh: "500", Source: practice},
		{Rule: "plausible-loop-volume", Of: "sensor-to-vein-volume", High: "20", HardHigh: "500", Source: practice},
		{Rule: "plausible-clock", Of: "clock-offset", Low: "-300", High: "300", HardLow: "-90000", HardHigh: "90000", Source: practice},
		{Rule: "plausible-sound-speed", Of: "indicator-sound-speed", Low: "1480", High: "1560", HardLow: "1300", HardHigh: "1800",
			Source: practice + "; water at 20 Cel 1482.3 m/s: IAPWS-95"},
		{Rule: "plausible-earlier-load", Of: "earlier-fluid", By: []string{"weight"}, Unit: "mL/kg", Low: "-5", High: "40", HardLow: "-50", HardHigh: "200", Source: practice},
		{Rule: "plausible-earlier-load", Of: "earlier-sodium", By: []string{"weight"}, Unit: "mmol/kg", High: "6", HardHigh: "60", Source: practice},
	}
}

// UnitOf gives the unit of a range.
func (r *Range) UnitOf() string {
	if r.Unit != "" {
		return r.Unit
	}
	return measure.Get(r.Of).Unit
}
