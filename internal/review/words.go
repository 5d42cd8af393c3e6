package review

import (
	"fmt"
	"strings"

	"saltmark/internal/site"
	"saltmark/internal/terms"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// systemNames are the short names of published code systems.
var systemNames = map[string]string{
	terms.SystemLOINC:  "LOINC",
	terms.SystemDICOM:  "DICOM",
	terms.SystemSNOMED: "SNOMED CT",
	terms.SystemMDC:    "ISO/IEEE 11073",
}

// ownSystem stands for our code systems.
const ownSystem = "own"

// systemName gives a short name for a code system: "own" for ours, the address for
// one that we do not know.
func (m Mapping) systemName(system string) string {
	switch {
	case systemNames[system] != "":
		return systemNames[system]
	case strings.HasPrefix(system, m.Settings.Base+"/CodeSystem/"):
		return ownSystem
	}
	return system
}

// conditionWords say when a coding is written.
var conditionWords = map[string]string{
	mapping.Always:        "",
	mapping.OneInjection:  "of one injection",
	mapping.UsedOnly:      "not measured here",
	mapping.Otherwise:     "otherwise",
	mapping.AnyLabel:      "whatever the label",
	measure.NotDetermined: "label names no flow",
}

func whenWords(when string) string {
	if words, ok := conditionWords[when]; ok {
		return words
	}
	if flow, ok := measure.FlowOf(when); ok {
		return "label contains " + when + ", " + measure.Label{Flows: flow}.Words(measure.English)
	}
	return when
}

// columnWords say what rules whether a value of a column is charted.
var columnWords = map[measure.Column]string{
	measure.ColumnFlow: "a flow: charted with its label, whatever the label is",
	measure.ColumnLV:   "values of the left ventricle",
	measure.ColumnRO:   "resistance and oxygen delivery",
	measure.ColumnCBV:  "central blood volume and transit",
	measure.ColumnEDV:  "end-diastolic volume",
	measure.ColumnSign: "shunt signs: withheld by the tip of a catheter alone",
}

// digitsWords say how many decimals a value has.
func digitsWords(d measure.Digits) string {
	usual, below, two := strings.Cut(string(d), ";")
	switch {
	case d == "":
		return "as written"
	case d == measure.Written:
		return "the fewest of what it is made from"
	case d == measure.Finer:
		return "the most of what it is made from"
	case !two:
		return decimals(usual)
	}
	more, limit, _ := strings.Cut(below, "<")
	return decimals(usual) + ", " + more + " below " + limit
}

func decimals(n string) string {
	switch n {
	case "0":
		return "no decimals"
	case "1":
		return "1 decimal"
	}
	return n + " decimals"
}

// formWords give the unit of a quantity, else the form of the value.
func (r Row) formWords() string {
	if r.Kind == measure.Quantity || r.Kind == measure.Curve && r.Unit != "" && r.Unit != "1" {
		return r.Unit
	}
	return string(r.Kind)
}

func (r Row) aboutWords() string {
	var all []string
	for _, a := range r.About {
		all = append(all, string(a))
	}
	return strings.Join(all, ", ")
}

// Marks that a row may have, in words.
func (r Row) marks() []string {
	var all []string
	for _, mark := range []struct {
		is    bool
		words string
	}{
		{r.Labelled, "carries a flow label"},
		{r.Dated, "has a time of its own"},
		{r.Obtained, "says how it was obtained"},
		{r.Signed, "may be zero or negative"},
		{r.Zero, "may be zero"},
		{r.AnyDimension, "any unit is taken"},
		{r.KeepsCodeWhenAbsent, "keeps its codes when absent"},
		{r.Private, "stays out of logs and findings"},
	} {
		if mark.is {
			all = append(all, mark.words)
		}
	}
	return all
}

// ageWords say to whom something applies; "" is everybody.
func ageWords(fromDays, toDays int, sex string) string {
	var words string
	switch {
	case fromDays > 0 && toDays > 0:
		words = fmt.Sprintf("from %d d, below %d d", fromDays, toDays)
	case fromDays > 0:
		words = fmt.Sprintf("from %d d", fromDays)
	case toDays > 0:
		words = fmt.Sprintf("below %d d", toDays)
	}
	if sex == "" {
		return words
	}
	return strings.TrimPrefix(words+", "+sex, ", ")
}

func valueWords(m *measure.Measure, v record.Value) string {
	switch {
	case v.Quantity.Number != "":
		return quantityWords(v.Quantity.Number, v.Quantity.Unit)
	case v.Code != "":
		return measure.WordsOf(m.Values, v.Code, measure.English)
	}
	return v.Text + string(v.Time)
}

func quantityWords(number, unit string) string {
	if unit == "1" {
		return number
	}
	return number + " " + unit
}

func supplyWords(m *measure.Measure, s site.Supply) string {
	words := valueWords(m, s.Value)
	if whom := ageWords(s.FromDays, 0, s.Sex); whom != "" {
		words += " (" + whom + ")"
	}
	return words
}

// limitWords say what a limit bounds, where it lies, and beyond what nobody can
// confirm a value.
func limitWords(l Limit) (of, usual, hard string) {
	of = "value"
	if len(l.By) > 0 {
		of = "divided by " + strings.Join(l.By, " and ")
	}
	if age := ageWords(l.FromDays, l.ToDays, ""); age != "" {
		of += ", age " + age
	}
	return of, between(l.Low, l.High, l.UnitOf()), between(l.HardLow, l.HardHigh, l.UnitOf())
}

// limitKind says what happens at a limit.
func limitKind(l Limit) string {
	if l.Rule == "load-limit" {
		return "warned of beyond"
	}
	return "to be confirmed beyond"
}

func between(low, high, unit string) string {
	switch {
	case low == "" && high == "":
		return ""
	case low == "":
		return "at most " + quantityWords(high, unit)
	case high == "":
		return "at least " + quantityWords(low, unit)
	}
	return low + " to " + quantityWords(high, unit)
}
