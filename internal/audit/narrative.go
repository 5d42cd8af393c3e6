package audit

import (
	"encoding/xml"
	"io"
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// narrativeElements are those that FHIR allows in a narrative (txt-1: basic HTML
// formatting of chapters 7 to 11 and 15 of HTML 4.0, links and images).
// Source: FHIR R4 4.0.1, narrative (CC0).
var narrativeElements = strings.Fields("div p br span b i u em strong small big tt sub sup a img ul ol li dl dt dd table caption thead tbody tfoot tr th td col colgroup h1 h2 h3 h4 h5 h6 hr pre blockquote code samp kbd var cite q abbr acronym address bdo dfn ins del")

// narrativeUnsafe: a narrative is one well-formed div of XHTML with text, without
// active content.
func narrativeUnsafe(w *walk, _ string, _, n *source.Node) {
	if n.Kind != source.String || isPlainDiv(n.Text) {
		return
	}
	if found := narrativeFault(n.Text); found != "" {
		w.report("narrative-unsafe", n, found, "", "a narrative is one div of XHTML with text and no active content")
	}
}

// isPlainDiv tells whether a narrative is a div of nothing but text, as most of ours
// are, so that it need not be taken apart.
func isPlainDiv(text string) bool {
	inner, opened := strings.CutPrefix(text, `<div xmlns="http://www.w3.org/1999/xhtml">`)
	inner, closed := strings.CutSuffix(inner, "</div>")
	return opened && closed && !strings.ContainsAny(inner, "<&") && !strings.Contains(inner, "]]>") && strings.TrimSpace(inner) != ""
}

func narrativeFault(text string) finding.Text {
	d := xml.NewDecoder(strings.NewReader(text))
	d.Strict = true
	d.Entity = xml.HTMLEntity
	depth, shows, roots := 0, false, 0
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			return "the narrative is not well-formed"
		}
		switch t := token.(type) {
		case xml.StartElement:
			if depth == 0 {
				roots++
				if t.Name.Local != "div" || t.Name.Space != "http://www.w3.org/1999/xhtml" {
					return "the narrative is not a div of XHTML"
				}
			}
			depth++
			shows = shows || t.Name.Local == "img"
			if fault := elementFault(t); fault != "" {
				return fault
			}
		case xml.EndElement:
			depth--
		case xml.CharData:
			if depth == 0 && strings.TrimSpace(string(t)) != "" {
				return "text stands outside the div"
			}
			shows = shows || strings.TrimSpace(string(t)) != ""
		case xml.Directive, xml.ProcInst:
			return "the narrative holds a directive"
		}
	}
	switch {
	case roots != 1:
		return "the narrative is not one div"
	case !shows:
		return "the narrative shows nothing"
	}
	return ""
}

func elementFault(t xml.StartElement) finding.Text {
	if !slices.Contains(narrativeElements, t.Name.Local) {
		return "the narrative holds an element that FHIR does not allow"
	}
	for _, a := range t.Attr {
		value := strings.ToLower(strings.TrimSpace(a.Value))
		if strings.HasPrefix(strings.ToLower(a.Name.Local), "on") || strings.HasPrefix(value, "javascript:") || strings.HasPrefix(value, "vbscript:") {
			return "the narrative holds active content"
		}
	}
	return ""
}
