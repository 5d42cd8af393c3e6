package profile

import (
	"slices"

	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// Elements that several profiles have.
var (
	identifier = Element{Name: "identifier", Min: 1, Max: "1", Words: words(
		"names the value for good: the session, the thing it is about, the measure and its origin; a corrected value keeps it",
		"benennt den Wert auf Dauer: Messung, Gegenstand, Messgröße und Herkunft; ein korrigierter Wert behält sie")}
	status = Element{Name: "status", Words: words(
		"preliminary: nobody has verified it, or something keeps it open; final: verified; corrected, amended: changed after that; entered-in-error, cancelled: does not count",
		"preliminary: noch nicht geprüft, oder etwas ist offen; final: geprüft; corrected, amended: danach geändert; entered-in-error, cancelled: zählt nicht")}
	category = Element{Name: "category", Min: 1, Words: words(
		"what kind of finding it is, for lists and filters",
		"Art des Befunds, für Listen und Filter")}
	subject   = Element{Name: "subject", Min: 1, Words: words("the patient", "die Patientin oder der Patient")}
	encounter = Element{Name: "encounter", Words: words("the stay during which it was measured", "der Aufenthalt, in dem gemessen wurde")}
	moment    = Element{Name: "effective[x]", Min: 1, Types: []string{"dateTime"}, Words: words(
		"when it held; of a value of the session the time of the last injection that entered it",
		"wann er galt; bei einem Wert der Messung der Zeitpunkt der letzten eingegangenen Injektion")}
	span   = Element{Name: "effective[x]", Min: 1, Types: []string{"Period"}, Words: words("from when to when it was recorded or measured", "von wann bis wann aufgezeichnet oder gemessen wurde")}
	issued = Element{Name: "issued", Words: words(
		"when it was verified; not there while nobody has",
		"wann er geprüft wurde; fehlt, solange das niemand getan hat")}
	performer = Element{Name: "performer", Words: words("who measured", "wer gemessen hat")}
	quantity  = Element{Name: "value[x]", Types: []string{"Quantity"}, Words: words(
		"the number with its digits as charted, and the unit as UCUM code and in words; not there where it is withheld",
		"die Zahl mit den dokumentierten Stellen, die Einheit als UCUM-Code und in Worten; fehlt, wo der Wert zurückgehalten wird")}
	noValue = Element{Name: "value[x]", Max: "0", Words: words("nothing: the components say it", "nichts: die Komponenten sagen es")}
	absent  = Element{Name: "dataAbsentReason", Words: words(
		"why there is no number: FHIR's reason and ours, with the bound that a monitor showed",
		"warum keine Zahl dasteht: FHIRs Grund und unserer, mit der Grenze, die ein Monitor anzeigte")}
	note     = Element{Name: "note", Words: words("what a person must know of the value, such as why it was taken back", "was man zu dem Wert wissen muss, etwa warum er zurückgenommen wurde")}
	method   = Element{Name: "method", Words: words("how it was measured, where its code does not say so", "wie gemessen wurde, wo der Code es nicht sagt")}
	bodySite = Element{Name: "bodySite", Words: words("the vessel of the catheter", "das Gefäß des Katheters")}
	device   = Element{Name: "device", Words: words("the monitor that showed it; none for what was computed from a curve", "der Monitor, der ihn anzeigte; keiner bei Werten, die aus einer Kurve berechnet wurden")}
	origin   = Element{Name: "extension", Slice: "origin", Address: mapping.ProfileAddress("origin"), Min: 1, Max: "1", Words: words(
		"how the value came to be: stated by a person, reported by a monitor, recomputed from the curve, or derived from others",
		"wie der Wert entstand: von einer Person angegeben, vom Monitor angezeigt, aus der Kurve neu berechnet oder aus anderen abgeleitet")}
	label = Element{Name: "extension", Slice: "flow-label", Address: mapping.ProfileAddress("flow-label"), Min: 1, Max: "1", Words: words(
		"which flow the number stands for under the shunts that are known: the flow to the body (Qs), the output of the left (LVO) or right ventricle (RVO), the flow through the lungs (Qp), or none that is known; read no flow without it",
		"für welchen Fluss die Zahl bei den bekannten Shunts steht: den Fluss zum Körper (Qs), den Auswurf des linken (LVO) oder rechten Ventrikels (RVO), den Fluss durch die Lunge (Qp), oder für keinen bekannten; kein Fluss ist ohne sie zu lesen")}
)

// coded gives the elements with the codes of a profile: of the Observation and of its
// components.
func coded(id string, code, parts measure.Words) (Element, Element) {
	return Element{Name: "code", Codes: CodesOf(id), Words: code},
		Element{Name: "component.code", Codes: PartsOf(id), Words: parts}
}

// observed puts the elements of an Observation in FHIR's order around what is its own.
func observed(id string, extensions []Element, effective, value Element, rest []Element, code, parts measure.Words) []Element {
	main, component := coded(id, code, parts)
	head := append(slices.Clone(extensions), identifier, status, category, main, subject, encounter, effective, issued, performer, value)
	return append(append(head, rest...), component)
}

// table is all of them.
var table = []Profile{
	{
		ID: mapping.FlowProfile, Resource: "Observation",
		Title: words("Blood flow with its label", "Blutfluss mit Angabe, wofür er steht"),
		Purpose: words(
			"A blood flow by indicator dilution or by another method, and what is made of one: index, stroke volume. With an open shunt the flows of the two ventricles, to the body and through the lungs differ; the label says which of them the number is.",
			"Ein Blutfluss durch Indikatordilution oder eine andere Methode, und was daraus folgt: Index, Schlagvolumen. Bei offenem Shunt sind die Flüsse der beiden Ventrikel, zum Körper und durch die Lunge verschieden; die Angabe sagt, welcher davon die Zahl ist."),
		Elements: observed(mapping.FlowProfile, []Element{label, origin}, moment, quantity,
			[]Element{absent, note, bodySite, method, device, {Name: "derivedFrom", Min: 1, Words: words(
				"what it was made from, and the shunt context that its label rests on",
				"woraus er entstand, und der Shunt-Kontext, auf dem die Angabe beruht")}},
			words("which flow it is, in our codes; a published code of the left ventricle only where the label contains LVO", "welcher Fluss es ist, in unseren Codes; ein veröffentlichter Code des linken Ventrikels nur, wo die Angabe LVO enthält"),
			words("how well the injections agree, what the loop takes of the flow, and label and origin once more for readers without extensions", "wie gut die Injektionen übereinstimmen, welchen Anteil die Schleife hat, und Angabe und Herkunft noch einmal für Leser ohne Erweiterungen")),
	},
	{
		ID: mapping.VolumeProfile, Resource: "Observation",
		Title: words("Volume or transit time by indicator dilution", "Volumen oder Transitzeit durch Indikatordilution"),
		Purpose: words(
			"A volume between injection and artery, or the time that blood takes from one to the other. Shunts change what it means; where one makes it meaningless it is withheld.",
			"Ein Volumen zwischen Injektion und Arterie, oder die Zeit, die Blut dafür braucht. Shunts ändern seine Bedeutung; wo einer es unbrauchbar macht, wird es zurückgehalten."),
		Elements: observed(mapping.VolumeProfile, []Element{origin}, moment, quantity,
			[]Element{absent, note, bodySite, method, device, {Name: "derivedFrom", Words: words("what it was made from", "woraus er entstand")}},
			words("which volume or time, of the session or of one injection", "welches Volumen oder welche Zeit, der Messung oder einer Injektion"),
			words("how sure a recomputed value is, and the origin once more", "wie sicher ein neu berechneter Wert ist, und die Herkunft noch einmal")),
	},
	{
		ID: mapping.ContextProfile, Resource: "Observation",
		Title: words("Shunt context", "Shunt-Kontext"),
		Purpose: words(
			"What was known of connections between the two circulations when the flow was measured, level by level. Every label of a flow rests on it. A level of which nothing is said was not looked at; it is never taken for closed.",
			"Was bei der Messung über Verbindungen zwischen den beiden Kreisläufen bekannt war, Ebene für Ebene. Jede Angabe, wofür ein Fluss steht, beruht darauf. Eine Ebene, zu der nichts steht, wurde nicht beurteilt; sie gilt nie als geschlossen."),
		Elements: observed(mapping.ContextProfile, nil, moment, noValue, []Element{note},
			words("the shunt context", "der Shunt-Kontext"),
			words("of each level its state, direction, method and time of the look, size; and anatomy and life support", "zu jeder Ebene Zustand, Richtung, Methode und Zeitpunkt der Beurteilung, Größe; dazu Anatomie und Kreislaufunterstützung")),
	},
	{
		ID: mapping.InjectionProfile, Resource: "Observation",
		Title:   words("One injection", "Eine Injektion"),
		Purpose: words("What was injected and how the patient was at that moment. What it gave are Observations of their own.", "Was injiziert wurde und wie der Zustand in diesem Augenblick war. Was sie ergab, sind eigene Observations."),
		Elements: observed(mapping.InjectionProfile, nil, moment, noValue, []Element{note},
			words("one injection of indicator", "eine Injektion des Indikators"),
			words("volume, temperature and duration of the injection, heart rate and pressures then, and why it does not count where it was excluded", "Volumen, Temperatur und Dauer der Injektion, Herzfrequenz und Drücke dabei, und warum sie nicht zählt, wo sie ausgeschlossen wurde")),
	},
	{
		ID: mapping.PanelProfile, Resource: "Observation",
		Title:   words("Measurement session", "Messung"),
		Purpose: words("Holds a session together: its members are all Observations of it, its components its fields and the settings of the site that its numbers rest on.", "Hält eine Messung zusammen: ihre Mitglieder sind alle ihre Observations, ihre Komponenten ihre Angaben und die Einstellungen der Klinik, auf denen ihre Zahlen beruhen."),
		Elements: observed(mapping.PanelProfile, nil, span, noValue,
			[]Element{note, bodySite, {Name: "hasMember", Min: 1, Words: words("every Observation of the session, excluded injections among them", "jede Observation der Messung, ausgeschlossene Injektionen eingeschlossen")}},
			words("the session", "die Messung"),
			words("patient's data used, loop, catheters, limits and constants of the site, and which revision was verified when", "verwendete Daten, Schleife, Katheter, Grenzen und Konstanten der Klinik, und welche Revision wann geprüft wurde")),
	},
	{
		ID: mapping.TraceProfile, Resource: "Observation",
		Title:   words("Recorded curve", "Aufgezeichnete Kurve"),
		Purpose: words("What a sensor recorded during one injection, so that the flow can be computed again.", "Was ein Sensor während einer Injektion aufzeichnete, damit der Fluss nachgerechnet werden kann."),
		Elements: observed(mapping.TraceProfile, []Element{origin}, span,
			Element{Name: "value[x]", Types: []string{"SampledData"}, Words: words("the samples: value = origin + factor x sample, one each period in milliseconds", "die Abtastwerte: Wert = origin + factor x Abtastwert, je Periode in Millisekunden einer")},
			[]Element{absent, note, bodySite, device},
			words("arterial or venous curve", "arterielle oder venöse Kurve"),
			words("the file it was read from, by its SHA-256, and whether its times were made even", "die gelesene Datei, durch ihr SHA-256, und ob ihre Zeiten gleichmäßig gemacht wurden")),
	},
	{
		ID: mapping.ReportProfile, Resource: "DiagnosticReport",
		Title:   words("Report of a session", "Bericht über eine Messung"),
		Purpose: words("The session in words, for those who read no Observations: the values with their labels, what is withheld and why, what is doubtful.", "Die Messung in Worten, für alle, die keine Observations lesen: die Werte mit der Angabe, wofür sie stehen, was warum zurückgehalten wird, was zweifelhaft ist."),
		Elements: []Element{
			identifier,
			{Name: "status", Words: words("partial: not verified; preliminary: verified and held back; final: verified; corrected, amended: changed after that; entered-in-error, cancelled: does not count", "partial: nicht geprüft; preliminary: geprüft und zurückgehalten; final: geprüft; corrected, amended: danach geändert; entered-in-error, cancelled: zählt nicht")},
			category,
			{Name: "code", Codes: CodesOf(mapping.ReportProfile), Words: words("a report of a measurement session", "ein Bericht über eine Messung des Herzzeitvolumens")},
			subject, encounter, span, issued, performer,
			{Name: "resultsInterpreter", Words: words("who verified", "wer geprüft hat")},
			{Name: "result", Min: 1, Words: words("the panel of the session and the shunt context", "das Panel der Messung und der Shunt-Kontext")},
			{Name: "conclusion", Min: 1, Words: words("the words to read first", "die Worte, die zuerst zu lesen sind")},
			{Name: "conclusionCode", Codes: LabelSet, Words: words("the label of the session's flow, coded", "die Angabe zum Fluss der Messung, als Code")},
			{Name: "presentedForm", Min: 1, Words: words("the same content as text, and as a picture with the curves", "derselbe Inhalt als Text und als Bild mit den Kurven")},
		},
	},
}
