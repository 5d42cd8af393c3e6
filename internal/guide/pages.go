package guide

import (
	"bytes"
	_ "embed"
	"fmt"
	"slices"
	"strings"

	"saltmark/internal/profile"
	"saltmark/internal/terms"
	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// A page for each profile, in Markdown: what it is of, what each element means to a
// clinician, which codes it has. English pages stand in pages, others in a folder of
// their language below.

// phrase is a word of the pages in each language.
type phrase = measure.Words

var (
	sayElement    = phrase{"Element", "Element"}
	sayHowOften   = phrase{"there", "da"}
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
		"Für Dokumentation, Qualitätsprüfung und Forschung; nicht für Diagnose, Behandlungsentscheidungen oder Überwachung. Jede Zahl ist mit Monitor und Kind zu vergleichen; die Regeln der Klinik gehen vor.",
	}
	sayOverview   = phrase{"Measurement sessions by indicator dilution", "Messungen des Herzzeitvolumens durch Indikatordilution"}
	sayProfiles   = phrase{"Profiles", "Profile"}
	sayExtensions = phrase{"Extensions", "Erweiterungen"}
	sayLabels     = phrase{"Flow labels", "Angaben, wofür ein Fluss steht"}
	saySupport    = phrase{
		"Every element that a page names is to be supported: who receives such a resource keeps it, and shows it where the value is shown. A flow is never shown without its label.",
		"Jedes Element, das eine Seite nennt, ist zu unterstützen: wer eine solche Ressource empfängt, bewahrt es auf und zeigt es, wo der Wert gezeigt wird. Ein Fluss wird nie ohne seine Angabe gezeigt.",
	}
)

//go:embed qa.txt
var qaList string

// pages gives every page in every language.
func (m *maker) pages() []File {
	var files []File
	for _, l := range measure.Languages() {
		folder := "pages/"
		if l != measure.English {
			folder += l.Code() + "/"
		}
		files = append(files, File{folder + "index.md", m.overview(l)})
		for _, p := range profile.All() {
			files = append(files, File{folder + p.ID + ".md", m.page(&p, l)})
		}
	}
	return append(files, File{"pages/qa.md", qaPage()})
}

// overview names profiles, extensions and labels.
func (m *maker) overview(l measure.Language) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# %s\n\n%s\n\n%s\n\n## %s\n\n", sayOverview.In(l), sayCaution.In(l), saySupport.In(l), sayProfiles.In(l))
	for _, p := range profile.All() {
		fmt.Fprintf(&b, "- [%s](%s.md): %s\n", p.Title.In(l), p.ID, p.Purpose.In(l))
	}
	fmt.Fprintf(&b, "\n## %s\n\n", sayExtensions.In(l))
	rows := [][]string{{sayAddress.In(l), sayMeaning.In(l)}}
	for _, e := range extensionRows() {
		rows = append(rows, []string{code(m.profileAddress(e.id)), e.title.In(l)})
	}
	table(&b, rows)
	fmt.Fprintf(&b, "\n## %s\n\n", sayLabels.In(l))
	rows = [][]string{{sayCode.In(l), sayWords.In(l)}}
	for _, c := range measure.LabelCodes() {
		rows = append(rows, []string{code(c.Code), c.Words.In(l)})
	}
	table(&b, rows)
	return b.Bytes()
}

func (m *maker) page(p *profile.Profile, l measure.Language) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# %s\n\n%s\n\n%s: %s  \n%s: %s\n\n## %s\n\n", p.Title.In(l), p.Purpose.In(l),
		sayAddress.In(l), code(m.profileAddress(p.ID)), sayOn.In(l), p.Resource, sayElements.In(l))
	rows := [][]string{{sayElement.In(l), sayHowOften.In(l), sayMeaning.In(l)}}
	for i := range p.Elements {
		e := &p.Elements[i]
		name := e.Name
		if e.Slice != "" {
			name += ":" + e.Slice
		}
		rows = append(rows, []string{code(strings.TrimSuffix(name, ".code")), howOften(p, e).In(l), e.Words.In(l)})
	}
	table(&b, rows)
	if p.Resource == "Observation" {
		fmt.Fprintf(&b, "\n## %s\n\n", sayCodes.In(l))
		table(&b, m.codeRows(p, l))
		fmt.Fprintf(&b, "\n## %s\n\n", sayComponents.In(l))
		table(&b, componentRows(p, l))
	}
	fmt.Fprintf(&b, "\n%s\n", sayCaution.In(l))
	return b.Bytes()
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

// table writes rows, the first of which is the head.
func table(b *bytes.Buffer, rows [][]string) {
	for i, cells := range rows {
		b.WriteString("|")
		for _, cell := range cells {
			fmt.Fprintf(b, " %s |", strings.ReplaceAll(cell, "|", `\|`))
		}
		b.WriteString("\n")
		if i == 0 {
			b.WriteString(strings.Repeat("|---", len(cells)) + "|\n")
		}
	}
}

// qaPage shows what the reference validator says of the guide: the lines of qa.txt, which
// its run compares with what it finds.
func qaPage() []byte {
	var b bytes.Buffer
	b.WriteString("# What a validator says of the guide\n\n" +
		"The reference validation engine of FHIR (org.hl7.fhir.validation 6.7.9) judged every definition and every\n" +
		"example of this guide, offline and at its strictest. These messages are left, each with the reason why it\n" +
		"may stand; a message that is not listed, and a line that excuses nothing, is red (`make conformance`).\n\n")
	rows := [][]string{{"Message", "Text", "Why it may stand"}}
	for line := range strings.Lines(qaList) {
		if cells := strings.SplitN(strings.TrimSpace(line), " | ", 3); len(cells) == 3 && !strings.HasPrefix(line, "#") {
			rows = append(rows, []string{code(cells[0]), code(cells[1]), cells[2]})
		}
	}
	if len(rows) == 1 {
		b.WriteString("None is left.\n")
		return b.Bytes()
	}
	table(&b, rows)
	return b.Bytes()
}
