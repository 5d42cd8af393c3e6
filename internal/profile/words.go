package profile

import (
	"strings"

	"saltmark/mapping/measure"
)

// words gives our words in the languages of measure.Languages.
func words(english, german string) measure.Words { return measure.Words{english, german} }

// Words gives a phrase in each language, with what stands in its gap "{}".
func Words(english, german, gap string) measure.Words {
	return words(strings.ReplaceAll(english, "{}", gap), strings.ReplaceAll(german, "{}", gap))
}

// around gives a phrase in each language, with words of that language in its gap.
func around(english, german string, gap measure.Words) measure.Words {
	return words(
		strings.ReplaceAll(english, "{}", gap.In(measure.English)),
		strings.ReplaceAll(german, "{}", gap.In(measure.German)),
	)
}
