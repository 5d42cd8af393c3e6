package sheet

import (
	"fmt"
	"strings"

	"saltmark/mapping/measure"
)

// headNotes open an empty sheet.
func headNotes(short bool) []string {
	head := []string{
		fmt.Sprintf("Session sheet, version %d: one bedside measurement session. Fill it in behind the colons.", Version),
		"A value has its number, one space and its unit, and the digits that were read: no comma, nothing rounded.",
		"What was not looked at is written not-seen; what the monitor did not show, not-shown. Nothing is guessed.",
		"A key that stays empty is an error: the sheet is then not charted.",
		"For documentation, quality review and research. Check every value against the monitor and the patient; local protocols come first.",
	}
	if short {
		return head
	}
	return append(head,
		"Lines with two hashes explain. A line with one hash can be used: take the hash and the space behind it away, there and in the lines above that it belongs to.",
		"What is not used may be deleted.")
}

// notes say what the sections, and the keys that are no measures, are about, and of
// some measures where they are read from.
var notes = map[string]string{
	"session":                          "The session: injections in one state of the circulation.",
	"session.id":                       "name of the session for good; without the number or name of the patient",
	"session.test":                     "only where the session is test data",
	"session.revision":                 "where something was corrected, the number of the revision before plus one",
	"session.start":                    "start of the session",
	"session.end":                      "end of the session",
	"session.entered":                  "Who wrote the values down, and when.",
	"session.entered.at":               "when they were written down",
	"session.entered.by":               "who did, as the site knows them; no name",
	"session.zone":                     "place whose time the sheet has, by the IANA time zone database; times then need no offset",
	"session.order":                    "The order for the measurement: an identifier, or the reference.",
	"session.order.identifier":         "number of the order",
	"session.order.system":             "system of the number, where the settings of the site do not say it",
	"session.order.reference":          "in place of the number",
	"session.withdrawn":                "Only for a session that must not stand, in a new revision.",
	"session.withdrawn.by":             "who withdraws it",
	"session.withdrawn.at":             "when",
	"session.withdrawn.reason":         "why, without names",
	"session.withdrawn.never-measured": "whether nothing was measured at all",
	"patient":                          "The patient: an identifier, or the reference.",
	"patient.identifier":               "number of the patient, from the wristband or the record; no name",
	"patient.system":                   "system of the number, where the settings of the site do not say it",
	"patient.reference":                "in place of the number",
	"encounter":                        "The stay in hospital: an identifier, or the reference.",
	"encounter.identifier":             "number of the stay",
	"encounter.system":                 "system of the number, where the settings of the site do not say it",
	"encounter.reference":              "in place of the number",
	"operator":                         "who measured, as the site knows them; no name",
	"verified":                         "Somebody else who has looked at the whole sheet, after the last injection.",
	"verified.by":                      "who verified",
	"verified.at":                      "when",
	"verified.revision":                "which revision was looked at; this one where it is not said",
	"subject":                          "The patient's body.",
	"subject.weight":                   "What flow and fluids are divided by, from the scale or the chart.",
	"subject.length":                   "From the chart, for the body surface area.",
	"monitor":                          "The monitor, by its name in the settings of the site.",
	"monitor.name":                     "name of the monitor",
	"monitor.software":                 "version that the monitor shows when it starts",
	"loop":                             "The loop from the artery to the vein. Its volumes and its prime stand in the settings of the site; say them only where they differ.",
	"loop.set":                         "name of the tubing set in the settings of the site",
	"loop.disposables":                 "Disposable parts, from their packages.",
	"loop.disposables.name":            "name of the part, each another one",
	"loop.disposables.model":           "model",
	"loop.disposables.lot":             "lot number",
	"loop.disposables.expiry":          "use by",
	"catheters":                        "Where the loop takes blood and where it returns it.",
	"catheters.arterial":               "The catheter in the artery.",
	"catheters.venous":                 "The catheter in the vein.",
	"indicator":                        "The fluid that is injected, where it is not the one of the settings.",
	"fluids":                           "Fluids beside the injections.",
	"injections":                       "Each injection, also a failed one. Its number is its name for good and is never used again.",
	"injections.at":                    "when it was injected",
	"injections.pressures":             "Pressures at the injection.",
	"injections.reported":              "What the monitor shows for this injection.",
	"injections.trace":                 "A recording of the injection, as a CSV file.",
	"injections.trace.file":            "name of the file",
	"injections.trace.arterial":        "unit of the arterial curve, where the file does not say it",
	"injections.trace.venous":          "unit of the venous curve, where the file does not say it",
	"shunt":                            "What was looked at between the two circulations, level by level. That nobody saw a shunt is not written as closed.",
	"shunt.atrial":                     "Between the atria.",
	"shunt.ventricular":                "Between the ventricles.",
	"shunt.ductal":                     "The arterial duct.",
	"shunt.aortopulmonary":             "Collaterals, window, surgical shunt.",
	"shunt.by":                         "who looked, where a level does not say it itself, as the site knows them; no name",
	"shunt.sign-answer.by":             "the verifier, as the site knows them; no name",
	"shunt.sign-answer":                "The verifier's answer to a sign that contradicts what was seen.",
	"events":                           "What may have changed a shunt, around the look and the session.",
	"events.at":                        "when",
	"blood":                            "Blood samples around the session, from the laboratory or the blood gas analyser.",
	"blood.at":                         "when it was taken",
	"support":                          "Breathing and drugs during the session.",
	"support.drugs":                    "Vasoactive drugs that run, by their substance.",
	"comparators":                      "Flow by other methods around the session.",
	"comparators.readings":             "Each reading: its flow, or what that is computed from.",
	"comparators.readings.at":          "when",
	"earlier":                          "Sessions of the last 24 hours, for what they cost together.",
	"earlier.at":                       "when it was",
	"confirmations":                    "Values that a finding calls unusual and that are right all the same.",
	"confirmations.at":                 "when it was confirmed",
	"confirmations.rule":               "the rule that the finding names",
	"confirmations.value":              "the value, exactly as the finding shows it",
	"confirmations.why":                "why it is right, without names",
	"confirmations.by":                 "who confirms it, as the site knows them; no name",
}

// meaningOf says what a single value of the form is.
func meaningOf(sp *spot, at spotLine) string {
	words := notes[at.path]
	switch {
	case words != "":
	case sp.role == obtainedOf:
		words = "how it was obtained"
	case sp.role == timeOf:
		words = "when it was measured"
	case sp.shared:
		_, words, _ = strings.Cut(sp.row.WordsFor("", measure.English), ": ")
		words += ", where a level does not say it itself"
	case sp.row != nil:
		words = sp.row.WordsFor(at.thing, measure.English)
	}
	return words
}

// wantedOf says how a value is written, without an example of one.
func wantedOf(sp *spot) string {
	switch sp.form {
	case asQuantity:
		return "number and unit " + sp.row.Unit
	case asReported:
		return "number and unit " + sp.row.Unit + ", or not-shown, or below or above and the end of the monitor's range"
	case asCode:
		return oneOfWords(sp.words)
	case asReference:
		return sp.words[0] + "/ and the id on the server"
	case asMoment:
		if sp.dayTime {
			return "hh:mm, or with date and offset"
		}
	}
	return wantedForms[sp.form]
}

// wantedForms say how the forms are written that need no more than that.
var wantedForms = map[form]string{
	asText:        "free text",
	asName:        "letters, digits, points, underscores and hyphens",
	asIdentifier:  "visible characters without spaces",
	asURI:         "an absolute address",
	asMoment:      "YYYY-MM-DDThh:mm and the offset of the place, such as +02:00",
	asMomentOrDay: "YYYY-MM-DD, or YYYY-MM-DDThh:mm and the offset of the place",
	asDay:         "YYYY-MM-DD",
	asWhole:       "a whole number",
	asYesNo:       "yes or no",
	asFile:        "a file beside the sheet or in a folder below",
}

func oneOfWords(words []string) string { return "one of " + strings.Join(words, ", ") }
