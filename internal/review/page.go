package review

import (
	_ "embed"
	"html/template"
	"strings"
	"sync"

	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// The review page is one file that needs no network and no script: it can be filled in
// on a screen, printed on A4 and signed. What changed is said in words, never by colour
// alone.

//go:embed page.html
var pageText string

var pageTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("page").Parse(pageText))
})

// reviewPage is what the template shows.
type reviewPage struct {
	Site, Version           string
	Test                    bool
	TableHash, SettingsHash string
	ApprovalHash            string // of both together, which the settings name once they are approved
	Shown, All              int
	Selection               string
	Language                string // code of the site's language where it is not English
	Chapters                []pageChapter
	Changes, Settings       []decided
	Demo                    bool
	Sets                    []pageSet
	Labels                  []labelLine
	Reasons                 []pageReason
	Reviewers               []int
}

type pageChapter struct {
	Number int
	Title  string
	Rows   []pageRow
}

// pageRow is one measure as the page shows it, part by part.
type pageRow struct {
	Key, Words, Local string
	About, Form, Unit string
	Digits            string
	Codes             []pageCode
	Where             []pageFact
	Limits            []pageLimit
	Supplies          []pageLimit
}

type pageCode struct{ System, Code, Display, When, Mark string }

type pageFact struct{ Name, Text string }

type pageLimit struct{ Text, Source, Mark string }

type pageSet struct {
	Name   string
	Values []pageValue
}

type pageValue struct {
	Code, Words, Local string
	Codes              []pageCode
}

type pageReason struct{ Code, Words, Local, Absent string }

func writeHTML(m Mapping, p *page) {
	if p.err == nil {
		p.err = pageTemplate().Execute(p.to, m.reviewPage())
	}
}

func (m Mapping) reviewPage() reviewPage {
	v := reviewPage{
		Site: visible(m.Settings.Name), Version: m.Version, Test: m.Settings.Test,
		TableHash: measure.TableHash(), SettingsHash: m.Settings.Hash(), ApprovalHash: m.Settings.ApprovalHash(),
		Shown: len(m.Rows), All: len(measure.All()), Selection: visible(strings.Join(m.Words, ", ")),
		Settings: decidedBy(m.Settings), Labels: labelLines(), Reviewers: []int{1, 2, 3, 4, 5},
	}
	if l := m.Settings.Language; l.Code() != measure.English.Code() {
		v.Language = l.Code()
	}
	for _, d := range v.Settings {
		if d.Mark != "" {
			v.Changes = append(v.Changes, d)
		}
	}
	v.Demo = len(v.Changes) == 0
	for _, c := range inChapters(m.Rows) {
		shown := pageChapter{Number: c.Number, Title: c.Title}
		for _, r := range c.Rows {
			shown.Rows = append(shown.Rows, m.pageRow(r))
		}
		v.Chapters = append(v.Chapters, shown)
	}
	for _, name := range m.sets() {
		set := pageSet{Name: name}
		for _, c := range measure.Set(name) {
			set.Values = append(set.Values, pageValue{c.Code, c.Words.In(measure.English), m.local(c.Words), m.valueCodes(name, c.Code)})
		}
		v.Sets = append(v.Sets, set)
	}
	for _, r := range measure.Reasons() {
		v.Reasons = append(v.Reasons, pageReason{r.Code, r.Words.In(measure.English), m.local(r.Words), r.Absent})
	}
	return v
}

// local gives words in the language of the site, "" where that is English.
func (m Mapping) local(words measure.Words) string {
	if m.Settings.Language.Code() == measure.English.Code() {
		return ""
	}
	return words.In(m.Settings.Language)
}

func (m Mapping) pageRow(r Row) pageRow {
	row := pageRow{
		Key: r.Key, Words: r.WordsFor("", measure.English), About: r.aboutWords(),
		Form: string(r.Kind), Unit: r.Unit, Digits: r.decimalsLine(), Codes: m.pageCodes(r),
	}
	if m.Settings.Language.Code() != measure.English.Code() {
		row.Local = r.WordsFor("", m.Settings.Language)
	}
	for _, fact := range []pageFact{
		{"on the sheet", r.Sheet},
		{"from the settings", r.Setting},
		{"origin", measure.WordsOf("origin", r.DefaultOrigin(), measure.English)},
		{"component of", r.In},
		{"category", strings.Join(r.Category, ", ")},
		{"method", r.methodLine()},
		{"coded values", r.setName()},
		{"charted by", columnWords[r.Column]},
		{"also", strings.Join(r.marks(), "; ")},
	} {
		if fact.Text != "" {
			row.Where = append(row.Where, fact)
		}
	}
	row.Supplies, row.Limits = r.pageSupplies(), r.pageLimits()
	return row
}

// pageSupplies gives the values that the settings supply; neighbours of one source
// stand together.
func (r Row) pageSupplies() []pageLimit {
	var all []pageLimit
	for _, s := range r.Supplies {
		words := supplyWords(r.Measure, s)
		if last := len(all) - 1; last >= 0 && all[last].Source == s.Source {
			all[last].Text += "; " + words
		} else {
			all = append(all, pageLimit{Text: words, Source: s.Source})
		}
	}
	return all
}

func (r Row) pageLimits() []pageLimit {
	var all []pageLimit
	for _, l := range r.Limits {
		of, usual, hard := limitWords(l)
		limit := pageLimit{Text: of + ": " + usual + ", " + limitKind(l), Source: l.Source}
		if hard != "" {
			limit.Text += "; possible " + hard
		}
		if l.Changed() {
			limit.Mark = "changed by the site, default " + between(l.Default.Low, l.Default.High, l.UnitOf())
		}
		all = append(all, limit)
	}
	return all
}

func (m Mapping) pageCodes(r Row) []pageCode {
	var all []pageCode
	for i, c := range r.Codings {
		code := pageCode{m.systemName(c.System), strings.ReplaceAll(c.Code, "{}", "…"), c.Display, whenWords(c.When), ""}
		if i >= len(r.Codings)-r.Added {
			code.Mark = "added by the site"
		}
		all = append(all, code)
	}
	return all
}

// valueCodes gives the published codes of a coded value.
func (m Mapping) valueCodes(set, value string) []pageCode {
	var all []pageCode
	for _, c := range mapping.ValueCodings(set, value, m.Settings.Mapping()) {
		if name := m.systemName(c.System); name != ownSystem {
			all = append(all, pageCode{System: name, Code: c.Code, Display: c.Display})
		}
	}
	return all
}
