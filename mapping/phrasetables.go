package mapping

import "saltmark/mapping/measure"

// levelWords are the words for one level.
type levelWords struct {
	wall   string // what is closed; "" = it goes without a name
	open   string // what is open, where no lesion is stated
	looked string // what somebody looked at
}

var wordsOfLevels = map[string]levelWords{
	measure.Ductal:         {"duct", "duct", "the duct"},
	measure.Atrial:         {"atrial wall", "opening between the atria", "the atrial wall"},
	measure.Ventricular:    {"ventricular wall", "ventricular defect", "the ventricular wall"},
	measure.Aortopulmonary: {"", "aortopulmonary connection", "the great arteries for another connection"},
}

// lesionWords are those for lesions, severalLesions those of which there are more
// than one.
var (
	lesionWords = map[string]string{
		"patent-duct": "duct", "patent-foramen": "foramen", "atrial-defect": "atrial defect", "ventricular-defect": "ventricular defect",
		"collaterals": "aortopulmonary collaterals", "window": "aortopulmonary window", "surgical-shunt": "surgical shunt",
	}
	severalLesions = map[string]bool{"collaterals": true}
)

// lookWords are those for how somebody looked.
var lookWords = map[string]string{"echo": "echo", "catheterisation": "catheterisation", "magnetic-resonance": "magnetic resonance", "operation": "operation"}

// circuitWords are the cautions on another circuit.
var circuitWords = map[string]string{
	"dialysis":        "Dialysis or haemofiltration was running.",
	"another-circuit": "Another extracorporeal circuit was running.",
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
	says   string
}

var anything = []besides{alone, besideDuct, besideVentricular}

// atrialRows is the table. Of a level open in both directions, or in one not seen,
// nothing is known but that; of one open right to left beside a ventricular defect
// neither whether the right ventricle carries more or less.
var atrialRows = []atrialRow{
	{
		[]measure.State{measure.StateLeftToRight}, []besides{alone},
		"NOT the flow through the lungs or the right ventricle, which carry more by what crosses the {lesion} (left to right, {look}{closed}).",
	},
	{
		[]measure.State{measure.StateRightToLeft}, []besides{alone},
		"NOT the flow through the lungs or the right ventricle, which carry less by what crosses the {lesion} (right to left, {look}{closed}).",
	},
	{
		[]measure.State{measure.StateLeftToRight}, []besides{besideDuct},
		"NOT the output of the right ventricle, which carries more by what crosses the {lesion} (left to right, {look}).",
	},
	{
		[]measure.State{measure.StateRightToLeft}, []besides{besideDuct},
		"NOT the output of the right ventricle, which carries less by what crosses the {lesion} (right to left, {look}).",
	},
	{
		[]measure.State{measure.StateLeftToRight}, []besides{besideVentricular},
		"NOT the output of the right ventricle, which carries more: the {lesion} {is} open too, left to right ({look}).",
	},
	{
		[]measure.State{measure.StateRightToLeft}, []besides{besideVentricular},
		"The {through} is not known: blood also crosses the {lesion} from right to left ({look}).",
	},
	{
		[]measure.State{measure.StateBidirectional}, anything,
		"The {through} is not known: blood crosses the {lesion} in both directions ({look}{closed}).",
	},
	{
		[]measure.State{measure.StateNoDirection}, anything,
		"The {through} is not known: the {lesion} {is} open, direction not seen ({look}{closed}).",
	},
	{
		[]measure.State{measure.StateStale}, anything,
		"The {through} is not known: the look at the atrial wall no longer holds ({lapse}).",
	},
	{
		[]measure.State{measure.StateNotSeen}, anything,
		"The {through} is not known: nobody looked at the atrial wall.",
	},
}

// doubtRow says why no flow can be named. open is added of the first of the levels
// that is in one of the states.
type doubtRow struct {
	says   string
	levels []string
	states []measure.State
	open   string
}

var (
	opposite = []measure.State{measure.StateRightToLeft, measure.StateBidirectional, measure.StateNoDirection}
	notOnly  = []measure.State{measure.StateLeftToRight, measure.StateBidirectional, measure.StateNoDirection}
)

const openLevel = "the {lesion} {is} open, {direction} ({look})"

// doubtWords are the rows, by the reason of the label. What was not looked at is
// said by noLook.
var doubtWords = map[string]doubtRow{
	"life-support":    {says: "veno-arterial life support was running"},
	"other-anatomy":   {says: "the anatomy is not that of two ventricles in series"},
	"unmixed-streams": {"unmixed streams enter one aorta", []string{measure.Ventricular}, opposite, "; " + openLevel},
	"two-paths":       {"blood takes two paths of different length into the arteries", []string{measure.Ductal, measure.Aortopulmonary}, opposite, "; " + openLevel},
	"monitor-area-excludes-lungs": {
		"this monitor leaves out what recirculates through the lungs", spokenLevels, notOnly, ", and " + openLevel,
	},
	"monitor-area-unknown": {
		"whether this monitor counts what recirculates through the lungs is not known", spokenLevels, notOnly, ", and " + openLevel,
	},
}

// monitorRow says what a monitor showed in place of a value, and the bound that the
// value lay beyond.
type monitorRow struct{ reason, says, bound string }

var monitorRows = []monitorRow{
	{"not-shown", "Not shown by the monitor: {items}.", ""},
	{"below-range", "Below the monitor's range: {items}.", " (below {bound})"},
	{"above-range", "Above the monitor's range: {items}.", " (above {bound})"},
}
