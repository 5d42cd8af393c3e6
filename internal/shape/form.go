package shape

import (
	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// form is what kind of value an element has: an object, a resource, or one of the
// primitive types.
type form uint8

const (
	object form = iota + 1
	resource
	base64Binary
	boolean
	canonical
	code
	date
	dateTime
	decimal
	id
	instant
	integer
	markdown
	oid
	positiveInt
	aString
	timeOfDay
	unsignedInt
	uri
	url
	uuid
	xhtml
)

// primitives are the primitive types by their names.
var primitives = map[string]form{
	"base64Binary": base64Binary, "boolean": boolean, "canonical": canonical, "code": code, "date": date, "dateTime": dateTime,
	"decimal": decimal, "id": id, "instant": instant, "integer": integer, "markdown": markdown, "oid": oid, "positiveInt": positiveInt,
	"string": aString, "time": timeOfDay, "unsignedInt": unsignedInt, "uri": uri, "url": url, "uuid": uuid, "xhtml": xhtml,
}

// kind gives the kind of node that a form is written as.
func (f form) kind() source.Kind {
	switch f {
	case object, resource:
		return source.Object
	case boolean:
		return source.Bool
	case decimal, integer, positiveInt, unsignedInt:
		return source.Number
	}
	return source.String
}

// wanted says what a form is written as.
func (f form) wanted() finding.Text {
	switch f {
	case object:
		return "an object"
	case resource:
		return "a resource"
	case boolean:
		return "true or false"
	case decimal:
		return "a number"
	case integer, positiveInt, unsignedInt:
		return "a whole number in digits alone"
	}
	return "text"
}

// fault is what is wrong with a primitive value.
type fault struct {
	rule    string
	allowed finding.Text
}

// judge holds the text of a value of the right kind against its form; ok where all is
// right. Numbers are those of JSON, whose size internal/source bounds.
func (f form) judge(s string) (what fault, ok bool) {
	switch f {
	case boolean, decimal:
		return fault{}, true
	case integer, positiveInt, unsignedInt:
		return f.judgeWhole(s)
	}
	if s == "" {
		return fault{rule: "schema-empty"}, false
	}
	switch f {
	case aString, markdown:
		return judgeString(s)
	case xhtml:
		if !hasControl(s) {
			return fault{}, true
		}
		return controlFault, false
	}
	if f.matches(s) {
		return fault{}, true
	}
	if hasControl(s) {
		return controlFault, false
	}
	return fault{f.rule(), formWords[f]}, false
}

// rule is the one that a text of the wrong form breaks.
func (f form) rule() string {
	switch f {
	case date, dateTime, instant, timeOfDay:
		return "time-not-real"
	}
	return "schema-pattern"
}

const addressWords = finding.Text("an address without white space is wanted; behind urn:oid: an object identifier, behind urn:uuid: a UUID in small letters")

// formWords say what a form allows.
var formWords = map[form]finding.Text{
	base64Binary: "base64 in groups of four characters is wanted",
	canonical:    addressWords,
	code:         "a code is wanted: no white space at its ends, one space at a time inside",
	date:         "a date of the calendar is wanted, such as 2031-05-03",
	dateTime:     "a date of the calendar is wanted, or a time with seconds and offset, such as 2031-05-03T14:30:00+02:00",
	id:           "1 to 64 letters, digits, hyphens or full stops are wanted",
	instant:      "a time with seconds and offset is wanted, such as 2031-05-03T14:30:00+02:00",
	oid:          "an object identifier is wanted, for example urn:oid:2.25.1",
	timeOfDay:    "a time of day with seconds is wanted, for example 14:30:00",
	uri:          addressWords,
	url:          addressWords,
	uuid:         "urn:uuid: and a UUID in small letters are wanted",
}

// matches tells whether a text has the form. Source: FHIR R4 4.0.1, data types, the
// regular expressions of the primitive types.
func (f form) matches(s string) bool {
	switch f {
	case base64Binary:
		return isBase64(s)
	case canonical, uri, url:
		return isAddress(s)
	case code:
		return isCode(s)
	case date:
		return IsDate(s)
	case dateTime:
		return IsDateTime(s)
	case id:
		return isID(s)
	case instant:
		return IsInstant(s)
	case oid:
		return isOID(s)
	case timeOfDay:
		return isTimeOfDay(s)
	case uuid:
		return isUUID(s)
	}
	return true
}
