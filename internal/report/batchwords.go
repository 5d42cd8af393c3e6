package report

import (
	"strconv"
	"strings"

	"saltmark/internal/language"
)

// The words of the page of a run, in each language side by side.

// pair is a phrase in English and in German.
type pair struct{ English, German string }

func (p pair) in(l language.Language) string {
	if l == language.German {
		return p.German
	}
	return p.English
}

// with fills the gaps {1}, {2} of a phrase.
func (p pair) with(l language.Language, values ...int) string {
	s := p.in(l)
	for i, v := range values {
		s = strings.ReplaceAll(s, "{"+strconv.Itoa(i+1)+"}", strconv.Itoa(v))
	}
	return s
}

// batchWords are those that the template names.
type batchWords struct {
	Caution, Parts, Counts, ByRule, Rule, Grade, Findings, Documents, Demands, Search, All, Reset, Shown, Keys, OnTheSheet, Nothing, Failures string
}

func batchWordsIn(l language.Language) batchWords {
	in := func(english, german string) string { return pair{english, german}.in(l) }
	return batchWords{
		Caution: in("For documentation, quality review and research; certified by nobody. Check every value against the monitor and the patient; local protocols and licensed practice come first. That nothing is found does not mean that a value is right.",
			"Für Dokumentation, Qualitätsprüfung und Forschung; von niemandem zertifiziert. Jeden Wert mit Monitor und klinischem Bild abgleichen; örtliche Vorgaben und ärztliche Verantwortung gehen vor. Wo nichts gefunden wird, muss ein Wert nicht stimmen."),
		Parts:      in("Parts of the report", "Teile des Berichts"),
		Counts:     in("Counts", "Zahlen"),
		ByRule:     in("By rule, the worst first", "Nach Regeln, die schwersten zuerst"),
		Rule:       in("Rule", "Regel"),
		Grade:      in("Severity", "Schwere"),
		Findings:   in("Findings", "Meldungen"),
		Documents:  in("Documents", "Dokumente"),
		Demands:    in("What the rule demands", "Was die Regel verlangt"),
		Search:     in("Words in the finding", "Wörter in der Meldung"),
		All:        in("all", "alle"),
		Reset:      in("Show all", "Alle zeigen"),
		Shown:      in("{1} of {2} shown", "{1} von {2} gezeigt"),
		Keys:       in("Keys: / to search, n and p for the next and previous finding, Esc to show all.", "Tasten: / zum Suchen, n und p für die nächste und vorige Meldung, Esc zeigt alle."),
		OnTheSheet: in("On the sheet", "Auf dem Bogen"),
		Nothing:    in("Nothing was found.", "Nichts gefunden."),
		Failures:   in("Not read or not written", "Nicht gelesen oder nicht geschrieben"),
	}
}

// Phrases of the page that stand alone.
var (
	titleOfAudit   = pair{"Audit of FHIR documents", "Prüfung von FHIR-Dokumenten"}
	titleOfChart   = pair{"Charting of session sheets", "Dokumentation von Bögen"}
	verdictAgainst = pair{"{1} of {2} documents fail", "{1} von {2} Dokumenten fallen durch"}
	verdictFor     = pair{"Nothing stands against the {1} documents", "Gegen die {1} Dokumente spricht nichts"}
	verdictFailed  = pair{"{1} of {2} documents fail, {3} could not be worked on", "{1} von {2} Dokumenten fallen durch, {3} konnten nicht bearbeitet werden"}
	leftOutWords   = pair{"{1} of {2} findings are listed, errors first and some of each rule; a report in JSON has all.", "{1} von {2} Meldungen sind aufgeführt, Fehler zuerst und einige von jeder Regel; ein Bericht in JSON enthält alle."}
	moreRows       = pair{"{1} more are not listed here; a report in JSON has all.", "{1} weitere sind hier nicht aufgeführt; ein Bericht in JSON enthält alle."}
	stoppedWords   = pair{"The run was stopped", "Der Lauf wurde abgebrochen"}
	acknowledgedAs = pair{"Known, and counts all the same", "Bekannt, zählt trotzdem"}
)

// countNames name the counts, in the order of the page.
var countNames = map[string]pair{
	"documents":     {"documents", "Dokumente"},
	"not-reached":   {"not reached", "nicht erreicht"},
	"failing":       {"documents that fail", "Dokumente, die durchfallen"},
	"charted":       {"charted", "dokumentiert"},
	"refused":       {"refused", "abgelehnt"},
	"passed":        {"without errors", "ohne Fehler"},
	"faulty":        {"with errors", "mit Fehlern"},
	"failed":        {"not read or written", "nicht gelesen oder geschrieben"},
	"error":         {"findings: errors", "Meldungen: Fehler"},
	"warning":       {"findings: warnings", "Meldungen: Warnungen"},
	"information":   {"findings: information", "Meldungen: Hinweise"},
	"accepted":      {"findings accepted by a suppression, not counted above", "durch eine Ausnahme hingenommene Meldungen, oben nicht gezählt"},
	"acknowledged":  {"findings known by a suppression, counted above", "durch eine Ausnahme als bekannt vermerkte Meldungen, oben gezählt"},
	"new":           {"findings that the earlier report did not have", "Meldungen, die der frühere Bericht nicht hatte"},
	"remaining":     {"findings that it had too", "Meldungen, die er auch hatte"},
	"gone":          {"findings that it had and that are gone", "Meldungen, die er hatte und die verschwunden sind"},
	"status":        {"sessions with the status", "Messungen mit dem Status"},
	"relabelled":    {"flow values that stand for another flow than their bare name says, or for none that is known", "Flusswerte, die für einen anderen Fluss stehen, als ihr bloßer Name sagt, oder für keinen bekannten"},
	"withheld":      {"values withheld or missing:", "nicht ausgegebene oder fehlende Werte:"},
	"flow":          {"sessions; their flow:", "Messungen; ihr Fluss:"},
	"settings-mode": {"dry run: nothing was written", "Probelauf: nichts wurde geschrieben"},
}

// tableWords are titles, headings and explanations of the tables.
var tableWords = map[string]pair{
	"selection":        {"What was accepted, and why", "Was hingenommen wurde, und warum"},
	"off":              {"Rules that were not applied", "Regeln, die nicht angewandt wurden"},
	"gone":             {"Findings of the earlier report that are gone", "Verschwundene Meldungen des früheren Berichts"},
	"unchecked":        {"What was not judged", "Was nicht geprüft wurde"},
	"inputs":           {"What was read", "Was gelesen wurde"},
	"judged-by":        {"What was judged by", "Womit geprüft wurde"},
	"about-off":        {"A finding of these rules would not be shown here.", "Eine Meldung dieser Regeln würde hier nicht gezeigt."},
	"about-sel":        {"Accepted findings do not count. Known ones guard against harm and count all the same.", "Hingenommene Meldungen zählen nicht. Bekannte schützen vor Schaden und zählen trotzdem."},
	"about-un":         {"Silence about these says nothing.", "Schweigen hierüber sagt nichts aus."},
	"name":             {"name", "Name"},
	"rule":             {"rule", "Regel"},
	"where":            {"where", "wo"},
	"reason":           {"reason", "Grund"},
	"by":               {"by", "von"},
	"until":            {"until", "bis"},
	"accepted":         {"accepted", "hingenommen"},
	"known":            {"known", "bekannt"},
	"expired":          {"past its day", "abgelaufen"},
	"severity":         {"severity", "Schwere"},
	"file":             {"file", "Datei"},
	"pointer":          {"pointer", "Zeiger"},
	"what":             {"what", "was"},
	"of":               {"of", "davon"},
	"count":            {"count", "Anzahl"},
	"bytes":            {"bytes", "Bytes"},
	"sha256":           {"SHA-256", "SHA-256"},
	"version":          {"version", "Version"},
	"program":          {"program", "Programm"},
	"measures":         {"table of measures", "Tabelle der Messgrößen"},
	"settings":         {"settings of the site", "Einstellungen der Klinik"},
	"loinc":            {"LOINC codes in use", "verwendete LOINC-Codes"},
	"currencies":       {"currencies (ISO 4217)", "Währungen (ISO 4217)"},
	"fhir-definitions": {"FHIR definitions", "FHIR-Definitionen"},
	"guide":            {"implementation guide", "Implementierungsleitfaden"},
	"sel-file":         {"file of rules", "Regeldatei"},
	"baseline":         {"earlier report", "früherer Bericht"},
	"fail-on":          {"fails from", "fällt durch ab"},
	"new-only":         {"only new findings count", "nur neue Meldungen zählen"},
}
