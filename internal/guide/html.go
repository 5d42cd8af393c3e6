package guide

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"html/template"
	"strings"

	"saltmark/mapping/measure"
)

// The pages for a browser: each is whole in itself, fetches nothing and has no script.

//go:embed page.html
var pageText string

//go:embed page.css
var pageStyle string

const overviewName = "index"

// htmlPage is what the template shows.
type htmlPage struct {
	Language, Title, Pages string
	Style                  template.CSS
	StyleHash              string
	Ways                   []htmlLink
	Lead                   []template.HTML
	Facts                  [][2]template.HTML
	Sections               []htmlSection
	Last                   template.HTML
}

type htmlLink struct{ To, Title, About, Language string }

type htmlSection struct {
	ID, Title string
	Links     []htmlLink
	Heads     []string
	Short     bool
	Rows      [][]template.HTML
}

func (p *page) html() ([]byte, error) {
	t, err := template.New("page").Parse(pageText)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256([]byte(pageStyle))
	shown := htmlPage{
		Language: p.language.Code(), Title: p.title, Pages: sayPages.In(p.language), Ways: p.ways(), Lead: marked(p.lead...),
		Style: template.CSS(pageStyle), StyleHash: "sha256-" + base64.StdEncoding.EncodeToString(sum[:]),
	}
	for _, f := range p.facts {
		shown.Facts = append(shown.Facts, [2]template.HTML(marked(f[:]...)))
	}
	for i, s := range p.sections {
		made := htmlSection{ID: "s" + string(rune('1'+i)), Title: s.title, Short: s.short}
		for _, l := range s.links {
			made.Links = append(made.Links, htmlLink{To: l.name + ".html", Title: l.title, About: l.about})
		}
		for n, cells := range s.table {
			if n == 0 {
				made.Heads = cells
				continue
			}
			made.Rows = append(made.Rows, marked(cells...))
		}
		shown.Sections = append(shown.Sections, made)
	}
	if p.last != "" {
		shown.Last = marked(p.last)[0]
	}
	var b bytes.Buffer
	err = t.Execute(&b, shown)
	return b.Bytes(), err
}

// ways lead to the overview, to the page in other languages and, from the overview, to
// what a validator says.
func (p *page) ways() []htmlLink {
	var ways []htmlLink
	up := "" // to the folder of the English pages
	if p.language != measure.English {
		up = "../"
	}
	if p.name != overviewName {
		ways = append(ways, htmlLink{To: overviewName + ".html", Title: sayBack.In(p.language)})
	}
	if p.name == qaName {
		return ways
	}
	for _, l := range measure.Languages() {
		if l != p.language {
			ways = append(ways, htmlLink{To: up + strings.TrimPrefix(folder(l), "pages/") + p.name + ".html", Title: languageNames[l], Language: l.Code()})
		}
	}
	if p.name == overviewName {
		ways = append(ways, htmlLink{To: up + qaName + ".html", Title: sayJudged.In(p.language)})
	}
	return ways
}

// languageNames are what languages call themselves.
var languageNames = map[measure.Language]string{measure.English: "English", measure.German: "Deutsch"}

// marked makes of each text its markup: what stands in backquotes is code.
func marked(texts ...string) []template.HTML {
	list := make([]template.HTML, len(texts))
	for i, text := range texts {
		var b strings.Builder
		for n, part := range strings.Split(text, "`") {
			if part = template.HTMLEscapeString(part); n%2 == 1 {
				part = "<code>" + part + "</code>"
			}
			b.WriteString(part)
		}
		list[i] = template.HTML(b.String())
	}
	return list
}
