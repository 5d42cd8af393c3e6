package main

// primitive is one data type that is not an object.
type primitive struct {
	name string
	// officialType and officialPattern are what the official file must say; a
	// file that says something else is refused. An inlined type ("inline") has no
	// definition of its own there and is known by its pattern.
	officialType, officialPattern string
	inline                        bool
	// ours is what the cut says instead.
	ours shape
}

const (
	anyText = `^[ \r\n\t\S]+$`
	noSpace = `^\S*$`
	day     = `([0-9]([0-9]([0-9][1-9]|[1-9]0)|[1-9]00)|[1-9]000)`
	month   = `(0[1-9]|1[0-2])`
	inMonth = `(0[1-9]|[1-2][0-9]|3[0-1])`
	clock   = `([01][0-9]|2[0-3]):[0-5][0-9]:([0-5][0-9]|60)(\.[0-9]+)?`
	zone    = `(Z|(\+|-)((0[0-9]|1[0-3]):[0-5][0-9]|14:00))`

	datePattern     = `^` + day + `(-` + month + `(-` + inMonth + `)?)?$`
	dateTimePattern = `^` + day + `(-` + month + `(-` + inMonth + `(T` + clock + zone + `)?)?)?$`
	instantPattern  = `^` + day + `-` + month + `-` + inMonth + `T` + clock + zone + `$`
	timePattern     = `^` + clock + `$`
	codePattern     = `^[^\s]+(\s[^\s]+)*$`
	idPattern       = `^[A-Za-z0-9\-\.]{1,64}$`
	oidPattern      = `^urn:oid:[0-2](\.(0|[1-9][0-9]*))+$`
	uuidPattern     = `^urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$`
	base64Pattern   = `^(\s*([0-9a-zA-Z\+/=]){4}\s*)+$`
)

// primitives has a row for each primitive type of the official file that a
// resource of ours can hold. Numbers lose their patterns, which JSON Schema
// applies to text alone, and get a type that says the same. Text that a pattern
// accepts whatever it holds is asked to hold something.
var primitives = []primitive{
	{"base64Binary", "string", "", false, text("")},
	{"extensionBase64Binary", "string", base64Pattern, true, form(base64Pattern, "base64 in groups of four characters is wanted")},
	{"boolean", "boolean", `^true|false$`, false, shape{Type: "boolean"}},
	{"canonical", "string", noSpace, false, address},
	{"code", "string", codePattern, false, form(codePattern, "a code is wanted: no white space at its ends, one at a time inside")},
	{"date", "string", datePattern, false, form(datePattern, "a date is wanted: YYYY, YYYY-MM or YYYY-MM-DD")},
	{"dateTime", "string", dateTimePattern, false, form(dateTimePattern, "a date is wanted, or a date and a time with seconds and offset, for example 2031-04-02T14:30:00+02:00")},
	{"decimal", "number", `^-?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][+-]?[0-9]+)?$`, false, shape{Type: "number"}},
	{"id", "string", idPattern, false, form(idPattern, "1 to 64 letters, digits, hyphens or full stops are wanted")},
	{"instant", "string", instantPattern, false, form(instantPattern, "a date and a time with seconds and offset are wanted, for example 2031-04-02T14:30:00+02:00")},
	{"integer", "number", `^-?([0]|([1-9][0-9]*))$`, false, shape{Type: "integer"}},
	{"markdown", "string", anyText, false, text("")},
	{"oid", "string", oidPattern, true, form(oidPattern, "an object identifier is wanted, for example urn:oid:2.25.1")},
	{"positiveInt", "number", `^[1-9][0-9]*$`, false, shape{Type: "integer", Minimum: bound(1)}},
	{"string", "string", anyText, false, text("")},
	{"time", "string", timePattern, false, form(timePattern, "a time of day with seconds is wanted, for example 14:30:00")},
	{"unsignedInt", "number", `^[0]|([1-9][0-9]*)$`, false, shape{Type: "integer", Minimum: bound(0)}},
	{"uri", "string", noSpace, false, address},
	{"url", "string", noSpace, false, address},
	{"uuid", "string", uuidPattern, true, form(uuidPattern, "urn:uuid: and a UUID in small letters are wanted")},
	{"xhtml", "", "", false, text("a div of XHTML is wanted")},
}

var address = form(`^\S+$`, "an address without white space is wanted")

func text(says string) shape { return shape{Type: "string", MinLength: 1, Description: says} }

func form(pattern, says string) shape {
	return shape{Type: "string", Pattern: pattern, Description: says}
}

func bound(n int) *int { return &n }

// primitiveNamed finds the row of a definition of the official file.
func primitiveNamed(name string) (primitive, bool) {
	for _, p := range primitives {
		if p.name == name && !p.inline {
			return p, true
		}
	}
	return primitive{}, false
}

// primitiveLike finds the row that an inlined type and pattern mean. Where
// several say the same (string and markdown, uri and url) they also say the same
// in the cut, and the later, which is the more general, is taken.
func primitiveLike(kind, pattern string) (primitive, bool) {
	var found primitive
	for _, p := range primitives {
		if p.officialType == kind && p.officialPattern == pattern {
			found = p
		}
	}
	return found, found.name != ""
}
