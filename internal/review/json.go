package review

import (
	"encoding/json"
	"strings"

	"saltmark/mapping"
	"saltmark/mapping/measure"
)

// JSONVersion is the version of the JSON form. A member is never renamed and never
// changes its meaning under one version; members may be added.
const JSONVersion = 1

// document is the JSON form. What a row does not have is left out.
type document struct {
	Version  int           `json:"saltmarkMeasures"`
	Program  string        `json:"program"`
	Table    tableJSON     `json:"table"`
	Settings settingsJSON  `json:"settings"`
	Measures []measureJSON `json:"measures"`
	Sets     []setJSON     `json:"valueSets"` // coded values, by the name of their set
	Reasons  []reasonJSON  `json:"reasons"`   // why a value is absent or a flow not determined
	Labels   []codedJSON   `json:"flowLabels"`
}

type tableJSON struct {
	Measures int    `json:"measures"` // of the whole table
	SHA256   string `json:"sha256"`
}

type settingsJSON struct {
	Name   string `json:"name"`
	Test   bool   `json:"test,omitempty"`
	SHA256 string `json:"sha256"`
	Base   string `json:"base"` // canonical base of our code systems and extensions
	SNOMED bool   `json:"snomed,omitempty"`
}

type measureJSON struct {
	Key         string         `json:"key"`
	Words       wordsJSON      `json:"words"`
	About       []string       `json:"about"`
	Things      []string       `json:"things,omitempty"` // keys, where they form a closed set
	Kind        string         `json:"kind"`
	Unit        string         `json:"unit,omitempty"`   // UCUM
	Digits      string         `json:"digits,omitempty"` // "2;3<1": two decimals, three below 1; "written", "finer"
	Codings     []codingJSON   `json:"codings"`
	ValueSet    string         `json:"valueSet,omitempty"`
	ComponentOf string         `json:"componentOf,omitempty"` // key of the row whose Observation holds it
	Category    []string       `json:"category,omitempty"`
	Method      string         `json:"method,omitempty"`
	MethodFrom  string         `json:"methodFrom,omitempty"` // key of the row that names the method
	Catheter    string         `json:"catheter,omitempty"`   // at whose vessel it was measured
	LabelColumn string         `json:"labelColumn,omitempty"`
	Labelled    bool           `json:"labelled,omitempty"`
	Origin      string         `json:"origin"`
	Sheet       string         `json:"sheet,omitempty"`   // place on the session sheet
	Setting     string         `json:"setting,omitempty"` // place in the settings
	Inputs      []string       `json:"inputs,omitempty"`
	Dated       bool           `json:"dated,omitempty"`
	Obtained    bool           `json:"obtained,omitempty"`
	Signed      bool           `json:"signed,omitempty"` // may be zero or negative
	Zero        bool           `json:"zero,omitempty"`   // may be zero
	AnyUnit     bool           `json:"anyUnit,omitempty"`
	KeepsCodes  bool           `json:"keepsCodesWhenAbsent,omitempty"`
	Private     bool           `json:"private,omitempty"`
	Supplied    []suppliedJSON `json:"supplied,omitempty"`
	Limits      []limitJSON    `json:"limits,omitempty"`
}

type codingJSON struct {
	System  string `json:"system"`
	Code    string `json:"code"`
	Display string `json:"display,omitempty"`
	// When is the condition: a flow (LVO, Qs, RVO, Qp) or not-determined of the label, any
	// label, one-injection, not-measured-here, otherwise.
	When  string `json:"when,omitempty"`
	Thing string `json:"thing,omitempty"`
	Added bool   `json:"addedBySite,omitempty"`
}

type suppliedJSON struct {
	Value    string `json:"value"` // number and unit, or code
	FromDays int    `json:"fromDays,omitempty"`
	Sex      string `json:"sex,omitempty"`
	Source   string `json:"source"`
}

type limitJSON struct {
	Rule         string   `json:"rule"`
	DividedBy    []string `json:"dividedBy,omitempty"`
	Unit         string   `json:"unit"`
	PossibleLow  string   `json:"possibleAbove,omitempty"` // nobody can confirm a value at it or beyond
	Low          string   `json:"low,omitempty"`
	High         string   `json:"high,omitempty"`
	PossibleHigh string   `json:"possibleBelow,omitempty"`
	FromDays     int      `json:"fromDays,omitempty"`
	ToDays       int      `json:"toDays,omitempty"` // left out itself
	Changed      bool     `json:"changedBySite,omitempty"`
	Source       string   `json:"source"`
}

type setJSON struct {
	Name   string      `json:"name"`
	Values []codedJSON `json:"values"`
}

type codedJSON struct {
	Code    string       `json:"code"`
	Words   wordsJSON    `json:"words"`
	Codings []codingJSON `json:"codings,omitempty"`
}

type reasonJSON struct {
	Code   string    `json:"code"`
	Words  wordsJSON `json:"words"`
	Absent string    `json:"dataAbsentReason"`
}

// wordsJSON are words by the code of their language.
type wordsJSON map[string]string

func (r Row) wordsJSON() wordsJSON {
	all := wordsJSON{}
	for _, l := range measure.Languages() {
		all[l.Code()] = r.WordsFor("", l)
	}
	return all
}

func wordsOf(words measure.Words) wordsJSON {
	all := wordsJSON{}
	for _, l := range measure.Languages() {
		all[l.Code()] = words.In(l)
	}
	return all
}

// writeJSON writes the form for programs.
func writeJSON(m Mapping, p *page) {
	d := document{
		Version: JSONVersion, Program: m.Version,
		Table:    tableJSON{len(measure.All()), measure.TableHash()},
		Settings: settingsJSON{visible(m.Settings.Name), m.Settings.Test, m.Settings.Hash(), m.Settings.Base, m.Settings.SNOMED},
		Measures: []measureJSON{},
	}
	for _, r := range m.Rows {
		d.Measures = append(d.Measures, r.json())
	}
	for _, name := range m.sets() {
		d.Sets = append(d.Sets, m.setJSON(name))
	}
	for _, r := range measure.Reasons() {
		d.Reasons = append(d.Reasons, reasonJSON{r.Code, wordsOf(r.Words), r.Absent})
	}
	for _, l := range measure.LabelCodes() {
		d.Labels = append(d.Labels, codedJSON{Code: l.Code, Words: wordsOf(l.Words)})
	}
	if p.err != nil {
		return
	}
	e := json.NewEncoder(p.to)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	p.err = e.Encode(d)
}

func (m Mapping) setJSON(name string) setJSON {
	set := setJSON{Name: name}
	for _, c := range measure.Set(name) {
		set.Values = append(set.Values, codedJSON{c.Code, wordsOf(c.Words), codingsJSON(mapping.ValueCodings(name, c.Code, m.Settings.Mapping()), 0, "")})
	}
	return set
}

func (r Row) json() measureJSON {
	j := measureJSON{
		Key: r.Key, Words: r.wordsJSON(), Kind: string(r.Kind), Unit: r.Unit, Digits: string(r.Digits),
		ValueSet: r.Values, ComponentOf: r.In, Category: r.Category, Method: r.Method, MethodFrom: r.MethodFrom,
		Catheter: r.Catheter, LabelColumn: string(r.Column), Labelled: r.Labelled, Origin: r.DefaultOrigin(),
		Sheet: r.Sheet, Setting: r.Setting, Inputs: r.Inputs, Dated: r.Dated, Obtained: r.Obtained, Signed: r.Signed,
		Zero: r.Zero, AnyUnit: r.AnyDimension, KeepsCodes: r.KeepsCodeWhenAbsent, Private: r.Private,
	}
	for _, a := range r.About {
		j.About = append(j.About, string(a))
	}
	for _, thing := range r.things() {
		j.Codings = append(j.Codings, codingsJSON(r.Codings, r.Added, thing)...)
		if thing != "" {
			j.Things = append(j.Things, thing)
		}
	}
	for _, s := range r.Supplies {
		value := quantityWords(s.Value.Quantity.Number, s.Value.Quantity.Unit)
		if s.Value.Quantity.Number == "" {
			value = s.Value.Code + s.Value.Text + string(s.Value.Time)
		}
		j.Supplied = append(j.Supplied, suppliedJSON{value, s.FromDays, s.Sex, s.Source})
	}
	for _, l := range r.Limits {
		j.Limits = append(j.Limits, limitJSON{
			l.Rule, l.By, l.UnitOf(), l.HardLow, l.Low, l.High, l.HardHigh, l.FromDays, l.ToDays, l.Changed(), l.Source,
		})
	}
	return j
}

// codingsJSON gives codings, of which the site added the last ones.
func codingsJSON(codings []mapping.Coding, added int, thing string) []codingJSON {
	var all []codingJSON
	for i, c := range codings {
		all = append(all, codingJSON{c.System, strings.ReplaceAll(c.Code, "{}", thing), c.Display, c.When, thing, i >= len(codings)-added})
	}
	return all
}
