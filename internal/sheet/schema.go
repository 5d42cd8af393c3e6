package sheet

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"sync"

	"saltmark/internal/schema"
	"saltmark/mapping/measure"
)

//go:generate go test -run TestThePublishedSchemaIsCurrent -update .

// theWall judges the shape of a sheet.
var theWall = sync.OnceValue(func() *schema.Schema {
	return schema.Lazy("session sheet", Schema)
})

// Patterns of the published schema. They give the shape of a text; what it means
// is judged when it is read.
const (
	quantityPattern = `^-?(0|[1-9][0-9]*)(\.[0-9]+)? [!-~]+$`
	reportedPattern = `^(not-shown|((below|above) )?-?(0|[1-9][0-9]*)(\.[0-9]+)? [!-~]+)$`
	dayShape        = `^[0-9]{4}-[0-9]{2}-[0-9]{2}$`
	momentShape     = `^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,9})?)?(Z|[+-][0-9]{2}:[0-9]{2})?$`
	clockShape      = `^([0-9]{4}-[0-9]{2}-[0-9]{2}T)?[0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,9})?)?(Z|[+-][0-9]{2}:[0-9]{2})?$`
	momentOrDayForm = `^[0-9]{4}-[0-9]{2}-[0-9]{2}(T[0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,9})?)?(Z|[+-][0-9]{2}:[0-9]{2})?)?$`
	visiblePattern  = `^\S{1,64}$`
)

// Schema gives the JSON Schema (draft-07) of the session sheet, made of the same
// form as the reader. It refers to nothing outside itself.
func Schema() []byte {
	root := schemaOf(theForm())
	head := members{
		{"$schema", "http://json-schema.org/draft-07/schema#"},
		{"title", "saltmark session sheet"},
		{"description", "One bedside measurement session, as a person writes it down. Version " + fmt.Sprint(Version) + "; earlier ones are read."},
	}
	var b bytes.Buffer
	encoder := json.NewEncoder(&b)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", " ")
	if err := encoder.Encode(append(head, root...)); err != nil {
		panic("the schema of the sheet is made of texts alone: " + err.Error())
	}
	return b.Bytes()
}

// members is an object whose members keep their order.
type members []property

type property struct {
	name  string
	value any
}

// MarshalJSON writes the members in order.
func (m members) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	for i, x := range m {
		value, err := json.Marshal(x.value)
		if err != nil {
			return nil, err
		}
		b.WriteString(map[bool]string{true: "{", false: ","}[i == 0])
		fmt.Fprintf(&b, "%q:%s", x.name, value)
	}
	if len(m) == 0 {
		b.WriteByte('{')
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

func schemaOf(sp *spot) members {
	switch sp.shape {
	case isList:
		element := *sp
		element.shape = isObject
		return members{{"type", "array"}, {"minItems", 1}, {"items", schemaOf(&element)}}
	case isObject:
		return objectSchema(sp)
	}
	return singleSchema(sp)
}

// objectSchema describes an object and, in the same schema, the single value that
// may stand for it: keywords speak of the kinds they are for.
func objectSchema(sp *spot) members {
	var m members
	switch {
	case sp.level:
		m = members{{"type", []string{"string", "object"}}, {"pattern", oneOf(levelWordList())}}
	case sp.short != "":
		for _, x := range singleSchema(sp.member(sp.short)) {
			switch x.name {
			case "type":
				x.value = append(kinds(x.value), "object")
			case "enum": // would speak of the object too
				x = property{"pattern", oneOf(x.value.([]string))}
			}
			m = append(m, x)
		}
	default:
		m = members{{"type", "object"}}
	}
	var properties members
	for _, member := range sp.members {
		properties = append(properties, property{member.name, schemaOf(member)})
	}
	m = append(m, members{{"additionalProperties", false}, {"minProperties", 1}}...)
	if len(sp.needs) > 0 {
		m = append(m, members{{"required", sp.needs}}...)
	}
	return append(m, members{{"properties", properties}}...)
}

func oneOf(words []string) string { return "^(" + strings.Join(words, "|") + ")$" }

func kinds(v any) []string {
	if one, ok := v.(string); ok {
		return []string{one}
	}
	return append([]string(nil), v.([]string)...)
}

// textOrNumber: what a person writes may look like a number.
var textOrNumber = []string{"string", "number"}

func singleSchema(sp *spot) members {
	return append(members{{"description", sp.sentence}}, valueSchema(sp)...)
}

func valueSchema(sp *spot) members {
	switch sp.form {
	case asQuantity:
		return patterned(quantityPattern)
	case asReported:
		return patterned(reportedPattern)
	case asCode:
		if slices.ContainsFunc(sp.words, isDigits) {
			return members{{"type", textOrNumber}, {"pattern", oneOf(sp.words)}}
		}
		return members{{"type", "string"}, {"enum", sp.words}}
	case asYesNo:
		return members{{"type", "string"}, {"enum", []string{"yes", "no"}}}
	case asMoment:
		if sp.dayTime {
			return patterned(clockShape)
		}
		return patterned(momentShape)
	case asMomentOrDay:
		return patterned(momentOrDayForm)
	case asDay:
		return patterned(dayShape)
	case asWhole:
		return members{{"type", "integer"}, {"minimum", 1}, {"maximum", greatest}}
	case asVersion:
		return members{{"type", "integer"}, {"enum", versions}}
	case asText:
		return members{{"type", textOrNumber}, {"minLength", 1}, {"maxLength", longestText}}
	case asIdentifier:
		return members{{"type", textOrNumber}, {"pattern", visiblePattern}}
	case asURI, asFile:
		return patterned(shapes[sp.form].pattern.String())
	case asReference:
		return patterned("^" + sp.words[0] + "/[A-Za-z0-9.-]{1,64}$")
	}
	return members{{"type", textOrNumber}, {"pattern", shapes[sp.form].pattern.String()}}
}

func patterned(pattern string) members {
	return members{{"type", "string"}, {"pattern", pattern}}
}

// sentenceFor says what is wanted at a spot.
func sentenceFor(sp *spot) string {
	var words string
	if sp.row != nil {
		words = sp.row.WordsFor("", measure.English) + ": "
	}
	switch sp.form {
	case asQuantity:
		words += "a number, one space and the unit " + sp.row.Unit
	case asReported:
		words += "a number, one space and the unit " + sp.row.Unit + "; or not-shown; or below or above and the end of the monitor's range"
	case asMoment, asMomentOrDay, asDay:
		words += formWanted(sp).String()
	case asWhole:
		words += fmt.Sprintf("a whole number from 1 to %d", greatest)
	case asVersion:
		words += "the version of this format"
	case asCode, asYesNo:
		words += "one of the words listed"
	case asText:
		words += fmt.Sprintf("readable text of at most %d characters", longestText)
	case asReference:
		words += "a literal reference: " + sp.words[0] + "/ and an identifier"
	default:
		words += shapes[sp.form].sentence.String()
	}
	if sp.role == obtainedOf {
		words = "how the value was obtained: " + words
	}
	return words
}
