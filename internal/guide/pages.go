package guide

import (
	_ "embed"
	"slices"
	"strings"

	"saltmark/internal/profile"
	"saltmark/internal/terms"
	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// A page for each profile: what it is of, what each element means to a clinician, which
// codes it has. English pages stand in pages, others in a folder of their language below.

// phrase is a word of the pages in each language.
type phrase = measure.Words

var (
	sayElement    = phrase{"Element", "Element"}
	sayHowOften   = phrase{"Given", "Vorhanden"}
	sayMeaning    = phrase{"What it means", "Was es bedeutet"}
	sayElements   = phrase{"Elements", "Elemente"}
	sayCodes      = phrase{"Codes", "Codes"}
	sayCode       = phrase{"Code", "Code"}
	sayWords      = phrase{"Words", "Worte"}
	sayPublished  = phrase{"Published codes", "Veröffentlichte Codes"}
	sayComponents = phrase{"Components", "Komponenten"}
	sayAddress    = phrase{"Address", "Adresse"}
	sayOn         = phrase{"Constrains", "Grundlage"}
	sayAlways     = phrase{"always", "immer"}
	sayNever      = phrase{"never", "nie"}
	sayMaybe      = phrase{"where known", "soweit bekannt"}
	sayCaution    = phrase{
		"For documentation, quality review and research; not for diagnosis, treatment decisions or monitoring. Check every number against the monitor and the patient; local protocols come first.",
		"Für Dokumentation, Qualitätsprüfung und Forschung; nicht für Diagnose, Behandlungsentscheidungen oder Überwachung. Jede Zahl ist mit Monitor und Kind zu vergleichen; örtliche Vorgaben gehen vor.",
	}
	sayBack       = phrase{"Overview", "Übersicht"}
	sayPages      = phrase{"Pages", "Seiten"}
	sayJudged     = phrase{"What a validator says of the guide", "Was ein Validator zum Leitfaden sagt (englisch)"}
	sayOverview   = phrase{"Measurement sessions by indicator dilution", "Messungen des Herzzeitvolumens durch Indikatordilution"}
	sayProfiles   = phrase{"Profiles", "Profile"}
	sayExtensions = phrase{"Extensions", "Erweiterungen"}
	sayLabels     = phrase{"Flow labels", "Angaben, wofür ein Fluss steht"}
	saySupport    = phrase{
		"Every element that a page names is to be supported: who receives such a resource keeps it, and shows it where the value is shown. A flow is never shown without its label.",
		"Jedes Element, das eine Seite nennt, ist zu unterstützen: wer eine solche Ressource empfängt, bewahrt es auf und zeigt es, wo der Wert gezeigt wird. Ein Fluss wird nie ohne seine Angabe gezeigt.",
	}
)

// qaName is the page of what a validator says, which is in English alone.
const qaName = "qa"

//go:embed qa.txt
var qaList string

// page is a page, whatever it is written as. In its texts backquotes stand around what is
// code.
type page struct {
	name     string // without an ending
	language measure.Language
	title    string
	lead     []string
	facts    [][2]string // a name and a value, behind the lead
	sections []section
	last     string // a paragraph at the end
}

// section is a chapter of a page: a list of links, or a table whose first row is the head.
type section struct {
	title string
	links []link
	table [][]string
	short bool // the second column has a word or two
}

// link leads to another page of the same language.
type link struct{ name, title, about string }

// folder gives the folder of the pages of a language.
func folder(l measure.Language) string {
	if l == measure.English {
		return "pages/"
	}
	return "pages/" + l.Code() + "/"
}

// pages gives every page in every language, as HTML to be read in a browser and as Markdown.
func (m *maker) pages() ([]File, error) {
	var all []page
	for _, l := range measure.Languages() {
		all = append(all, m.overview(l))
		for _, p := range profile.All() {
			all = append(all, m.page(&p, l))
		}
	}
	all = append(all, qaPage())
	var files []File
	for i := range all {
		p := &all[i]
		text, err := p.html()
		if err != nil {
			return nil, err
		}
		name := folder(p.language) + p.name
		files = append(files, File{name + ".html", text}, File{name + ".md", p.markdown()})
	}
	return files, nil
}

// overview names profiles, extensions and labels.
func (m *maker) overview(l measure.Language) page {
	profiles := section{title: sayProfiles.In(l)}
	for _, p := range profile.All() {
		profiles.links = append(profiles.links, link{p.ID, p.Title.In(l), p.Purpose.In(l)})
	}
	labels := section{title: sayLabels.In(l), table: [][]string{{sayCode.In(l), sayWords.In(l)}}}
	for _, c := range measure.LabelCodes() {
		labels.table = append(labels.table, []string{code(c.Code), c.Words.In(l)})
	}
	extensions := section{title: sayExtensions.In(l), table: [][]string{{sayAddress.In(l), sayMeaning.In(l)}}}
	for _, e := range extensionRows() {
		extensions.table = append(extensions.table, []string{code(m.profileAddress(e.id)), e.title.In(l)})
	}
	return page{
		name: overviewName, language: l, title: sayOverview.In(l), lead: []string{sayCaution.In(l), saySupport.In(l)},
		sections: []section{profiles, labels, extensions},
	}
}

func (m *maker) page(p *profile.Profile, l measure.Language) page {
	elements := section{title: sayElements.In(l), short: true, table: [][]string{{sayElement.In(l), sayHowOften.In(l), sayMeaning.In(l)}}}
	for i := range p.Elements {
		e := &p.Elements[i]
		name := e.Name
		if e.Slice != "" {
			name += ":" + e.Slice
		}
		elements.table = append(elements.table, []string{code(strings.TrimSuffix(name, ".code")), howOften(p, e).In(l), e.Words.In(l)})
	}
	made := page{
		name: p.ID, language: l, title: p.Title.In(l), lead: []string{p.Purpose.In(l)}, last: sayCaution.In(l),
		facts:    [][2]string{{sayAddress.In(l), code(m.profileAddress(p.ID))}, {sayOn.In(l), p.Resource}},
		sections: []section{elements},
	}
	if p.Resource == "Observation" {
		for _, s := range []section{{title: sayCodes.In(l), table: m.codeRows(p, l)}, {title: sayComponents.In(l), table: componentRows(p, l)}} {
			if len(s.table) > 1 {
				made.sections = append(made.sections, s)
			}
		}
	}
	return made
}

// howOften says whether an element is there, by the profile or by FHIR itself.
func howOften(p *profile.Profile, e *profile.Element) phrase {
	switch {
	case e.Max == "0":
		return sayNever
	case e.Min > 0 || e.Slice == "" && leastOf(p.Resource, e.Name) > 0 && !strings.Contains(e.Name, "."):
		return sayAlways
	}
	return sayMaybe
}

// leastOf gives how often an element must be there by FHIR R4.
func leastOf(resource, name string) int {
	all, err := baseElements()
	if err != nil {
		return 0
	}
	for _, e := range all[resource] {
		if e.text("path") == resource+"."+name && e.get("min") == raw("1") {
			return 1
		}
	}
	return 0
}

// codeRows gives the codes of an Observation, ours and behind them the published ones.
func (m *maker) codeRows(p *profile.Profile, l measure.Language) [][]string {
	rows := [][]string{{sayCode.In(l), sayWords.In(l), sayPublished.In(l)}}
	for i := range measure.All() {
		row := &measure.All()[i]
		if mapping.ProfileOf(row) != p.ID {
			continue
		}
		var published []string
		for _, c := range mapping.CodingsOf(row, mapping.Options{Base: m.base}) {
			if c.System != m.base+measure.MeasureCodes {
				published = append(published, strings.TrimSpace(systemName(c.System)+" "+c.Code+" "+conditionWords(c, l)))
			}
		}
		rows = append(rows, []string{code(row.Key), row.WordsFor("", l), strings.Join(published, "; ")})
	}
	return rows
}

func systemName(system string) string {
	switch system {
	case terms.SystemLOINC:
		return "LOINC"
	case terms.SystemDICOM:
		return "DICOM"
	}
	return system
}

// componentRows gives the codes of components.
func componentRows(p *profile.Profile, l measure.Language) [][]string {
	rows := [][]string{{sayCode.In(l), sayWords.In(l)}}
	for _, c := range measure.LocalCodes() {
		if slices.Contains(mapping.ComponentCodes(p.ID), c.Code) {
			rows = append(rows, []string{code(c.Code), c.Words.In(l)})
		}
	}
	return rows
}

func code(text string) string { return "`" + text + "`" }

// qaPage shows what the reference validator says of the guide: the lines of qa.txt, which
// its run compares with what it finds.
func qaPage() page {
	p := page{name: qaName, language: measure.English, title: "What a validator says of the guide", lead: []string{
		"The reference validation engine of FHIR (org.hl7.fhir.validation 6.7.9) judged every definition and every " +
			"example of this guide, offline and at its strictest. These messages are left, each with the reason why it " +
			"may stand; a message that is not listed, and a line that excuses nothing, is red (`make conformance`).",
	}}
	rows := [][]string{{"Message", "Text", "Why it may stand"}}
	for line := range strings.Lines(qaList) {
		if cells := strings.SplitN(strings.TrimSpace(line), " | ", 3); len(cells) == 3 && !strings.HasPrefix(line, "#") {
			rows = append(rows, []string{code(cells[0]), code(strings.ReplaceAll(cells[1], `\`, "")), cells[2]})
		}
	}
	if len(rows) == 1 {
		p.last = "None is left."
		return p
	}
	p.sections = []section{{title: "Messages", table: rows}}
	return p
}
