package schema

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math/big"
	"regexp"
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// scene is where a fault happened: a document, the pointer of what was judged,
// the path below it, and the schema that start gives for what was judged.
type scene struct {
	doc     *source.Document
	base    string
	path    []string
	outline *outline
	start   any
}

func (s scene) pointer() string        { return join(s.base, s.path) }
func (s scene) node() *source.Node     { return s.doc.Find(s.pointer()) }
func (s scene) name() string           { return pathWords(s.pointer()) }
func (s scene) place() finding.Place   { return s.doc.Locate(s.pointer()) }
func (s scene) here() []map[string]any { return s.outline.at(s.start, s.path) }

// memberPlace is where the name of a member of the object at s stands.
func (s scene) memberPlace(name string) finding.Place {
	pointer := s.pointer() + source.Pointer(name)
	if n := s.node(); n != nil {
		for _, m := range n.Members {
			if m.Name == name {
				return s.doc.At(m.Offset, pointer)
			}
		}
	}
	return s.doc.Locate(pointer)
}

// finding says a fault in our words.
func (f fault) finding(s scene) finding.Finding {
	if say, ok := sentences[f.kind]; ok {
		return say(f, s)
	}
	return finding.New("schema-other", s.place(), s.name()+" does not have the form that is wanted here", "", "")
}

// sentences has a row for each type of error that the library makes, as its
// version 1.2.0 names them, but for those of keywords that are refused.
var sentences = map[string]func(fault, scene) finding.Finding{
	"invalid_type":                    wrongKind,
	"required":                        missing,
	"missing_dependency":              missingBeside,
	"additional_property_not_allowed": unknownMember,
	"false":                           nothingAllowed,
	"array_no_additional_items":       tooManyKinds,
	"enum":                            notListed,
	"const":                           notListed,
	"pattern":                         wrongForm,
	"string_gte":                      least("schema-length", "character", "characters"),
	"string_lte":                      most("schema-length", "character", "characters"),
	"array_min_items":                 least("schema-count", "item", "items"),
	"array_max_items":                 most("schema-count", "item", "items"),
	"array_min_properties":            least("schema-count", "member", "members"),
	"array_max_properties":            most("schema-count", "member", "members"),
	"unique":                          repeated,
	"number_gte":                      outside("at least ", "min"),
	"number_gt":                       outside("more than ", "min"),
	"number_lte":                      outside("at most ", "max"),
	"number_lt":                       outside("less than ", "max"),
	"multiple_of":                     outside("a multiple of ", "multiple"),
	"number_any_of":                   noForm,
	"number_one_of":                   noForm,
	"number_all_of":                   noForm,
	"number_not":                      noForm,
	"condition_then":                  noForm,
	"condition_else":                  noForm,
}

// kindWords says a JSON type as something wanted; kindFound as something found.
var (
	kindWords = map[string]string{
		"string": "text", "number": "a number", "integer": "a whole number in digits alone",
		"boolean": "true or false", "object": "an object", "array": "a list", "null": "null",
	}
	kindFound = map[source.Kind]string{
		source.String: " is the text {}", source.Number: " is the number {}", source.Bool: " is {}",
		source.Object: " is an object", source.Array: " is a list", source.Null: " is null",
	}
)

// found says what stands at the scene, with its value where it is a single one.
func (s scene) found() (sentence, value string) {
	n := s.node()
	if n == nil {
		return s.name() + " is not as wanted", ""
	}
	return s.name() + kindFound[n.Kind], n.Text
}

func wrongKind(f fault, s scene) finding.Finding {
	wanted := strings.Split(strings.Trim(text(f.details["expected"]), "[]"), ",")
	for _, kind := range kinds(s.here()) {
		if !slices.Contains(wanted, kind) {
			wanted = append(wanted, kind) // of another alternative
		}
	}
	wanted = slices.DeleteFunc(wanted, func(kind string) bool { return kind == "null" })
	if given := text(f.details["given"]); slices.Contains(wanted, given) {
		return noForm(f, s)
	}
	words := make([]string, len(wanted))
	for i, kind := range wanted {
		words[i] = cmp.Or(kindWords[kind], kind)
	}
	sentence, value := s.found()
	allowed := strings.Join(words, " or ") + " is wanted"
	if n := s.node(); n != nil && n.Kind == source.Null {
		return finding.New("schema-null", s.place(), sentence, "", allowed+", or leave it out")
	}
	return finding.New("schema-type", s.place(), sentence, value, allowed).Hide()
}

func missing(f fault, s scene) finding.Finding {
	return finding.New("schema-required", s.place(), s.name()+" has no {}", text(f.details["property"]), "it must be given")
}

func missingBeside(f fault, s scene) finding.Finding {
	return finding.New("schema-required", s.place(), s.name()+" has no {}", text(f.details["dependency"]),
		"another member given here asks for it")
}

func unknownMember(f fault, s scene) finding.Finding {
	name := text(f.details["property"])
	known := names(s.here())
	if !strings.HasPrefix(name, "_") {
		known = slices.DeleteFunc(known, func(k string) bool { return strings.HasPrefix(k, "_") })
	}
	return finding.New("schema-unknown-element", s.memberPlace(name), s.name()+" has a member {} that is not known here", name,
		suggestion(name, known))
}

// suggestion names the nearest known name or, where none is near, all of them.
func suggestion(name string, known []string) string {
	if len(known) == 0 {
		return "no member is known here"
	}
	if near, ok := source.Nearest(name, known); ok {
		return "did you mean " + finding.Quote(near) + "?"
	}
	return "known are " + listWords(known)
}

func nothingAllowed(_ fault, s scene) finding.Finding {
	return finding.New("schema-unknown-element", s.place(), s.name()+" may not be given here", "", "")
}

func tooManyKinds(_ fault, s scene) finding.Finding {
	return finding.New("schema-count", s.place(), s.name()+" has more items than are known here", "", "")
}

func notListed(f fault, s scene) finding.Finding {
	var list []json.RawMessage
	_ = json.Unmarshal([]byte("["+text(f.details["allowed"])+"]"), &list)
	allowed := make([]string, len(list))
	for i, v := range list {
		if json.Unmarshal(v, &allowed[i]) != nil || allowed[i] == "" {
			allowed[i] = string(v) // no text: as JSON writes it
		}
	}
	return s.notOneOf(allowed)
}

func (s scene) notOneOf(allowed []string) finding.Finding {
	sentence, value := s.found()
	says := "one of " + listWords(allowed) + " is wanted"
	if len(allowed) == 1 {
		says = finding.Quote(allowed[0]) + " is wanted"
	} else if near, ok := source.Nearest(value, allowed); ok {
		says += "; the nearest is " + finding.Quote(near)
	}
	return finding.New("schema-enum", s.place(), sentence, value, says).Hide()
}

func wrongForm(f fault, s scene) finding.Finding {
	pattern := ""
	if p, ok := f.details["pattern"].(*regexp.Regexp); ok {
		pattern = p.String()
	}
	if words, ok := s.outline.lists[pattern]; ok {
		return s.notOneOf(words)
	}
	if n := s.node(); n != nil && n.Text == "" {
		return s.empty()
	}
	sentence, value := s.found()
	says := cmp.Or(s.outline.words[pattern], "it must match the pattern "+pattern)
	return finding.New("schema-pattern", s.place(), sentence, value, says).Hide()
}

func (s scene) empty() finding.Finding {
	return finding.New("schema-empty", s.place(), s.name()+" is empty", "", "leave it out or fill it in")
}

// least is for a lower bound of a count; an empty value is said to be empty.
func least(rule, one, many string) func(fault, scene) finding.Finding {
	return func(f fault, s scene) finding.Finding {
		if n := s.node(); n != nil && n.Text == "" && len(n.Items) == 0 && len(n.Members) == 0 {
			return s.empty()
		}
		return s.counted(rule, fmt.Sprint("at least ", count(f.details["min"], one, many)))
	}
}

func most(rule, one, many string) func(fault, scene) finding.Finding {
	return func(f fault, s scene) finding.Finding {
		return s.counted(rule, fmt.Sprint("at most ", count(f.details["max"], one, many)))
	}
}

func (s scene) counted(rule, bound string) finding.Finding {
	sentence, value := s.found()
	return finding.New(rule, s.place(), sentence, value, bound+" wanted").Hide()
}

func count(n any, one, many string) string {
	if n == 1 {
		return "1 " + one + " is"
	}
	return fmt.Sprint(n, " ", many, " are")
}

func repeated(f fault, s scene) finding.Finding {
	return finding.New("schema-unique", s.place(),
		fmt.Sprintf("%s holds the same item at %v and %v", s.name(), f.details["i"], f.details["j"]), "", "each item may stand once")
}

// outside is for a number beyond a bound, which the library holds as a fraction
// made a float of 64 bits or more: 15 digits of it are those of the schema.
func outside(words, key string) func(fault, scene) finding.Finding {
	return func(f fault, s scene) finding.Finding {
		bound := ""
		if b, ok := f.details[key].(*big.Float); ok {
			bound = b.Text('g', 15)
		}
		sentence, value := s.found()
		return finding.New("schema-range", s.place(), sentence, value, words+bound+" is wanted").Hide()
	}
}

func noForm(_ fault, s scene) finding.Finding {
	sentence, value := s.found()
	return finding.New("schema-alternatives", s.place(), sentence, value, "it fits none, or more than one, of the forms that are known here").Hide()
}

// listWords gives up to twelve words of a list, quoted.
func listWords(words []string) string {
	const most = 12
	quoted := make([]string, 0, most)
	for _, w := range words[:min(len(words), most)] {
		quoted = append(quoted, finding.Quote(w))
	}
	s := strings.Join(quoted, ", ")
	if len(words) > most {
		s += fmt.Sprintf(" and %d more", len(words)-most)
	}
	return s
}
