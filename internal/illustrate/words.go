package illustrate

import (
	"strings"

	"saltmark/mapping/measure"
)

// wording is what is said in every language, side by side: English, German. "{x}"
// stands for what is put in, and is in each of them.
type wording = measure.Words

// phrases are what a picture says.
type phrases struct {
	title, session, test, withdrawn, origin, caution wording

	injection, excluded, shown                            wording
	arterial, venous, indicator, sound, timeAxis, nothing wording

	recorded, baseline, window, fit, fitPass, firstPass, withoutFlow, fitted wording
	arrival, peak, entry, injected, lower, upper                             wording

	flow, reported, single, range95, brackets, withheld, notReported wording
	separations, separation, none                                    wording
	signs, sign, yes, no                                             wording

	quality, noise, drift, residual, disagreement, duration, perKg wording
	noFault, doubtful, corrected                                   wording
}

var say = phrases{
	title:     wording{"Curves of an indicator dilution", "Kurven einer Indikatorverdünnung"},
	session:   wording{"Session {id}, {time}", "Messung {id}, {time}"},
	test:      wording{"TEST DATA: nobody was measured.", "TESTDATEN: niemand wurde gemessen."},
	withdrawn: wording{"TAKEN BACK: this measurement must not be used.", "ZURÜCKGENOMMEN: diese Messung darf nicht verwendet werden."},
	origin: wording{
		"Computed by this software (method {version}), tested on simulated circulations only.",
		"Von dieser Software berechnet (Verfahren {version}), nur an simulierten Kreisläufen getestet.",
	},
	caution: wording{
		"Check against the monitor and the patient; treatment decisions stay with licensed clinicians, local protocol comes first.",
		"Mit Monitor und klinischem Bild abgleichen; Behandlungsentscheidungen bleiben bei den dafür zugelassenen Fachleuten, örtliche Vorgaben gehen vor.",
	},

	injection: wording{"Injection {number} at {time}", "Injektion {number} um {time}"},
	excluded:  wording{"EXCLUDED ({cause})", "AUSGESCHLOSSEN ({cause})"},
	shown:     wording{"Shown: {from} to {to} s of a recording from {first} to {last} s.", "Dargestellt: {from} bis {to} s einer Aufzeichnung von {first} bis {last} s."},

	arterial:  wording{"Arterial sensor", "Arterieller Sensor"},
	venous:    wording{"Venous sensor", "Venöser Sensor"},
	indicator: wording{"indicator in blood, %", "Indikator im Blut, %"},
	sound:     wording{"speed of sound, m/s", "Schallgeschwindigkeit, m/s"},
	timeAxis:  wording{"time since the noted injection, s", "Zeit ab notierter Injektion, s"},
	nothing:   wording{"nothing was recorded", "nichts aufgezeichnet"},

	recorded:    wording{"recorded", "aufgezeichnet"},
	baseline:    wording{"baseline", "Grundlinie"},
	window:      wording{"window of the baseline", "Fenster der Grundlinie"},
	fit:         wording{"closed-loop fit", "Anpassung des Kreislaufs"},
	fitPass:     wording{"first pass of the fit: {flow}", "Anpassung, erster Durchgang: {flow}"},
	firstPass:   wording{"{name}: {flow}", "{name}: {flow}"},
	withoutFlow: wording{"first pass: {name}", "erster Durchgang: {name}"},
	fitted:      wording{"fitted: {name}", "angepasst: {name}"},
	arrival:     wording{"arrival", "Ankunft"},
	peak:        wording{"peak", "Maximum"},
	entry:       wording{"enters the vein (mean)", "Eintritt in die Vene (Mittel)"},
	injected:    wording{"injection as noted", "Injektion wie notiert"},
	lower:       wording{"lower limit of the sensor", "untere Grenze des Sensors"},
	upper:       wording{"upper limit of the sensor", "obere Grenze des Sensors"},

	flow:        wording{"Recomputed flow: {value}; {reported}", "Nachberechneter Fluss: {value}; {reported}"},
	reported:    wording{"reported {value}.", "gemeldet {value}."},
	notReported: wording{"none was reported.", "keiner gemeldet."},
	single:      wording{"{name}: {value}", "{name}: {value}"},
	range95:     wording{"{value} ({low} to {high})", "{value} ({low} bis {high})"},
	brackets: wording{
		"In brackets: two stated standard deviations either way.",
		"In Klammern: zwei angegebene Standardabweichungen nach beiden Seiten.",
	},
	withheld:    wording{"withheld ({why})", "nicht ausgegeben ({why})"},
	separations: wording{"First pass: {list}.", "Erster Durchgang: {list}."},
	separation:  wording{"{name} {value}", "{name} {value}"},
	none:        wording{"none", "keine"},
	signs:       wording{"Signs in the curve (no diagnosis): {list}.", "Zeichen in der Kurve (keine Diagnose): {list}."},
	sign:        wording{"{name}: {answer}", "{name}: {answer}"},
	yes:         wording{"yes", "ja"},
	no:          wording{"no", "nein"},

	quality:      wording{"Recording: {list}.", "Aufzeichnung: {list}."},
	noise:        wording{"signal {tenth}, {one}, {three} times the noise of 0.1, 1, 3 s", "Signal {tenth}, {one}, {three} mal das Rauschen von 0.1, 1, 3 s"},
	drift:        wording{"baseline drifts {value} % of the peak per minute", "Grundlinie driftet {value} % des Maximums pro Minute"},
	residual:     wording{"fit off by {value} % of the peak", "Anpassung weicht um {value} % des Maximums ab"},
	disagreement: wording{"first passes {value} % apart", "erste Durchgänge {value} % auseinander"},
	duration:     wording{"injection lasted {value} s, its rate varied by {unsteady} %", "Injektion dauerte {value} s, Rate schwankte um {unsteady} %"},
	perKg:        wording{"indicator {value} mL/kg", "Indikator {value} mL/kg"},
	doubtful:     wording{"{value}, DOUBTFUL", "{value}, ZWEIFELHAFT"},
	corrected: wording{
		"The recomputed flow is made from all of them and corrected for what each is known to miss; it may lie beside every one.",
		"Der nachberechnete Fluss folgt aus allen und ist um deren bekannte Abweichungen berichtigt; er kann neben jedem einzelnen liegen.",
	},
	noFault: wording{"No fault was found in the recording.", "In der Aufzeichnung wurde kein Fehler gefunden."},
}

// separationWords names the ways of taking the first pass out of a curve.
var separationWords = map[string]wording{
	"closed-loop":   {"closed-loop fit", "Anpassung des Kreislaufs"},
	"exponential":   {"exponential downslope", "exponentieller Abfall"},
	"gamma-variate": {"gamma variate", "Gamma-Variate"},
}

// tailWords name what is extrapolated of a first pass that was fitted to a part of the
// curve, in short.
var tailWords = map[string]wording{
	"exponential":   {"exponential, extrapolated", "exponentiell, extrapoliert"},
	"gamma-variate": {"gamma variate, extrapolated", "Gamma-Variate, extrapoliert"},
}

// signWords names the signs of a shunt.
var signWords = [2]wording{
	{"left to right", "links-rechts"},
	{"early appearance of indicator", "frühes Erscheinen des Indikators"},
}

// speaker says words in one language.
type speaker struct{ language measure.Language }

// of says a phrase; pairs are the names of its gaps and what goes there.
func (s speaker) of(w wording, pairs ...string) string {
	gaps := make([]string, len(pairs))
	for i, p := range pairs {
		if i%2 == 0 {
			p = "{" + p + "}"
		}
		gaps[i] = p
	}
	return strings.NewReplacer(gaps...).Replace(w.In(s.language))
}
