package mapping

import "strings"

// phrases are the sentences of a conclusion in one language, and parts of them;
// "{x}" stands for what is put in. No caution is longer than a line, and none judges.
type phrases struct {
	// How much, and whose flow it is.
	charted, flow, flowToBody, unknown, besides, withheldFlow, singles, single string
	noInjection                                                                string

	// What it is, and what it is not.
	alsoAll, alsoLeft, it, each, notLeft, notLeftSeveral, notLeftMissing, theLesion      string
	areOpen, returns, crosses, readsHigher, aorticValve, pulmonaryValve, lungsAndRight   string
	rightVentricle, strokeWithheld, strokeVolume, diastole, malformation, centralCaution string

	// Why no flow can be named.
	notAssessed, notAssessedLevels, open, openToo, openItem, ifDuct, doNotCompare string

	// How and when somebody looked.
	someLook, aLook, last, limit, lastLook, found, closed, none, ageBefore, ageAfter string
	ofDate, at, on, onDate, someTime                                                 string

	// How many injections, and how far apart.
	injections, oneInjection, tied, count, countOne, countOf, excluded, excludedItem string
	noFlow, noFlowBecause, apart                                                     string

	// Whether it stands.
	contradiction, answered, shows, showed, catheterWent, verified, unverified, corrected string
	amended, before, sameFlow, preliminary, preliminaryBecause, enteredInError            string
	neverMeasured, hadRead, sheetReads                                                    string

	// What is withheld, and what the measurement gave.
	withheld, withheldItem, missing, loopShare, given, givenSodium, givenHeparin, day string
	always, alwaysAdult, sentence, and                                                string
}

var english = phrases{
	charted:      "{flow} at {time}: {numbers}{unknown}.",
	flow:         "Blood flow",
	flowToBody:   "Blood flow to the body",
	unknown:      ", WHICH FLOW IS NOT KNOWN: {why}",
	besides:      "Besides, {why}.",
	withheldFlow: "{flow} at {time}: WITHHELD, {why}.",
	singles:      "Single values, preliminary: {numbers}{unknown}.",
	single:       "{value} {at}",
	noInjection:  "No injection was made.",

	alsoAll:        "{it} also the output of the left ventricle and the flow through the lungs: {found}.",
	alsoLeft:       "{it} also the output of the left ventricle.",
	it:             "It is",
	each:           "Each is",
	notLeft:        "NOT the output of the left ventricle: the {lesion} {is} open, left to right ({look}), and the blood {crosses} is not in this number{higher}.",
	notLeftSeveral: "NOT the output of the left ventricle: {lesions}.",
	notLeftMissing: "The blood that crosses them is not in this number{higher}.",
	theLesion:      "the {lesion}",
	areOpen:        "{lesions} are open, left to right",
	returns:        "{it} to the lungs",
	crosses:        "that crosses it",
	readsHigher:    ", so echo at {valves} will read higher",
	aorticValve:    "the aortic valve",
	pulmonaryValve: "the pulmonary valve",
	lungsAndRight:  "flow through the lungs and the right ventricle",
	rightVentricle: "output of the right ventricle",
	strokeWithheld: "Stroke volume withheld for this reason.",
	strokeVolume:   "Stroke volume {value}.",
	diastole:       "Diastolic flow in the descending aorta was reversed: the lower body may get less than its share.",
	malformation:   "Part of this flow bypasses the tissues: systemic arteriovenous malformation.",
	centralCaution: "Central blood volume holds only if this is the flow to the body.",

	notAssessed:       "no valid look for a shunt",
	notAssessedLevels: "no valid look at {levels}",
	open:              "Open: {items}.",
	openToo:           "Also open: {items}.",
	openItem:          "{lesion}, {direction} ({look})",
	ifDuct:            "If the duct is open it is not the output of the left ventricle; if blood crosses from right to left through it, perhaps not the flow to the body either.",
	doNotCompare:      "Do not set it against echo or earlier values.",

	someLook:  "look",
	aLook:     "a look",
	last:      "last {look}",
	limit:     "this unit's limit is {limit}",
	lastLook:  "Last look for a shunt: {look}.",
	found:     "{look} found {what}",
	closed:    "closed",
	none:      "no other connection",
	ageBefore: "{age} before",
	ageAfter:  "{age} after",
	ofDate:    "of {date}",
	at:        "at {clock}",
	on:        "on {date} at {clock}",
	onDate:    "on {date}",
	someTime:  "at a time not stated",

	injections:    "{injections}, {spread} apart.",
	oneInjection:  "{injections}; how well it repeats is not known.",
	tied:          "{injections}, {spread} apart, which agree only in part.",
	count:         "{count} injections",
	countOne:      "one injection",
	countOf:       "{count} of {all} injections",
	excluded:      "{Count} excluded: {items}.",
	excludedItem:  "injection {key} ({cause})",
	noFlow:        "Injection {key}: no flow stated.",
	noFlowBecause: "Injection {key}: flow {why}.",
	apart:         "Injection {key} lay apart ({value}).",

	contradiction:      "CONTRADICTION: {what}, against the levels as stated ({looks}).",
	answered:           "{what}; the verifier answered in writing {at}.",
	shows:              "injection {key} shows a left-to-right sign",
	showed:             "injection {key} showed a left-to-right sign",
	catheterWent:       "the venous catheter went through the atrial wall",
	verified:           "Verified {at}.",
	unverified:         "NOT YET VERIFIED.",
	corrected:          "CORRECTED in revision {revision}, verified {at}{reason}.",
	amended:            "Amended in revision {revision}, verified {at}{reason}.",
	before:             "Before it read {value} ({label}).",
	sameFlow:           "the same flow",
	preliminary:        "PRELIMINARY.",
	preliminaryBecause: "PRELIMINARY; {why}.",
	enteredInError:     "ENTERED IN ERROR, withdrawn {at}: {reason}.",
	neverMeasured:      "NEVER MEASURED, withdrawn {at}: {reason}.",
	hadRead:            "It had read:",
	sheetReads:         "The sheet reads:",

	withheld:     "Withheld: {items}.",
	withheldItem: "{item} ({why})",
	missing:      "{inputs} missing",
	loopShare:    "The loop carried {share} of this flow.",
	given:        "Given: {items}.",
	givenSodium:  "sodium {amount}",
	givenHeparin: "heparin {amount}",
	day:          "With earlier sessions of the last 24 hours: {items}.",
	always:       "Check against monitor and child; local protocol comes first.",
	alwaysAdult:  "Check against monitor and patient; local protocol comes first.",
	sentence:     "{text}.",
	and:          "and",
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
