package measure

import "saltmark/internal/finding"

// levelWords name the levels at which blood may cross, in a sentence.
var levelWords = map[string]finding.Text{
	Atrial:         "atrial level",
	Ventricular:    "ventricular level",
	Ductal:         "ductal level",
	Aortopulmonary: "aortopulmonary level",
}

// LevelWords names a level in a sentence: "atrial level".
func LevelWords(level string) finding.Text {
	if words, ok := levelWords[level]; ok {
		return words
	}
	return finding.Say("level {1}", finding.Data(level))
}
