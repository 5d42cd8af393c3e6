package audit

import (
	"slices"
	"strings"

	"saltmark/internal/finding"
)

// Which elements of a narrative stand in which. Source: HTML 4.0, chapters 7 to 11 (lists,
// tables, text), as XHTML: from memory. FHIR R4, narrative, refers to these chapters.

// openElements are the elements that a place in a narrative is inside of.
type openElements []string

// childrenOf are the elements that lists and tables are made of; text stands inside these
// alone. What has none at all is always empty.
var childrenOf = map[string]map[string]bool{
	"ul": setOf("li"), "ol": setOf("li"), "dl": setOf("dt dd"),
	"table": setOf("caption col colgroup thead tfoot tbody tr"), "thead": setOf("tr"), "tfoot": setOf("tr"), "tbody": setOf("tr"), "tr": setOf("td th"),
	"colgroup": setOf("col"), "br": {}, "hr": {}, "img": {}, "col": {},
}

// placesOf are the elements that these stand in, and in no other.
var placesOf = map[string]map[string]bool{
	"li": setOf("ul ol"), "dt": setOf("dl"), "dd": setOf("dl"),
	"caption": setOf("table"), "col": setOf("table colgroup"), "colgroup": setOf("table"),
	"thead": setOf("table"), "tfoot": setOf("table"), "tbody": setOf("table"), "tr": setOf("table thead tfoot tbody"),
	"td": setOf("tr"), "th": setOf("tr"),
}

// lines are elements with text and what stands in a line of it. Those that are made of
// lists, tables and divisions do not; a paragraph has nothing that begins a new line. Of
// other lines, readers of HTML let a paragraph or a heading pass.
var (
	lines      = setOf("p h1 h2 h3 h4 h5 h6 pre span b i em strong small big tt sub sup a code samp kbd var cite q abbr acronym address caption dt")
	structures = setOf("div table ul ol dl")
	blocks     = setOf("p hr pre blockquote address h1 h2 h3 h4 h5 h6")
)

// enter goes into an element, and tells what is wrong with its place.
func (open *openElements) enter(name string) finding.Text {
	around := *open
	*open = append(around, name)
	if len(around) == 0 {
		return ""
	}
	in := around[len(around)-1]
	children, strict := childrenOf[in]
	places, bound := placesOf[name]
	if strict && !children[name] || bound && !places[in] || lines[in] && structures[name] || in == "p" && blocks[name] || name == "a" && slices.Contains(around, "a") {
		return finding.Say("in the narrative {1} stands in {2}", finding.Quoted(name), finding.Quoted(in))
	}
	return ""
}

// text tells what is wrong with the place of a text.
func (open openElements) text(s string) finding.Text {
	if strings.TrimSpace(s) == "" {
		return ""
	}
	if len(open) == 0 {
		return "text stands outside the div"
	}
	in := open[len(open)-1]
	if _, strict := childrenOf[in]; strict {
		return finding.Say("in the narrative text stands in {1}", finding.Quoted(in))
	}
	return ""
}
