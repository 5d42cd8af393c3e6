package mapping

import (
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// openWords are the words for what is open: by its bare name, as the subject of "the
// duct is open" (German leaves the article out there) and as what is crossed ("through
// the duct", "über den Ductus arteriosus").
type openWords struct {
	name, acts, crossed wording
	several             bool // of which there are more than one
}

// lesionWords are those for lesions, by the code of the sheet.
var lesionWords = map[string]openWords{
	"patent-duct":        ductWords,
	"patent-foramen":     {wording{"foramen", "Foramen ovale"}, wording{"the foramen", "Foramen ovale"}, wording{"the foramen", "das Foramen ovale"}, false},
	"atrial-defect":      {wording{"atrial defect", "Vorhofseptumdefekt"}, wording{"the atrial defect", "Vorhofseptumdefekt"}, wording{"the atrial defect", "den Vorhofseptumdefekt"}, false},
	"ventricular-defect": ventricularDefectWords,
	"collaterals": {
		wording{"aortopulmonary collaterals", "aortopulmonale Kollateralen"}, wording{"the aortopulmonary collaterals", "aortopulmonale Kollateralen"},
		wording{"the aortopulmonary collaterals", "die aortopulmonalen Kollateralen"}, true,
	},
	"window": {
		wording{"aortopulmonary window", "aortopulmonales Fenster"}, wording{"the aortopulmonary window", "aortopulmonales Fenster"},
		wording{"the aortopulmonary window", "das aortopulmonale Fenster"}, false,
	},
	"surgical-shunt": {wording{"surgical shunt", "chirurgischer Shunt"}, wording{"the surgical shunt", "chirurgischer Shunt"}, wording{"the surgical shunt", "den chirurgischen Shunt"}, false},
}

var (
	ductWords              = openWords{wording{"duct", "Ductus arteriosus"}, wording{"the duct", "Ductus arteriosus"}, wording{"the duct", "den Ductus arteriosus"}, false}
	ventricularDefectWords = openWords{
		wording{"ventricular defect", "Ventrikelseptumdefekt"}, wording{"the ventricular defect", "Ventrikelseptumdefekt"},
		wording{"the ventricular defect", "den Ventrikelseptumdefekt"}, false,
	}
)

// levelWords are the words for one level.
type levelWords struct {
	open   openWords // what is open, where no lesion is stated
	looked wording   // what somebody looked at; German: in the genitive
}

var wordsOfLevels = map[string]levelWords{
	measure.Ductal: {ductWords, wording{"the duct", "des Ductus arteriosus"}},
	measure.Atrial: {
		openWords{
			wording{"opening between the atria", "Öffnung zwischen den Vorhöfen"}, wording{"the opening between the atria", "Öffnung zwischen den Vorhöfen"},
			wording{"the opening between the atria", "die Öffnung zwischen den Vorhöfen"}, false,
		},
		wording{"the atrial wall", "des Vorhofseptums"},
	},
	measure.Ventricular: {ventricularDefectWords, wording{"the ventricular wall", "des Ventrikelseptums"}},
	measure.Aortopulmonary: {
		openWords{
			wording{"aortopulmonary connection", "aortopulmonale Verbindung"}, wording{"the aortopulmonary connection", "aortopulmonale Verbindung"},
			wording{"the aortopulmonary connection", "die aortopulmonale Verbindung"}, false,
		},
		wording{"the great arteries for another connection", "möglicher weiterer Verbindungen der großen Arterien"},
	},
}

// closedRow says of one set of levels that they are closed. Great arteries without
// another connection go without a name (phrases.none).
type closedRow struct {
	levels []string // in the order of spokenLevels
	says   wording
}

var closedRows = []closedRow{
	{[]string{measure.Ductal, measure.Atrial, measure.Ventricular}, wording{"duct, atrial and ventricular walls closed", "Ductus arteriosus, Vorhof- und Ventrikelseptum geschlossen"}},
	{[]string{measure.Ductal, measure.Atrial}, wording{"duct and atrial wall closed", "Ductus arteriosus und Vorhofseptum geschlossen"}},
	{[]string{measure.Ductal, measure.Ventricular}, wording{"duct and ventricular wall closed", "Ductus arteriosus und Ventrikelseptum geschlossen"}},
	{[]string{measure.Atrial, measure.Ventricular}, wording{"atrial and ventricular walls closed", "Vorhof- und Ventrikelseptum geschlossen"}},
	{[]string{measure.Ductal}, wording{"duct closed", "Ductus arteriosus geschlossen"}},
	{[]string{measure.Atrial}, wording{"atrial wall closed", "Vorhofseptum geschlossen"}},
	{[]string{measure.Ventricular}, wording{"ventricular wall closed", "Ventrikelseptum geschlossen"}},
}

// lookWords are those for how somebody looked.
var lookWords = map[string]wording{
	"echo":               {"echo", "Echo"},
	"catheterisation":    {"catheterisation", "Herzkatheter"},
	"magnetic-resonance": {"magnetic resonance", "MRT"},
	"operation":          {"operation", "Operation"},
}

// circuitWords are the cautions on another circuit.
var circuitWords = map[string]wording{
	"dialysis":        {"Dialysis or haemofiltration was running.", "Dialyse oder Hämofiltration lief."},
	"another-circuit": {"Another extracorporeal circuit was running.", "Ein anderer extrakorporaler Kreislauf lief."},
}

// countWords are numbers that a sentence writes out: of injections.
var countWords = []wording{
	{"no", "keine"},
	{"one", "eine"},
	{"two", "zwei"},
	{"three", "drei"},
	{"four", "vier"},
	{"five", "fünf"},
	{"six", "sechs"},
	{"seven", "sieben"},
	{"eight", "acht"},
	{"nine", "neun"},
	{"ten", "zehn"},
}

// besides tells what else lets blood cross beside the atrial level: it decides what
// can be said of the flows through the right ventricle and the lungs.
type besides uint8

const (
	alone             besides = iota // every other level is closed
	besideDuct                       // the ventricular level is closed, another of the great arteries is not
	besideVentricular                // the ventricular level is not closed
)

// atrialRow says what the atrial level in a state makes of the flows through the
// right ventricle and the lungs. "{closed}" is what else was seen closed.
type atrialRow struct {
	states []measure.State
	beside []besides
	says   wording
}

var anything = []besides{alone, besideDuct, besideVentricular}

// atrialRows is the table. Of a level open in both directions, or in one not seen,
// nothing is known but that; of one open right to left beside a ventricular defect
// neither whether the right ventricle carries more or less.
var atrialRows = []atrialRow{
	{
		[]measure.State{measure.StateLeftToRight}, []besides{alone}, wording{
			"NOT the flow through the lungs or the right ventricle, which carry more by what crosses {crossed} (left to right, {look}{closed}).",
			"NICHT der Fluss durch Lunge oder rechten Ventrikel, der um den Fluss über {crossed} größer ist (Links-rechts-Shunt, {look}{closed}).",
		},
	},
	{
		[]measure.State{measure.StateRightToLeft}, []besides{alone}, wording{
			"NOT the flow through the lungs or the right ventricle, which carry less by what crosses {crossed} (right to left, {look}{closed}).",
			"NICHT der Fluss durch Lunge oder rechten Ventrikel, der um den Fluss über {crossed} kleiner ist (Rechts-links-Shunt, {look}{closed}).",
		},
	},
	{
		[]measure.State{measure.StateLeftToRight}, []besides{besideDuct}, wording{
			"NOT the output of the right ventricle, which carries more by what crosses {crossed} (left to right, {look}).",
			"NICHT das Herzzeitvolumen des rechten Ventrikels, das um den Fluss über {crossed} größer ist (Links-rechts-Shunt, {look}).",
		},
	},
	{
		[]measure.State{measure.StateRightToLeft}, []besides{besideDuct}, wording{
			"NOT the output of the right ventricle, which carries less by what crosses {crossed} (right to left, {look}).",
			"NICHT das Herzzeitvolumen des rechten Ventrikels, das um den Fluss über {crossed} kleiner ist (Rechts-links-Shunt, {look}).",
		},
	},
	{
		[]measure.State{measure.StateLeftToRight}, []besides{besideVentricular}, wording{
			"NOT the output of the right ventricle, which carries more: {open} too, left to right ({look}).",
			"NICHT das Herzzeitvolumen des rechten Ventrikels, das größer ist: auch {open}, Links-rechts-Shunt ({look}).",
		},
	},
	{
		[]measure.State{measure.StateRightToLeft}, []besides{besideVentricular}, wording{
			"The {through} is not known: blood also crosses {crossed} from right to left ({look}).",
			"{through} nicht bekannt: zusätzlich Rechts-links-Shunt über {crossed} ({look}).",
		},
	},
	{
		[]measure.State{measure.StateBidirectional}, anything, wording{
			"The {through} is not known: blood crosses {crossed} in both directions ({look}{closed}).",
			"{through} nicht bekannt: bidirektionaler Shunt über {crossed} ({look}{closed}).",
		},
	},
	{
		[]measure.State{measure.StateNoDirection}, anything, wording{
			"The {through} is not known: {open}, direction not seen ({look}{closed}).",
			"{through} nicht bekannt: {open}, Richtung nicht beurteilt ({look}{closed}).",
		},
	},
	{
		[]measure.State{measure.StateStale}, anything, wording{
			"The {through} is not known: the look at the atrial wall no longer holds ({lapse}).",
			"{through} nicht bekannt: die Beurteilung des Vorhofseptums gilt nicht mehr ({lapse}).",
		},
	},
	{
		[]measure.State{measure.StateNotSeen}, anything, wording{
			"The {through} is not known: nobody looked at the atrial wall.",
			"{through} nicht bekannt: das Vorhofseptum wurde nicht beurteilt.",
		},
	},
}

// doubtRow says why no flow can be named. open is added of the first of the levels
// that is in one of the states.
type doubtRow struct {
	says   wording
	levels []string
	states []measure.State
	open   wording
}

var (
	opposite = []measure.State{measure.StateRightToLeft, measure.StateBidirectional, measure.StateNoDirection}
	notOnly  = []measure.State{measure.StateLeftToRight, measure.StateBidirectional, measure.StateNoDirection}

	openAtOnce = wording{"; {open}, {direction} ({look})", "; {open}, {direction} ({look})"}
	andOpen    = wording{", and {open}, {direction} ({look})", "; {open}, {direction} ({look})"}
)

// doubtWords are the rows, by the reason of the label. What was not looked at is
// said by noLook.
var doubtWords = map[string]doubtRow{
	"life-support": {says: wording{"veno-arterial life support (ECMO) was running", "veno-arterielle Kreislaufunterstützung (ECMO) lief"}},
	"other-anatomy": {says: wording{
		"the anatomy is not that of two ventricles in series", "keine Anatomie mit zwei in Serie geschalteten Ventrikeln",
	}},
	"unmixed-streams": {
		wording{"unmixed streams enter one aorta", "unvermischte Blutströme gelangen in die Aorta"},
		[]string{measure.Ventricular}, opposite, openAtOnce,
	},
	"two-paths": {
		wording{"blood takes two paths of different length into the arteries", "Blut gelangt auf zwei verschieden langen Wegen in die Arterien"},
		[]string{measure.Ductal, measure.Aortopulmonary}, opposite, openAtOnce,
	},
	"monitor-area-excludes-lungs": {
		wording{"this monitor leaves out what recirculates through the lungs", "dieser Monitor zählt die Rezirkulation durch die Lunge nicht mit"},
		spokenLevels, notOnly, andOpen,
	},
	"monitor-area-unknown": {
		wording{
			"whether this monitor counts what recirculates through the lungs is not known",
			"ob dieser Monitor die Rezirkulation durch die Lunge mitzählt, ist nicht bekannt",
		},
		spokenLevels, notOnly, andOpen,
	},
}

// monitorRow says what a monitor showed in place of a value, and the bound that the
// value lay beyond.
type monitorRow struct {
	reason      string
	says, bound wording
}

var monitorRows = []monitorRow{
	{"not-shown", wording{"Not shown by the monitor: {items}.", "Vom Monitor nicht angezeigt: {items}."}, wording{}},
	{"below-range", wording{"Below the monitor's range: {items}.", "Unter dem Messbereich des Monitors: {items}."}, wording{" (below {bound})", " (unter {bound})"}},
	{"above-range", wording{"Above the monitor's range: {items}.", "Über dem Messbereich des Monitors: {items}."}, wording{" (above {bound})", " (über {bound})"}},
}

// statusWords are those for the status of a value.
var statusWords = map[record.Status]wording{
	record.Preliminary:    {"preliminary", "vorläufig"},
	record.Final:          {"final", "endgültig"},
	record.Amended:        {"amended", "ergänzt"},
	record.Corrected:      {"corrected", "korrigiert"},
	record.Cancelled:      {"cancelled", "entfallen"},
	record.EnteredInError: {"entered-in-error", "irrtümlich eingetragen"},
}

// signRow is a sign of an injection that may contradict the levels as stated.
type signRow struct {
	key           string
	contradicts   func(s measure.Shunts, preductal bool) bool
	shows, showed wording // in a session that waits for an answer, and in one that has it
}

// signRows has the sign of the monitor first.
var signRows = []signRow{
	{
		"shunt-sign", func(s measure.Shunts, _ bool) bool { return s.Contradicts() },
		wording{"injection {key} shows a sign of a left-to-right shunt", "Injektion {key} zeigt Zeichen eines Links-rechts-Shunts"},
		wording{"injection {key} showed a sign of a left-to-right shunt", "Injektion {key} zeigte Zeichen eines Links-rechts-Shunts"},
	},
	{
		"computed-left-to-right-sign", func(s measure.Shunts, _ bool) bool { return s.Contradicts() },
		wording{"the curves of injection {key}, as computed, show a sign of a left-to-right shunt", "die Kurven von Injektion {key} zeigen nach Berechnung Zeichen eines Links-rechts-Shunts"},
		wording{"the curves of injection {key}, as computed, showed a sign of a left-to-right shunt", "die Kurven von Injektion {key} zeigten nach Berechnung Zeichen eines Links-rechts-Shunts"},
	},
	{
		"computed-early-appearance", measure.Shunts.ContradictsEarly,
		wording{"in the curves of injection {key}, as computed, the indicator appears early, as with a right-to-left shunt", "in den Kurven von Injektion {key} erscheint der Indikator nach Berechnung früh, wie bei einem Rechts-links-Shunt"},
		wording{"in the curves of injection {key}, as computed, the indicator appeared early, as with a right-to-left shunt", "in den Kurven von Injektion {key} erschien der Indikator nach Berechnung früh, wie bei einem Rechts-links-Shunt"},
	},
}
