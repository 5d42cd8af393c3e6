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
func (s scene) name() finding.Text     { return source.PathWords(s.pointer()) }
func (s scene) place() finding.Place   { return s.doc.Locate(s.pointer()) }
func (s scene) here() []map[string]any { return s.outline.at(s.start, s.path) }

// required tells whether the object around the scene must have this member, at least in
// one of its alternatives.
func (s scene) required() bool {
	if len(s.path) == 0 {
		return false
	}
	last := len(s.path) - 1
	return slices.ContainsFunc(s.outline.at(s.start, s.path[:last]), func(around map[string]any) bool {
		list, _ := around["required"].([]any)
		return slices.Contains(list, any(s.path[last]))
	})
}

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
	return finding.New("schema-other", s.place(), finding.Say("{1} does not have the form that is wanted here", s.name()), "", "")
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
	"string_gte":                      least("schema-length", "at least 1 character is wanted", "at least {1} characters are wanted"),
	"string_lte":                      most("schema-length", "at most 1 character is wanted", "at most {1} characters are wanted"),
	"array_min_items":                 least("schema-count", "at least 1 item is wanted", "at least {1} items are wanted"),
	"array_max_items":                 most("schema-count", "at most 1 item is wanted", "at most {1} items are wanted"),
	"array_min_properties":            least("schema-count", "at least 1 member is wanted", "at least {1} members are wanted"),
	"array_max_properties":            most("schema-count", "at most 1 member is wanted", "at most {1} members are wanted"),
	"unique":                          repeated,
	"number_gte":                      outside("at least {1} is wanted", "min"),
	"number_gt":                       outside("more than {1} is wanted", "min"),
	"number_lte":                      outside("at most {1} is wanted", "max"),
	"number_lt":                       outside("less than {1} is wanted", "max"),
	"multiple_of":                     outside("a multiple of {1} is wanted", "multiple"),
	"number_any_of":                   noForm,
	"number_one_of":                   noForm,
	"number_all_of":                   noForm,
	"number_not":                      noForm,
	"condition_then":                  noForm,
	"condition_else":                  noForm,
}

// kindWords says a JSON type as something wanted.
var kindWords = map[string]finding.Text{
	"string": "text", "number": "a number", "integer": "a whole number in digits alone",
	"boolean": "true or false", "object": "an object", "array": "a list", "null": "null",
}

// found says what stands at the scene, with its value where it is a single one.
func (s scene) found() (sentence finding.Text, value string) {
	n := s.node()
	if n == nil {
		return finding.Say("{1} is not as wanted", s.name()), ""
	}
	return n.Kind.Stands(s.name()), n.Text
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
	words := make([]finding.Text, len(wanted))
	for i, kind := range wanted {
		words[i] = cmp.Or(kindWords[kind], finding.Data(kind))
	}
	sentence, value := s.found()
	allowed := finding.Say("{1} is wanted", finding.Or(words...))
	if n := s.node(); n != nil && n.Kind == source.Null {
		if !s.required() {
			allowed = finding.Say("{1}, or leave it out", allowed)
		}
		return finding.New("schema-null", s.place(), sentence, "", allowed)
	}
	return finding.New("schema-type", s.place(), sentence, value, allowed).Hide()
}

func missing(f fault, s scene) finding.Finding {
	return finding.New("schema-required", s.place(), finding.Say("{1} has no {}", s.name()), text(f.details["property"]), "it must be given")
}

func missingBeside(f fault, s scene) finding.Finding {
	return finding.New("schema-required", s.place(), finding.Say("{1} has no {}", s.name()), text(f.details["dependency"]),
		"another member given here asks for it")
}

func unknownMember(f fault, s scene) finding.Finding {
	name := text(f.details["property"])
	known := names(s.here())
	if !strings.HasPrefix(name, "_") {
		known = slices.DeleteFunc(known, func(k string) bool { return strings.HasPrefix(k, "_") })
	}
	return finding.New("schema-unknown-element", s.memberPlace(name), finding.Say("{1} has a member {} that is not known here", s.name()), name,
		source.Suggest(name, known))
}

func nothingAllowed(_ fault, s scene) finding.Finding {
	return finding.New("schema-unknown-element", s.place(), finding.Say("{1} may not be given here", s.name()), "", "")
}

func tooManyKinds(_ fault, s scene) finding.Finding {
	return finding.New("schema-count", s.place(), finding.Say("{1} has more items than are known here", s.name()), "", "")
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
	says := finding.Say("one of {1} is wanted", source.ListWords(allowed))
	if len(allowed) == 1 {
		says = finding.Say("{1} is wanted", finding.Quoted(allowed[0]))
	} else if near, ok := source.Nearest(value, allowed); ok {
		says = finding.Say("{1}; the nearest is {2}", says, finding.Quoted(near))
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
	says := cmp.Or(finding.Template(s.outline.words[pattern]), finding.Say("it must match the pattern {1}", finding.Data(pattern)))
	return finding.New("schema-pattern", s.place(), sentence, value, says).Hide()
}

func (s scene) empty() finding.Finding {
	var allowed finding.Text = "leave it out or fill it in"
	if s.required() {
		allowed = "it must be filled in"
	}
	return finding.New("schema-empty", s.place(), finding.Say("{1} is empty", s.name()), "", allowed)
}

// least is for a lower bound of a count; an empty value is said to be empty.
func least(rule string, one, many finding.Text) func(fault, scene) finding.Finding {
	return func(f fault, s scene) finding.Finding {
		if n := s.node(); n != nil && n.Text == "" && len(n.Items) == 0 && len(n.Members) == 0 {
			return s.empty()
		}
		return s.counted(rule, count(f.details["min"], one, many))
	}
}

func most(rule string, one, many finding.Text) func(fault, scene) finding.Finding {
	return func(f fault, s scene) finding.Finding {
		return s.counted(rule, count(f.details["max"], one, many))
	}
}

func (s scene) counted(rule string, bound finding.Text) finding.Finding {
	sentence, value := s.found()
	return finding.New(rule, s.place(), sentence, value, bound).Hide()
}

func count(n any, one, many finding.Text) finding.Text {
	if n == 1 {
		return one
	}
	return finding.Say(many, finding.Data(fmt.Sprint(n)))
}

func repeated(f fault, s scene) finding.Finding {
	return finding.New("schema-unique", s.place(),
		finding.Say("{1} holds the same item at {2} and {3}", s.name(), finding.Data(fmt.Sprint(f.details["i"])), finding.Data(fmt.Sprint(f.details["j"]))), "", "each item may stand once")
}

// outside is for a number beyond a bound, which the library holds as a fraction
// made a float of 64 bits or more: 15 digits of it are those of the schema.
func outside(words finding.Text, key string) func(fault, scene) finding.Finding {
	return func(f fault, s scene) finding.Finding {
		bound := ""
		if b, ok := f.details[key].(*big.Float); ok {
			bound = b.Text('g', 15)
		}
		sentence, value := s.found()
		return finding.New("schema-range", s.place(), sentence, value, finding.Say(words, finding.Data(bound))).Hide()
	}
}

func noForm(_ fault, s scene) finding.Finding {
	sentence, value := s.found()
	return finding.New("schema-alternatives", s.place(), sentence, value, "it fits none, or more than one, of the forms that are known here").Hide()
}
