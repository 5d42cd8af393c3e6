package audit

import (
	"encoding/base64"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"unicode"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/mapping"
)

// pictureElements are those that draw and say something, and do nothing.
var pictureElements = strings.Fields("svg title desc g defs rect path line polyline polygon circle ellipse text tspan")

// drawing is what a picture of a report says of itself.
type drawing struct {
	description string
	fault       finding.Text
}

// pictures calls f for each picture among the forms of a report.
func (c *check) pictures(r *resource, f func(data *source.Node, at string, d drawing)) {
	forms := r.node.Get("presentedForm")
	for i, form := range r4.Items(r.node, "presentedForm") {
		data := form.Get("data")
		if r4.Text(form, "contentType") != mapping.PictureType || data == nil {
			continue
		}
		svg, err := base64.StdEncoding.DecodeString(data.Text)
		d := drawing{fault: "the picture is not base64"}
		if err == nil {
			d = readDrawing(string(svg))
		}
		f(forms.Items[i].Get("data"), r.at(source.Pointer("presentedForm", i, "data")), d)
	}
}

// pictureUnsafe: a picture of a report is SVG that draws and does nothing else.
func pictureUnsafe(c *check, r *resource) {
	c.pictures(r, func(data *source.Node, at string, d drawing) {
		if d.fault != "" {
			c.say("picture-unsafe", data, at, d.fault, "", "a picture is one svg element with lines and text, without active content and without anything from outside")
		}
	})
}

// pictureDiffers: a picture of a report of ours says what the report says.
func pictureDiffers(c *check, r *resource) {
	if !r.ours {
		return
	}
	conclusion := letters(r4.Text(r.node, "conclusion"))
	c.pictures(r, func(data *source.Node, at string, d drawing) {
		if d.fault == "" && !strings.Contains(d.description, conclusion) {
			c.say("picture-differs", data, at, "the picture does not say the conclusion of the report", "", "the forms of a report have the same content")
		}
	})
}

// letters gives what can be seen of a text, without spaces: a picture may break lines, and
// has a sign for what cannot be shown.
func letters(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || !unicode.IsPrint(r) || r == unicode.ReplacementChar {
			return -1
		}
		return r
	}, text)
}

// readDrawing reads an SVG document.
func readDrawing(text string) drawing {
	d := xml.NewDecoder(strings.NewReader(text))
	var description strings.Builder
	depth, roots, in := 0, 0, ""
	for {
		token, err := d.Token()
		switch {
		case errors.Is(err, io.EOF) && roots == 1:
			return drawing{description: letters(description.String())}
		case err != nil:
			return drawing{fault: "the picture is not one well-formed svg element"}
		}
		switch t := token.(type) {
		case xml.StartElement:
			if depth == 0 {
				roots++
			}
			if depth == 0 && t.Name.Local != "svg" {
				return drawing{fault: "the picture is not one well-formed svg element"}
			}
			if fault := drawnFault(t); fault != "" {
				return drawing{fault: fault}
			}
			depth, in = depth+1, t.Name.Local
		case xml.EndElement:
			depth, in = depth-1, ""
		case xml.CharData:
			if in == "desc" {
				description.Write(t)
			}
		case xml.Directive, xml.ProcInst:
			return drawing{fault: "the picture holds a directive"}
		}
	}
}

func drawnFault(t xml.StartElement) finding.Text {
	known := false
	for _, name := range pictureElements {
		known = known || name == t.Name.Local
	}
	if !known || t.Name.Space != "http://www.w3.org/2000/svg" {
		return finding.Say("the picture holds an element {1}", finding.Quoted(t.Name.Local))
	}
	for _, a := range t.Attr {
		name, value := strings.ToLower(a.Name.Local), strings.ToLower(a.Value)
		if strings.HasPrefix(name, "on") || name == "href" || name == "style" || strings.Contains(value, "url(") || strings.Contains(value, "script:") {
			return finding.Say("the picture holds an attribute {1}", finding.Quoted(a.Name.Local))
		}
	}
	return ""
}
