package guide_test

import (
	"path"
	"regexp"
	"strings"
	"testing"

	"saltmark/internal/guide"
	"saltmark/internal/profile"
	"saltmark/mapping/measure"
)

// htmlPages are the pages for a browser, by their names.
func htmlPages(t *testing.T) map[string]string {
	t.Helper()
	pages := map[string]string{}
	for name, text := range make1(t, guide.Options{}) {
		if strings.HasSuffix(name, ".html") {
			pages[name] = text
		}
	}
	if want := len(measure.Languages())*(len(profile.All())+1) + 1; len(pages) != want {
		t.Fatalf("%d pages, want %d", len(pages), want)
	}
	return pages
}

func TestAPageFetchesNothingAndLeadsOnlyToPages(t *testing.T) {
	pages := htmlPages(t)
	for name, text := range pages {
		for _, load := range []string{"src=", "<link", "<script", "@import", "url(", "style=", "<form"} {
			if strings.Contains(text, load) {
				t.Errorf("%s has %q", name, load)
			}
		}
		if !strings.Contains(text, `Content-Security-Policy" content="default-src 'none'; style-src 'sha256-`) {
			t.Errorf("%s does not forbid to fetch", name)
		}
		led := 0
		for _, to := range regexp.MustCompile(`href="([^"]*)"`).FindAllStringSubmatch(text, -1) {
			led++
			if _, there := pages[path.Join(path.Dir(name), to[1])]; !there {
				t.Errorf("%s leads to %s, which is not there", name, to[1])
			}
		}
		if led == 0 {
			t.Errorf("%s leads nowhere", name)
		}
	}
}

// From the overview of a language each page of it can be reached, and the same page in
// other languages from there.
func TestEveryPageIsReached(t *testing.T) {
	pages := htmlPages(t)
	reached := map[string]bool{}
	next := []string{"pages/index.html"}
	for len(next) > 0 {
		name := next[0]
		next = next[1:]
		if reached[name] {
			continue
		}
		reached[name] = true
		for _, to := range regexp.MustCompile(`href="([^"]*)"`).FindAllStringSubmatch(pages[name], -1) {
			next = append(next, path.Join(path.Dir(name), to[1]))
		}
	}
	for name := range pages {
		if !reached[name] {
			t.Errorf("%s is not reached", name)
		}
	}
}

// What the tables say in two ways is not said in English on a German page.
func TestAGermanPageSpeaksGerman(t *testing.T) {
	for name, text := range htmlPages(t) {
		if !strings.HasPrefix(name, "pages/de/") {
			continue
		}
		if !strings.Contains(text, `<html lang="de">`) {
			t.Errorf("%s does not say its language", name)
		}
		for _, p := range profile.All() {
			words := []measure.Words{p.Title, p.Purpose}
			for i := range p.Elements {
				words = append(words, p.Elements[i].Words)
			}
			for _, w := range words {
				if english := w.In(measure.English); english != w.In(measure.German) && strings.Contains(text, ">"+english+"<") {
					t.Errorf("%s: %q", name, english)
				}
			}
		}
	}
}

// The reader of Markdown and the reader of HTML are told the same.
func TestBothFormsOfAPageSayTheSame(t *testing.T) {
	files := make1(t, guide.Options{})
	bare := func(text string) string {
		text = regexp.MustCompile(`(?s)<head>.*?</head>|<nav.*?</nav>`).ReplaceAllString(text, "")
		text = regexp.MustCompile(`<[^>]*>`).ReplaceAllString(text, "")
		text = strings.NewReplacer("&#39;", "'", "&#34;", `"`, "&lt;", "<", "&gt;", ">", "&amp;", "&").Replace(text)
		return regexp.MustCompile(`[^\pL\pN]+`).ReplaceAllString(text, "")
	}
	for name, text := range files {
		other, isPage := strings.CutSuffix(name, ".md")
		if !isPage {
			continue
		}
		text = regexp.MustCompile(`\]\([^)]*\.md\)`).ReplaceAllString(text, "]")
		if bare(strings.NewReplacer("<", "&lt;", ">", "&gt;").Replace(text)) != bare(files[other+".html"]) {
			t.Errorf("%s and its HTML differ", name)
		}
	}
}
