package mapping_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// The patterns of the page on words in German: the same order, the same numbers, the
// same warnings in capitals. In-house reading, no source.
func TestGermanConclusionSaysWhatAColleagueMustSeeFirst(t *testing.T) {
	const (
		two   = " Zwei Injektionen, 3.9 % auseinander."
		given = " Über die extrakorporale Schleife liefen 2.0 % dieses Flusses. Gegeben: 7.0 mL (2.3 mL/kg), Natrium 1.1 mmol (0.36 mmol/kg). " +
			"Mit Monitor und klinischem Bild des Kindes abgleichen; örtliche Vorgaben gehen vor."
	)
	for _, test := range []struct {
		name  string
		state func(*record.Session)
		want  string
	}{
		{"no shunt", func(*record.Session) {},
			"Blutfluss in den Körperkreislauf um 14:30: " + numbers + ". Er ist zugleich das Herzzeitvolumen des linken Ventrikels und der Fluss durch die Lunge " +
				"(Echo 13:40: Ductus arteriosus, Vorhof- und Ventrikelseptum geschlossen, keine weitere Verbindung)." + two + " Geprüft um 14:55." + given},
		{"duct left to right", func(s *record.Session) {
			look(s, "ductal", "left-to-right", "13:40")
			put(s, `session | descending-aorta-diastole | reversed`)
			s.Verification = record.Verification{}
		},
			"Blutfluss in den Körperkreislauf um 14:30: " + numbers + ". NICHT das Herzzeitvolumen des linken Ventrikels: Ductus arteriosus offen, Links-rechts-Shunt (Echo 13:40); " +
				"das darüber in die Lunge zurückfließende Blut fehlt in dieser Zahl, Echo an der Aortenklappe misst daher mehr. " +
				"Diastolischer Rückfluss in der Aorta descendens: die untere Körperhälfte bekommt möglicherweise weniger als ihren Anteil. " +
				"Schlagvolumen aus diesem Grund nicht ausgegeben." + two + " NOCH NICHT GEPRÜFT." + given},
		{"foramen left to right", func(s *record.Session) {
			look(s, "atrial", "left-to-right", "13:40")
			put(s, `
				level atrial | level-lesion | patent-foramen
				injection 1 | central-blood-volume | 61.5 mL | 14:24
				injection 2 | central-blood-volume | 61.5 mL | 14:30`)
		},
			"Blutfluss in den Körperkreislauf um 14:30: " + numbers + ". Er ist zugleich das Herzzeitvolumen des linken Ventrikels. " +
				"NICHT der Fluss durch Lunge oder rechten Ventrikel, der um den Fluss über das Foramen ovale größer ist " +
				"(Links-rechts-Shunt, Echo 13:40; Ductus arteriosus und Ventrikelseptum geschlossen, keine weitere Verbindung). Schlagvolumen 4.1 mL. " +
				"Zentrales Blutvolumen nur gültig, wenn dies der Fluss in den Körperkreislauf ist." + two + " Geprüft um 14:55." + given},
		{"not assessed", func(s *record.Session) {
			for _, level := range measure.Levels {
				look(s, level, "closed", "2031-05-02T07:30:00+02:00")
			}
			put(s, `
				injection 1 | central-blood-volume | 61.5 mL | 14:24
				injection 1 | end-diastolic-volume | 11.5 mL | 14:24`)
		},
			"Blutfluss um 14:30: " + numbers + ", UNKLAR, WELCHER FLUSS DAS IST: keine gültige Shunt-Beurteilung (zuletzt Echo 31 h vorher; Grenze dieser Station 12 h). " +
				"Bei offenem Ductus arteriosus ist dies nicht das Herzzeitvolumen des linken Ventrikels; bei Rechts-links-Shunt darüber vielleicht auch nicht der Fluss in den Körperkreislauf. " +
				"Nicht mit Echo oder früheren Werten vergleichen." + two + " Geprüft um 14:55. VORLÄUFIG; zum Abschluss die Shunt-Beurteilung eintragen. " +
				"Nicht ausgegeben: Schlagvolumen, zentrales Blutvolumen, enddiastolisches Volumen." + given},
		{"an answer is missing", func(s *record.Session) { put(s, `injection 1 | shunt-sign | yes`) },
			"Blutfluss in den Körperkreislauf um 14:30: " + numbers + "." + two +
				" WIDERSPRUCH: Injektion 1 zeigt Zeichen eines Links-rechts-Shunts, entgegen der eingetragenen Shunt-Beurteilung (Echo 13:40). Geprüft um 14:55. " +
				"VORLÄUFIG; zum Abschluss muss die prüfende Person schriftlich zum Widerspruch Stellung nehmen. " +
				"Nicht ausgegeben: Schlagvolumen (unbeantworteter Widerspruch zur Shunt-Beurteilung)." + given},
	} {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			test.state(s)
			if diff := cmp.Diff(test.want, conclusionIn(t, measure.German, settled(t, s, nil))); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// Lesions of every gender, and of which there are several, at every place of a
// sentence.
func TestGermanLesionsFitTheirSentences(t *testing.T) {
	for _, test := range []struct {
		name, lines, level string
		want               []string
	}{
		{"collaterals", `level aortopulmonary | level-lesion | collaterals`, "aortopulmonary", []string{
			"NICHT das Herzzeitvolumen des linken Ventrikels: aortopulmonale Kollateralen offen, Links-rechts-Shunt (Echo 13:40); das darüber in die Lunge zurückfließende Blut",
		}},
		{"a surgical shunt", `level aortopulmonary | level-lesion | surgical-shunt`, "aortopulmonary", []string{"chirurgischer Shunt offen, Links-rechts-Shunt"}},
		{"a window", `level aortopulmonary | level-lesion | window`, "aortopulmonary", []string{"aortopulmonales Fenster offen, Links-rechts-Shunt"}},
		{"an atrial defect", `level atrial | level-lesion | atrial-defect`, "atrial", []string{"der um den Fluss über den Vorhofseptumdefekt größer ist"}},
		{"no lesion stated", ``, "atrial", []string{"der um den Fluss über die Öffnung zwischen den Vorhöfen größer ist"}},
		{"a ventricular defect", ``, "ventricular", []string{"Ventrikelseptumdefekt offen, Links-rechts-Shunt (Echo 13:40); das darüber fließende Blut", "Echo an der Pulmonalklappe misst daher mehr."}},
	} {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			look(s, test.level, "left-to-right", "13:40")
			put(s, test.lines)
			listen(t, conclusionIn(t, measure.German, settled(t, s, nil)), test.want, nil)
		})
	}
}
