// Package measure holds THE table of measures: every value that a session sheet
// can carry or that is derived from one, with its unit, its digits, its codes,
// its place on the sheet and its place in the resources. Exporter, reader,
// audit, sheet schema and documents are made from it; nothing else lists
// measures. It also holds the table of flow labels (labels.go): which flow a
// number stands for under which shunt.
//
// Our words stand in the rows in every language (language.go). The displays of
// published codes are their owners' and stay as they are.
//
// The rows stand in measures.yaml. The package knows nothing of FHIR resources,
// of sheets or of derivation: it says what there is, not how it is written.
//
// Published codes come from LOINC, ISO/IEEE 11073 and DICOM (internal/terms has
// each with its source); where none was found the code is our own, in the code
// systems of codes.go. Units are UCUM codes.
package measure

import (
	_ "embed"
	"fmt"
	"strings"
	"sync"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// About tells what kind of thing of a session a measure is about.
type About string

// The kinds of things. A session has one Session; the others are told apart by
// a key (the injection's number, the level's name).
const (
	Session      About = "session"
	Injection    About = "injection"
	Level        About = "level"
	Catheter     About = "catheter"
	Sample       About = "sample"
	Event        About = "event"
	Drug         About = "drug"
	Earlier      About = "earlier"
	Confirmation About = "confirmation"
	Comparator   About = "comparator"
	Reading      About = "reading"
)

// Kind tells what form the value of a measure has.
type Kind string

// The kinds of values. A Group is an Observation without a value that holds
// components.
const (
	Group    Kind = "group"
	Quantity Kind = "quantity"
	Code     Kind = "code"
	Text     Kind = "text"
	Time     Kind = "time"
	Date     Kind = "date"
	Curve    Kind = "curve"
)

// Column names a column of the table of flow labels that decides whether a
// measure may be charted. The zero value is none.
type Column string

// The columns: flow itself (carried by label), left ventricular values,
// resistance and oxygen delivery, central blood volume and transit, end-diastolic
// volume. Shunt signs are withheld by the tip of a catheter alone.
const (
	ColumnFlow Column = "flow"
	ColumnLV   Column = "LV"
	ColumnRO   Column = "RO"
	ColumnCBV  Column = "CBV"
	ColumnEDV  Column = "EDV"
	ColumnSign Column = "sign"
)

// CodeWhen is a code that a measure takes when its flow label allows it.
type CodeWhen struct {
	When  string // "LVO" or "Qs": the label contains it; "not-determined"
	LOINC string
	Local string
}

// Measure is one row of the table.
type Measure struct {
	Key    string
	Row    int // its place in the table, from 0
	About  []About
	Kind   Kind
	Unit   string   // UCUM code in which it is charted
	Digits Digits   // how a derived value is rounded
	Words  Words    // our own words, "{}" standing for the thing
	Brief  Words    // its name in a list of what is withheld or missing; none = not listed there
	Inputs []string // keys of the rows of the sheet that it needs, where a list says which is missing

	Sheet   string // place on the sheet: "injections[].volume"; "" = not on the sheet
	Setting string // place in the site settings that supply it where the sheet does not, "{}" standing for a name; "" = none
	// Where names what a session must have for the settings to supply it: "curves" that
	// were recorded, "comparators"; "" = nothing.
	Where   string
	Values  string // name of the set of coded values
	Origin  string // origin of a value that the sheet carries; "" = stated
	Dated   bool   // has a time of its own on the sheet
	Signed  bool   // may be negative or zero
	Zero    bool   // may be zero
	Private bool   // its value stays out of logs and findings

	Obtained     bool   // says how it was obtained
	Used         string // local code where it was not measured here
	AnyDimension bool   // the unit's dimension is not bound to Unit's

	In            string // key of the row whose Observation holds it as a component; "" = an Observation of its own
	Category      []string
	LOINC         string // published code without a condition
	DICOM         string
	Code          string // local code, "{}" standing for the key of the thing; "" = Key
	InjectionCode string // local code when it is about one injection
	Codes         []CodeWhen

	Labelled            bool   // carries a flow label
	Column              Column // column of the label table that rules it
	KeepsCodeWhenAbsent bool   // keeps the conditional codes when withheld
	Method              string // key of the method, "" = none said
	MethodFrom          string // key of the row whose coded value names the method
	Catheter            string // the catheter at whose vessel it was measured, "" = none
}

// DefaultOrigin gives the origin of a value of which nothing else is said: that of
// the row; of a value that only the settings supply "setting"; else "stated".
func (m *Measure) DefaultOrigin() string {
	switch {
	case m.Origin != "":
		return m.Origin
	case m.Setting != "" && m.Sheet == "":
		return "setting"
	}
	return "stated"
}

// Has tells whether the measure can be about such a thing.
func (m *Measure) Has(about About) bool {
	for _, a := range m.About {
		if a == about {
			return true
		}
	}
	return false
}

// LocalCode gives the measure's own code for a thing: not a conditional one.
func (m *Measure) LocalCode(about About, thing string) string {
	switch {
	case about == Injection && m.InjectionCode != "":
		return m.InjectionCode
	case m.Code != "":
		return strings.ReplaceAll(m.Code, "{}", thing)
	}
	return m.Key
}

// WordsFor gives the words of the measure for a thing by its key; for "", for any
// thing of its kind.
func (m *Measure) WordsFor(thing string, l Language) string { return m.wordsFor(thing).In(l) }

// TextFor gives the same for a finding.
func (m *Measure) TextFor(thing string) finding.Text { return m.wordsFor(thing).Text() }

func (m *Measure) wordsFor(thing string) Words {
	name, known := loaded().things[thing]
	if !known {
		name = loaded().things[string(m.About[0])]
	}
	return m.Words.around(name)
}

// Listed tells whether the measure has a name in a list of what is withheld.
func (m *Measure) Listed() bool { return m.Brief != Words{} }

// KindWords gives our words for a kind of things.
func KindWords(about About, l Language) string { return loaded().things[string(about)].In(l) }

// Coded is one code of a set of coded values, with our words for it.
type Coded struct {
	Code  string
	Words Words
}

// Reason is why a value is absent or a flow is not determined.
type Reason struct {
	Code   string
	Words  Words
	Absent string // code of FHIR's data-absent-reason
}

//go:embed measures.yaml
var text []byte

type table struct {
	measures []Measure
	byKey    map[string]*Measure
	sets     map[string][]Coded
	things   map[string]Words // by kind, or by key where the keys form a closed set
	reasons  []Reason
}

var loaded = sync.OnceValue(load)

// All gives every measure in the order of the table. The slice must not be
// changed.
func All() []Measure { return loaded().measures }

// Get gives the measure of a key, nil where there is none.
func Get(key string) *Measure { return loaded().byKey[key] }

// Set gives the coded values of a set in their order, nil where there is none.
func Set(name string) []Coded { return loaded().sets[name] }

// SetNames gives the codes of a set alone.
func SetNames(name string) []string {
	var names []string
	for _, c := range Set(name) {
		names = append(names, c.Code)
	}
	return names
}

// WordsOf gives our words for a code of a set, "" where the set lacks it.
func WordsOf(set, code string, l Language) string {
	for _, c := range Set(set) {
		if c.Code == code {
			return c.Words.In(l)
		}
	}
	return ""
}

// InSet tells whether a set has a code.
func InSet(set, code string) bool { return WordsOf(set, code, English) != "" }

// Sets gives the names of all sets of coded values, in the order of the table.
func Sets() []string {
	var names []string
	seen := map[string]bool{}
	for _, m := range All() {
		if m.Values != "" && !seen[m.Values] && Set(m.Values) != nil {
			seen[m.Values] = true
			names = append(names, m.Values)
		}
	}
	return append(names, "obtained", "origin", "method")
}

// Reasons gives every reason in the order of the table.
func Reasons() []Reason { return loaded().reasons }

// ReasonOf gives a reason by its code.
func ReasonOf(code string) (Reason, bool) {
	for _, r := range Reasons() {
		if r.Code == code {
			return r, true
		}
	}
	return Reason{}, false
}

// load reads the embedded table. That it reads is shown by the tests; a table
// that does not is a fault of the build, and no work can be done.
func load() *table {
	doc, faults := source.ReadYAML("measures.yaml", text, source.SheetLimits())
	if faults.HasErrors() {
		panic("measures.yaml: " + faults[0].Text(true))
	}
	t := &table{byKey: map[string]*Measure{}, sets: map[string][]Coded{}, things: map[string]Words{}}
	for _, n := range doc.Root.Get("measures").Items {
		t.measures = append(t.measures, row(n))
	}
	for i := range t.measures {
		t.measures[i].Row = i
		t.byKey[t.measures[i].Key] = &t.measures[i]
	}
	for _, thing := range doc.Root.Get("things").Members {
		t.things[thing.Name] = wordsIn(thing.Value)
	}
	for _, set := range doc.Root.Get("values").Members {
		for _, c := range set.Value.Members {
			t.sets[set.Name] = append(t.sets[set.Name], Coded{c.Name, wordsIn(c.Value)})
		}
	}
	for _, r := range doc.Root.Get("reasons").Members {
		t.reasons = append(t.reasons, Reason{r.Name, wordsIn(r.Value.Get("words")), r.Value.Get("dar").Text})
	}
	return t
}

// row reads one row; an unknown column is a fault of the build.
func row(n *source.Node) Measure {
	var m Measure
	texts := map[string]*string{
		"key": &m.Key, "unit": &m.Unit, "sheet": &m.Sheet, "setting": &m.Setting,
		"values": &m.Values, "origin": &m.Origin, "used": &m.Used, "in": &m.In, "loinc": &m.LOINC, "dicom": &m.DICOM,
		"code": &m.Code, "injection-code": &m.InjectionCode, "method": &m.Method,
		"method-from": &m.MethodFrom, "catheter": &m.Catheter, "where": &m.Where,
	}
	flags := map[string]*bool{
		"dated": &m.Dated, "signed": &m.Signed, "zero": &m.Zero, "private": &m.Private, "obtained": &m.Obtained,
		"any-dimension": &m.AnyDimension, "labelled": &m.Labelled, "keeps-code-when-absent": &m.KeepsCodeWhenAbsent,
	}
	for _, c := range n.Members {
		switch {
		case texts[c.Name] != nil:
			*texts[c.Name] = c.Value.Text
		case flags[c.Name] != nil:
			*flags[c.Name] = c.Value.Text == "true"
		case c.Name == "words":
			m.Words = wordsIn(c.Value)
		case c.Name == "brief":
			m.Brief = wordsIn(c.Value)
		case c.Name == "about":
			for _, a := range strings.Fields(c.Value.Text) {
				m.About = append(m.About, About(a))
			}
		case c.Name == "kind":
			m.Kind = Kind(c.Value.Text)
		case c.Name == "inputs":
			m.Inputs = strings.Fields(c.Value.Text)
		case c.Name == "category":
			m.Category = strings.Fields(c.Value.Text)
		case c.Name == "column":
			m.Column = Column(c.Value.Text)
		case c.Name == "digits":
			m.Digits = Digits(c.Value.Text)
		case c.Name == "codes":
			for _, w := range c.Value.Items {
				m.Codes = append(m.Codes, CodeWhen{When: textOf(w, "when"), LOINC: textOf(w, "loinc"), Local: textOf(w, "local")})
			}
		default:
			panic(fmt.Sprintf("measures.yaml: unknown column %q", c.Name))
		}
	}
	return m
}

// wordsIn reads words with all their languages; one that is missing, or that we do
// not know, is a fault of the build.
func wordsIn(n *source.Node) Words {
	var w Words
	for i, l := range languages {
		if w[i] = textOf(n, l.Code()); w[i] == "" {
			panic(fmt.Sprintf("measures.yaml: words without %q: %v", l, w))
		}
	}
	if len(n.Members) != len(languages) {
		panic(fmt.Sprintf("measures.yaml: words in a language that is not known beside %q", w[0]))
	}
	return w
}

func textOf(n *source.Node, name string) string {
	if v := n.Get(name); v != nil {
		return v.Text
	}
	return ""
}
