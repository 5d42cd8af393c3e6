package audit

import (
	"encoding/xml"
	"errors"
	"io"
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// A narrative is shown as it came, so nothing in it may act, load or hide (txt-1, txt-2).
// Source: FHIR R4 4.0.1, narrative (CC0): basic formatting of chapters 7 to 11 (but section
// 4 of chapter 9, which is of inserted and deleted text, that FHIR's own list has) and 15 of
// HTML 4.0, a with href or name, images, styles inside; no entities but those of XML. Which
// attributes those chapters have: from memory of HTML 4.0.

const xhtmlSpace = "http://www.w3.org/1999/xhtml"

// narrativeElements are those that a narrative may have.
var narrativeElements = setOf("div p br span b i u em strong small big tt sub sup a img ul ol li dl dt dd table caption thead tbody tfoot tr th td col colgroup h1 h2 h3 h4 h5 h6 hr pre blockquote code samp kbd var cite q abbr acronym address bdo dfn ins del")

// anyAttributes are those that any element of a narrative may have.
var anyAttributes = setOf("title style class id lang dir space accesskey tabindex align valign char charoff width height")

// attributesOf are those that some elements may have beside these.
var attributesOf = map[string]map[string]bool{
	"a":          setOf("href name charset type hreflang rel rev"),
	"img":        setOf("src alt longdesc border hspace vspace"),
	"table":      setOf("summary border frame rules cellspacing cellpadding bgcolor"),
	"tr":         setOf("bgcolor"),
	"td":         setOf("abbr axis headers scope rowspan colspan nowrap bgcolor"),
	"th":         setOf("abbr axis headers scope rowspan colspan nowrap bgcolor"),
	"col":        setOf("span"),
	"colgroup":   setOf("span"),
	"ol":         setOf("type start compact"),
	"ul":         setOf("type compact"),
	"li":         setOf("type value"),
	"dl":         setOf("compact"),
	"br":         setOf("clear"),
	"hr":         setOf("size noshade"),
	"blockquote": setOf("cite"),
	"q":          setOf("cite"),
	"ins":        setOf("cite datetime"),
	"del":        setOf("cite datetime"),
	"div":        setOf("xmlns"),
}

func setOf(words string) map[string]bool {
	set := map[string]bool{}
	for _, w := range strings.Fields(words) {
		set[w] = true
	}
	return set
}

// linkSchemes are those that a link may have; without a scheme it leads to a part of the
// document or beside it. Pictures are loaded from the web, from the text itself or from
// what is contained.
var (
	linkSchemes    = strings.Fields("http https mailto tel sms ftp urn")
	pictureSchemes = strings.Fields("http https")
)

// deepestNarrative bounds how deep elements stand in one another.
const deepestNarrative = 64

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
	inner, opened := strings.CutPrefix(text, `<div xmlns="`+xhtmlSpace+`">`)
	inner, closed := strings.CutSuffix(inner, "</div>")
	return opened && closed && !strings.ContainsAny(inner, "<&") && !strings.Contains(inner, "]]>") && strings.TrimSpace(inner) != ""
}

func narrativeFault(text string) finding.Text {
	if entity := namedEntity(text); entity != "" {
		return finding.Say("the narrative holds the entity {1}", finding.Quoted(entity))
	}
	d := xml.NewDecoder(strings.NewReader(text))
	shows, roots := false, 0
	var open openElements
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return "the narrative is not well-formed"
		}
		switch t := token.(type) {
		case xml.StartElement:
			if len(open) == 0 {
				roots++
				if t.Name.Local != "div" || t.Name.Space != xhtmlSpace {
					return "the narrative is not a div of XHTML"
				}
			}
			if len(open) == deepestNarrative {
				return finding.Say("the narrative has more than {1} elements in one another", finding.Number(deepestNarrative))
			}
			shows = shows || t.Name.Local == "img"
			if fault := elementFault(t); fault != "" {
				return fault
			}
			if fault := open.enter(t.Name.Local); fault != "" {
				return fault
			}
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if fault := open.text(string(t)); fault != "" {
				return fault
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

// namedEntity finds an entity that XML does not have itself: no document type comes with
// a narrative, so nobody knows what it stands for.
func namedEntity(text string) string {
	for {
		_, after, found := strings.Cut(text, "&")
		if !found {
			return ""
		}
		name, _, closed := strings.Cut(after, ";")
		if closed && isLetters(name) && !slices.Contains([]string{"amp", "lt", "gt", "quot", "apos"}, name) {
			return "&" + name + ";"
		}
		text = after
	}
}

func isLetters(s string) bool {
	return s != "" && len(s) <= 32 && strings.Trim(s, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789") == "" && (s[0] < '0' || s[0] > '9')
}

func elementFault(t xml.StartElement) finding.Text {
	name := t.Name.Local
	if !narrativeElements[name] || t.Name.Space != xhtmlSpace {
		return finding.Say("the narrative holds an element that FHIR does not allow: {1}", finding.Quoted(name))
	}
	for _, a := range t.Attr {
		if fault := attributeFault(name, a); fault != "" {
			return fault
		}
	}
	return ""
}

func attributeFault(element string, a xml.Attr) finding.Text {
	name, value := a.Name.Local, strings.ToLower(strings.TrimSpace(a.Value))
	allowed := anyAttributes[name] || attributesOf[element][name] || a.Name.Space == "xmlns" || name == "xmlns" && a.Value == xhtmlSpace
	switch {
	case strings.HasPrefix(strings.ToLower(name), "on"), strings.Contains(value, "script:"):
		return "the narrative holds active content"
	case !allowed:
		return finding.Say("the narrative holds an attribute that FHIR does not allow: {1}", finding.Quoted(name))
	case name == "style" && loads(value):
		return "a style of the narrative loads something, or hides what it does"
	case (name == "href" || name == "src") && value == "":
		return finding.Say("an empty address stands in {1}", finding.Quoted(name))
	case name == "href" && !isOf(value, linkSchemes):
		return "a link of the narrative does not lead to a page or an address"
	case name == "src" && !isOf(value, pictureSchemes) && !isPictureData(value):
		return "an image of the narrative is not a picture"
	}
	return ""
}

var blanks = strings.NewReplacer(" ", "", "\t", "", "\n", "", "\r", "", "'", "", `"`, "")

// loads tells whether a style reaches beyond the text and what lies beside it, or is
// written so that nobody sees whether it does.
func loads(style string) bool {
	for _, sign := range []string{"expression(", "@import", "behavior:", "-moz-binding", `\`, "/*"} {
		if strings.Contains(style, sign) {
			return true
		}
	}
	for {
		_, after, found := strings.Cut(style, "url(")
		if !found {
			return false
		}
		address, _, _ := strings.Cut(after, ")")
		if address = blanks.Replace(address); strings.HasPrefix(address, "//") || !isOf(address, nil) && !isPictureData(address) {
			return true
		}
		style = after
	}
}

// isPictureData tells whether an address holds a picture itself; blanks in it are no
// fault, as readers take them out.
func isPictureData(address string) bool {
	kind, ok := strings.CutPrefix(address, "data:")
	return ok && strings.HasPrefix(strings.TrimLeft(kind, " \t\r\n"), "image/")
}

// isOf tells whether an address has no scheme or one of these.
func isOf(address string, schemes []string) bool {
	scheme, _, absolute := strings.Cut(address, ":")
	return !absolute || strings.ContainsAny(scheme, "/?#") || slices.Contains(schemes, scheme)
}
