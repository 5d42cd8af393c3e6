package mapping

import (
	"strings"

	"saltmark/mapping/measure"
)

// phrases are the sentences of a conclusion in one language; "{x}" stands for what
// is put in. No caution is longer than a line, and none judges.
type phrases struct {
	flow, flowToBody, flowUnknown, flowWithheld, singles string
	alsoAll, alsoLeft                                    string
	notAssessed, notAssessedLevels                       string
	lastLook, limit                                      string
	ifDuct, doNotCompare                                 string
	diastole, malformation                               string
	strokeVolume, strokeWithheld, centralCaution         string
	injections, injectionsOf, oneInjection, tied         string
	excluded                                             string
	verified, corrected, amended, unverified             string
	preliminary, preliminaryBecause                      string
	contradiction                                        string
	withheld, withheldItem                               string
	loopShare, dialysis, otherCircuit                    string
	given, givenSodium, givenHeparin, day                string
	always, alwaysAdult                                  string
	enteredInError, neverMeasured                        string
	at, on, found, closed, and, none                     string
}

var english = phrases{
	flow:         "Blood flow at {time}: {numbers}.",
	flowToBody:   "Blood flow to the body at {time}: {numbers}.",
	flowUnknown:  "Blood flow at {time}: {numbers}, WHICH FLOW IS NOT KNOWN: {why}.",
	flowWithheld: "Blood flow at {time}: WITHHELD, {why}.",
	singles:      "Single values, preliminary: {values}.",

	alsoAll:  "It is also the output of the left ventricle and the flow through the lungs: {found}.",
	alsoLeft: "It is also the output of the left ventricle.",

	notAssessed:       "no valid look for a shunt",
	notAssessedLevels: "no valid look at {levels}",
	lastLook:          "last {look}",
	limit:             "this unit's limit is {limit}",
	ifDuct:            "If the duct is open it is not the output of the left ventricle; if blood crosses from right to left through it, perhaps not the flow to the body either.",
	doNotCompare:      "Do not set it against echo or earlier values.",

	diastole:       "Diastolic flow in the descending aorta was reversed: the lower body may get less than its share.",
	malformation:   "Part of this flow bypasses the tissues: systemic arteriovenous malformation.",
	strokeVolume:   "Stroke volume {value}.",
	strokeWithheld: "Stroke volume withheld for this reason.",
	centralCaution: "Central blood volume holds only if this is the flow to the body.",

	injections:   "{Count} injections, {spread} apart.",
	injectionsOf: "{Count} of {all} injections, {spread} apart.",
	oneInjection: "One injection; how well it repeats is not known.",
	tied:         "{Count} injections, {spread} apart, which agree only in part.",
	excluded:     "Excluded: {causes}.",

	verified:           "Verified {at}.",
	corrected:          "CORRECTED in revision {revision}, verified {at}.",
	amended:            "Amended in revision {revision}, verified {at}.",
	unverified:         "NOT YET VERIFIED.",
	preliminary:        "PRELIMINARY.",
	preliminaryBecause: "PRELIMINARY; {why}.",
	contradiction:      "CONTRADICTION: {what}, against the levels as stated.",

	withheld:     "Withheld: {items}.",
	withheldItem: "{item} ({why})",

	loopShare:    "The loop carried {share} of this flow.",
	dialysis:     "Dialysis or haemofiltration was running.",
	otherCircuit: "Another extracorporeal circuit was running.",
	given:        "Given: {items}.",
	givenSodium:  "sodium {amount}",
	givenHeparin: "heparin {amount}",
	day:          "With earlier sessions of the last 24 hours: {items}.",
	always:       "Check against monitor and child; local protocol comes first.",
	alwaysAdult:  "Check against monitor and patient; local protocol comes first.",

	enteredInError: "ENTERED IN ERROR, withdrawn {at}: {reason}. It had read:",
	neverMeasured:  "NEVER MEASURED, withdrawn {at}: {reason}. It had read:",

	at: "at {clock}", on: "on {date} at {clock}", found: "{look} found {what}", closed: "closed", and: "and", none: "no other connection",
}

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
	measure.Aortopulmonary: {"", "connection between aorta and pulmonary artery", "the great arteries for another connection"},
}

// lesionWords are those for lesions; more than one of a kind are "are".
var lesionWords = map[string]string{
	"patent-duct": "duct", "patent-foramen": "foramen", "atrial-defect": "atrial defect", "ventricular-defect": "ventricular defect",
	"collaterals": "aortopulmonary collaterals", "window": "aortopulmonary window", "surgical-shunt": "surgical shunt",
}

// lookWords are those for how somebody looked.
var lookWords = map[string]string{"echo": "echo", "catheterisation": "catheterisation", "magnetic-resonance": "magnetic resonance", "operation": "operation"}

const someLook = "look"

// stateRow says what a flow is not, at one level in one state.
type stateRow struct {
	levels []string
	states []measure.State
	says   string
}

// notRows is the table, in the order in which it is said: what takes the left
// ventricle away comes first. "{closed}" is what else was seen closed.
var notRows = []stateRow{
	{
		[]string{measure.Ductal, measure.Aortopulmonary}, []measure.State{measure.StateLeftToRight},
		"NOT the output of the left ventricle: the {lesion} {is} open, left to right ({look}), and the blood {it} to the lungs is not in this number, so echo at the aortic valve will read higher.",
	},
	{
		[]string{measure.Ventricular}, []measure.State{measure.StateLeftToRight},
		"NOT the output of the left ventricle: the {lesion} {is} open, left to right ({look}), and the blood that crosses it is not in this number, so echo at the pulmonary valve will read higher.",
	},
	{
		[]string{measure.Atrial}, []measure.State{measure.StateLeftToRight},
		"NOT the flow through the lungs or the right ventricle, which carry more by what crosses the {lesion} (left to right, {look}{closed}).",
	},
	{
		[]string{measure.Atrial}, []measure.State{measure.StateRightToLeft},
		"NOT the flow through the lungs or the right ventricle, which carry less by what crosses the {lesion} (right to left, {look}{closed}).",
	},
	{
		[]string{measure.Atrial}, []measure.State{measure.StateBidirectional},
		"NOT the flow through the lungs or the right ventricle: blood crosses the {lesion} in both directions ({look}{closed}).",
	},
	{
		[]string{measure.Atrial}, []measure.State{measure.StateNoDirection},
		"NOT the flow through the lungs or the right ventricle: the {lesion} {is} open, direction not seen ({look}{closed}).",
	},
	{
		[]string{measure.Atrial}, []measure.State{measure.StateStale},
		"The flow through the lungs is not known: the look at the atrial wall no longer holds ({look}{limit}).",
	},
	{
		[]string{measure.Atrial}, []measure.State{measure.StateNotSeen},
		"The flow through the lungs is not known: nobody looked at the atrial wall.",
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

// holdRow is one thing that keeps a verified session preliminary.
type holdRow struct {
	when func(*conclusion) bool
	says string
}

var holdRows = []holdRow{
	{func(c *conclusion) bool { return c.doubts("not-assessed", "stale-assessment") }, "enter the shunt findings to complete it"},
	{func(c *conclusion) bool { return c.doubts("monitor-area-excludes-lungs", "monitor-area-unknown") }, "the settings of the monitor must say what its area counts"},
	{func(c *conclusion) bool { return c.contradicted() }, "the verifier answers the contradiction in writing to complete it"},
	{func(c *conclusion) bool { return c.agreement() == "tie" }, "the verifier confirms the mean of a tie to complete it"},
	{func(c *conclusion) bool { return c.agreement() == "single" }, "one injection alone"},
	{func(c *conclusion) bool { return c.tip() == "liver" }, "the tip of the venous catheter lies in the liver"},
	{func(c *conclusion) bool { return c.tip() == "portal-vein" }, "the tip of the venous catheter lies in the portal vein"},
}

// countWords are numbers that a sentence writes out.
var countWords = []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}

// fill puts values into a phrase: pairs of a name and what stands for it.
func fill(phrase string, pairs ...string) string {
	for i := 0; i+1 < len(pairs); i += 2 {
		phrase = strings.ReplaceAll(phrase, "{"+pairs[i]+"}", pairs[i+1])
	}
	return phrase
}
