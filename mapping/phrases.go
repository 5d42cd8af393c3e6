package mapping

import (
	"strings"

	"saltmark/mapping/measure"
)

// wording is what is said in every language, side by side: English, German. "{x}"
// stands for what is put in, and is in each of them.
type wording = measure.Words

// phrases are the sentences of a conclusion, and parts of them. No caution is longer
// than a line, and none judges. Where the parts of a sentence bend with one another,
// the whole sentence is a row (phrasetables.go).
type phrases struct {
	// How much, and whose flow it is.
	charted, flow, flowToBody, unknown, besides, withheldFlow, singles, single wording
	noInjection, recomputed, settledByCurves, unknownBeside, isFlowToBody      wording
	recomputedReach, reach, computationAlone, recomputedWithheld               wording

	// What it is, and what it is not.
	alsoAll, alsoLeft, it, each, notLeft, notLeftSeveral, notLeftMissing                 wording
	isOpen, areOpen, severalOpen, returns, severalReturn, crosses                        wording
	readsHigher, aorticValve, pulmonaryValve, lungsAndRight, rightVentricle              wording
	strokeWithheld, strokeVolume, diastole, malformation, centralCaution                 wording
	notAssessed, notAssessedLevels, open, openToo, openItem, ifDuct, doNotCompare        wording
	someLook, aLook, last, limit, lastLook, found, closedAndNone, closedBesideNone, none wording

	// Times and ages.
	ageBefore, ageAfter, days, hours, hoursMinutes, ofDate, at, lookAt, on, onDate, someTime wording

	// How many injections, and how far apart.
	injections, oneInjection, tied, count, countOne, countOf, excluded, excludedItem wording
	noFlow, noFlowBecause, apart                                                     wording

	// Whether it stands.
	contradiction, answered, catheterWent, verified, unverified, corrected     wording
	amended, before, sameFlow, preliminary, preliminaryBecause, enteredInError wording
	neverMeasured, hadRead, sheetReads                                         wording

	// What is withheld, and what the measurement gave.
	withheld, withheldItem, missing, loopShare, given, givenSodium, givenHeparin, day wording
	always, alwaysAdult, sentence, and                                                wording

	// Narratives of one line, and notes.
	formPicture                                                                          wording
	lineTakenBack, lineWithheld, lineStandsFor, linePeriod, lineProvenance, lineRevision wording
	noteResampled, noteNotPart, noteComputed                                             wording
}

var say = phrases{
	charted:       wording{"{flow} at {time}: {numbers}{unknown}.", "{flow} um {time}: {numbers}{unknown}."},
	flow:          wording{"Blood flow", "Blutfluss"},
	flowToBody:    wording{"Blood flow to the body", "Blutfluss in den Körperkreislauf"},
	unknown:       wording{", WHICH FLOW IS NOT KNOWN: {why}", ", UNKLAR, WELCHER FLUSS DAS IST: {why}"},
	unknownBeside: wording{"NOT KNOWN WHICH FLOW THIS IS: {why}.", "UNKLAR, WELCHER FLUSS DAS IST: {why}."},
	isFlowToBody:  wording{"This is the blood flow to the body.", "Dies ist der Blutfluss in den Körperkreislauf."},
	besides:       wording{"Besides, {why}.", "Außerdem: {why}."},
	withheldFlow:  wording{"{flow} at {time}: WITHHELD, {why}.", "{flow} um {time}: NICHT AUSGEGEBEN ({why})."},
	singles:       wording{"Single values, preliminary: {numbers}{unknown}.", "Einzelwerte, vorläufig: {numbers}{unknown}."},
	single:        wording{"{value} {at}", "{value} {at}"},
	noInjection:   wording{"No injection was made.", "Es erfolgte keine Injektion."},
	recomputed: wording{
		"RECOMPUTED FROM THE CURVES by this software, NOT SHOWN BY A MONITOR; tested on simulated circulations only.",
		"AUS DEN KURVEN NEU BERECHNET durch diese Software, VON KEINEM MONITOR ANGEZEIGT; nur an simulierten Kreisläufen geprüft.",
	},
	recomputedReach: wording{
		"RECOMPUTED FROM THE CURVES by this software, NOT SHOWN BY A MONITOR; two stated standard deviations{scope} reach {reach}; tested on simulated circulations only.",
		"AUS DEN KURVEN NEU BERECHNET durch diese Software, VON KEINEM MONITOR ANGEZEIGT; zwei angegebene Standardabweichungen{scope} reichen {reach}; nur an simulierten Kreisläufen geprüft.",
	},
	reach:            wording{"from {low} to {high}", "von {low} bis {high}"},
	computationAlone: wording{" of the computation alone", " allein der Berechnung"},
	settledByCurves: wording{
		"Which flow it is was settled by a flow recomputed from the curves, tested on simulated circulations only.",
		"Welcher Fluss es ist, wurde durch einen aus den Kurven neu berechneten Fluss geklärt, nur an simulierten Kreisläufen geprüft.",
	},

	alsoAll: wording{
		"{it} also the output of the left ventricle and the flow through the lungs: {found}.",
		"{it} zugleich das Herzzeitvolumen des linken Ventrikels und der Fluss durch die Lunge ({found}).",
	},
	alsoLeft: wording{"{it} also the output of the left ventricle.", "{it} zugleich das Herzzeitvolumen des linken Ventrikels."},
	it:       wording{"It is", "Er ist"},
	each:     wording{"Each is", "Jeder ist"},
	notLeft: wording{
		"NOT the output of the left ventricle: {open}, left to right ({look}), and {blood} is not in this number{higher}.",
		"NICHT das Herzzeitvolumen des linken Ventrikels: {open}, Links-rechts-Shunt ({look}); {blood} fehlt in dieser Zahl{higher}.",
	},
	notLeftSeveral: wording{
		"NOT the output of the left ventricle: {lesions}.",
		"NICHT das Herzzeitvolumen des linken Ventrikels: {lesions}.",
	},
	notLeftMissing: wording{
		"The blood that crosses them is not in this number{higher}.",
		"Das darüber fließende Blut fehlt in dieser Zahl{higher}.",
	},
	isOpen:        wording{"{lesion} is open", "{lesion} offen"},
	areOpen:       wording{"{lesion} are open", "{lesion} offen"},
	severalOpen:   wording{"{lesions} are open, left to right{looks}", "{lesions} offen, Links-rechts-Shunt{looks}"},
	returns:       wording{"the blood it returns to the lungs", "das darüber in die Lunge zurückfließende Blut"},
	severalReturn: wording{"the blood they return to the lungs", "das darüber in die Lunge zurückfließende Blut"},
	crosses:       wording{"the blood that crosses it", "das darüber fließende Blut"},
	readsHigher:   wording{", so echo at {valves} will read higher", ", Echo an {valves} misst daher mehr"},

	aorticValve:    wording{"the aortic valve", "der Aortenklappe"},
	pulmonaryValve: wording{"the pulmonary valve", "der Pulmonalklappe"},
	lungsAndRight:  wording{"flow through the lungs and the right ventricle", "Fluss durch Lunge und rechten Ventrikel"},
	rightVentricle: wording{"output of the right ventricle", "Herzzeitvolumen des rechten Ventrikels"},
	strokeWithheld: wording{"Stroke volume withheld for this reason.", "Schlagvolumen aus diesem Grund nicht ausgegeben."},
	strokeVolume:   wording{"Stroke volume {value}.", "Schlagvolumen {value}."},
	diastole: wording{
		"Diastolic flow in the descending aorta was reversed: the lower body may get less than its share.",
		"Diastolischer Rückfluss in der Aorta descendens: die untere Körperhälfte bekommt möglicherweise weniger als ihren Anteil.",
	},
	malformation: wording{
		"Part of this flow bypasses the tissues: systemic arteriovenous malformation.",
		"Ein Teil dieses Flusses umgeht das Gewebe: systemische arteriovenöse Malformation.",
	},
	centralCaution: wording{
		"Central blood volume holds only if this is the flow to the body.",
		"Zentrales Blutvolumen nur gültig, wenn dies der Fluss in den Körperkreislauf ist.",
	},

	notAssessed:       wording{"no valid look for a shunt", "keine gültige Shunt-Beurteilung"},
	notAssessedLevels: wording{"no valid look at {levels}", "keine gültige Beurteilung {levels}"},
	open:              wording{"Open: {items}.", "Offen: {items}."},
	openToo:           wording{"Also open: {items}.", "Ebenfalls offen: {items}."},
	openItem:          wording{"{lesion}, {direction} ({look})", "{lesion}, {direction} ({look})"},
	ifDuct: wording{
		"If the duct is open it is not the output of the left ventricle; if blood crosses from right to left through it, perhaps not the flow to the body either.",
		"Bei offenem Ductus arteriosus ist dies nicht das Herzzeitvolumen des linken Ventrikels; bei Rechts-links-Shunt darüber vielleicht auch nicht der Fluss in den Körperkreislauf.",
	},
	doNotCompare: wording{"Do not set it against echo or earlier values.", "Nicht mit Echo oder früheren Werten vergleichen."},

	someLook:         wording{"look", "Untersuchung"},
	aLook:            wording{"a look", "Untersuchung"},
	last:             wording{"last {look}", "zuletzt {look}"},
	limit:            wording{"this unit's limit is {limit}", "Grenze dieser Station {limit}"},
	lastLook:         wording{"Last look for a shunt: {look}.", "Letzte Shunt-Beurteilung: {look}."},
	found:            wording{"{look} found {what}", "{look}: {what}"},
	closedAndNone:    wording{"{closed} and {none}", "{closed}, {none}"},
	closedBesideNone: wording{"{closed}, {none}", "{closed}, {none}"},
	none:             wording{"no other connection", "keine weitere Verbindung"},

	ageBefore:    wording{"{age} before", "{age} vorher"},
	ageAfter:     wording{"{age} after", "{age} danach"},
	days:         wording{"{days} days", "{days} Tage"},
	hours:        wording{"{hours} h", "{hours} h"},
	hoursMinutes: wording{"{hours} h {minutes} min", "{hours} h {minutes} min"},
	ofDate:       wording{"of {date}", "vom {date}"},
	at:           wording{"at {clock}", "um {clock}"},
	lookAt:       wording{"at {clock}", "{clock}"},
	on:           wording{"on {date} at {clock}", "am {date} um {clock}"},
	onDate:       wording{"on {date}", "am {date}"},
	someTime:     wording{"at a time not stated", "ohne Zeitangabe"},

	injections:         wording{"{injections}, {spread} apart.", "{injections}, {spread} auseinander."},
	oneInjection:       wording{"{injections}; how well it repeats is not known.", "{injections}; Wiederholbarkeit nicht bekannt."},
	tied:               wording{"{injections}, {spread} apart, which agree only in part.", "{injections}, {spread} auseinander, nur teilweise übereinstimmend."},
	count:              wording{"{count} injections", "{count} Injektionen"},
	countOne:           wording{"one injection", "eine Injektion"},
	countOf:            wording{"{count} of {all} injections", "{count} von {all} Injektionen"},
	excluded:           wording{"{Count} excluded: {items}.", "{Count} ausgeschlossen: {items}."},
	excludedItem:       wording{"injection {key} ({cause})", "Injektion {key} ({cause})"},
	noFlow:             wording{"Injection {key}: no flow stated.", "Injektion {key}: kein Fluss eingetragen."},
	noFlowBecause:      wording{"Injection {key}: flow {why}.", "Injektion {key}, Fluss: {why}."},
	recomputedWithheld: wording{"Injection {key}: recomputed flow withheld ({why}).", "Injektion {key}: neu berechneter Fluss nicht ausgegeben ({why})."},
	apart:              wording{"Injection {key} lay apart ({value}).", "Injektion {key} wich ab ({value})."},

	contradiction: wording{
		"CONTRADICTION: {what}, against the shunt findings as stated ({looks}).",
		"WIDERSPRUCH: {what}, entgegen der eingetragenen Shunt-Beurteilung ({looks}).",
	},
	answered: wording{
		"{what}; the verifier answered in writing {at}.",
		"{what}; die prüfende Person hat {at} schriftlich Stellung genommen.",
	},
	catheterWent:       wording{"the venous catheter went through the atrial wall", "der venöse Katheter hat das Vorhofseptum passiert"},
	verified:           wording{"Verified {at}.", "Geprüft {at}."},
	unverified:         wording{"NOT YET VERIFIED.", "NOCH NICHT GEPRÜFT."},
	corrected:          wording{"CORRECTED in revision {revision}, verified {at}{reason}.", "KORRIGIERT in Revision {revision}, geprüft {at}{reason}."},
	amended:            wording{"Amended in revision {revision}, verified {at}{reason}.", "Ergänzt in Revision {revision}, geprüft {at}{reason}."},
	before:             wording{"Before it read {value} ({label}).", "Zuvor stand hier {value} ({label})."},
	sameFlow:           wording{"standing for the same flow", "für denselben Fluss"},
	preliminary:        wording{"PRELIMINARY.", "VORLÄUFIG."},
	preliminaryBecause: wording{"PRELIMINARY; {why}.", "VORLÄUFIG; {why}."},
	enteredInError:     wording{"ENTERED IN ERROR, withdrawn {at}: {reason}.", "IRRTÜMLICH EINGETRAGEN, zurückgezogen {at}: {reason}."},
	neverMeasured:      wording{"NEVER MEASURED, withdrawn {at}: {reason}.", "NICHT GEMESSEN, zurückgezogen {at}: {reason}."},
	hadRead:            wording{"It had read (do not use):", "Zuvor lautete der Bericht (nicht verwenden):"},
	sheetReads:         wording{"The sheet reads (do not use):", "Auf dem Bogen steht (nicht verwenden):"},

	withheld:     wording{"Withheld: {items}.", "Nicht ausgegeben: {items}."},
	withheldItem: wording{"{item} ({why})", "{item} ({why})"},
	missing:      wording{"{inputs} missing", "es fehlt: {inputs}"},
	loopShare:    wording{"The loop carried {share} of this flow.", "Über die extrakorporale Schleife liefen {share} dieses Flusses."},
	given:        wording{"Given: {items}.", "Gegeben: {items}."},
	givenSodium:  wording{"sodium {amount}", "Natrium {amount}"},
	givenHeparin: wording{"heparin {amount}", "Heparin {amount}"},
	day:          wording{"With earlier sessions of the last 24 hours: {items}.", "Mit früheren Messungen der letzten 24 Stunden: {items}."},
	always:       wording{"Check against monitor and child; local protocol comes first.", "Mit Monitor und klinischem Bild des Kindes abgleichen; örtliche Vorgaben gehen vor."},
	alwaysAdult:  wording{"Check against monitor and patient; local protocol comes first.", "Mit Monitor und klinischem Bild abgleichen; örtliche Vorgaben gehen vor."},
	sentence:     wording{"{text}.", "{text}."},
	and:          wording{"and", "und"},

	lineTakenBack:  wording{"ENTERED IN ERROR: {what}", "IRRTÜMLICH EINGETRAGEN: {what}"},
	lineWithheld:   wording{"withheld, {why}", "nicht ausgegeben, {why}"},
	lineStandsFor:  wording{"stands for {code}", "steht für {code}"},
	linePeriod:     wording{"{what}, {start} to {end}", "{what}, {start} bis {end}"},
	lineProvenance: wording{"Session {id}, revision {revision}", "Messung {id}, Revision {revision}"},
	lineRevision:   wording{"Revision {revision}", "Revision {revision}"},
	noteComputed: wording{
		"Computed from the curves by this software, tested on simulated circulations only; check against the monitor and the patient.",
		"Durch diese Software aus den Kurven berechnet, nur an simulierten Kreisläufen geprüft; mit Monitor und Kind abgleichen.",
	},
	noteResampled: wording{
		"Samples were unevenly spaced and have been drawn on even steps, by straight lines between them.",
		"Die Werte lagen in ungleichen Abständen und wurden geradlinig auf gleiche Abstände gebracht.",
	},
	formPicture: wording{"Report with the recorded curves", "Befund mit den aufgezeichneten Kurven"},
	noteNotPart: wording{"Not part of the session from revision {revision} on.", "Ab Revision {revision} nicht mehr Teil der Messung."},
}

// fill puts values into a phrase: pairs of a name and what stands for it.
func fill(phrase string, pairs ...string) string {
	for i := 0; i+1 < len(pairs); i += 2 {
		phrase = strings.ReplaceAll(phrase, "{"+pairs[i]+"}", pairs[i+1])
	}
	return phrase
}
