package finding

import (
	_ "embed"
	"strings"
	"sync"
)

// germanText has a line for each template: English, a tab, German.
//
//go:embed german.tsv
var germanText string

// german gives the German template of each English one.
var german = sync.OnceValue(func() map[string]string {
	templates := map[string]string{}
	for line := range strings.Lines(germanText) {
		if english, says, ok := strings.Cut(strings.TrimRight(line, "\n"), "\t"); ok {
			templates[english] = says
		}
	}
	return templates
})

// inGerman gives the German template; one without words is the same in German, and
// one that the catalogue lacks, which a test finds, is said as it is.
func inGerman(template string) string {
	if says, ok := german()[template]; ok {
		return says
	}
	return template
}
