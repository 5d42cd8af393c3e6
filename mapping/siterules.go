package mapping

import (
	"regexp"
	"slices"
	"strings"
	"sync"

	"saltmark/internal/finding"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
)

// ourSystems are our code systems, below any base.
var ourSystems = []string{measure.MeasureCodes, measure.LabelCodesAt, measure.ReasonCodes, measure.ValueCodes}

// codeForm is FHIR's of a code, bounded.
var codeForm = regexp.MustCompile(`^[^\s]+( [^\s]+)*$`)

// WhyNotCoding tells why a coding of a site cannot stand on a measure, and what is
// allowed; found is "" where it can. A coding that would let a number pass for what it
// is not is refused here: a flow of a ventricle where the label does not say so, the
// code of another measure, a vital sign that is none.
func WhyNotCoding(m *measure.Measure, c Coding, base string) (found, allowed Text) {
	for _, rule := range siteRules {
		if found, allowed = rule(m, c, base); found != "" {
			return found, allowed
		}
	}
	return "", ""
}

var siteRules = []func(m *measure.Measure, c Coding, base string) (found, allowed finding.Text){
	codeHasForm, systemIsNotOurs, conditionFits, loincIsOne, nameIsTheSystems, codeIsNotOfTheTable, noVitalSign, flowIsNamedRightly, noProfileIsBroken,
}

func codeHasForm(_ *measure.Measure, c Coding, _ string) (finding.Text, finding.Text) {
	if !codeForm.MatchString(c.Code) {
		return "the code has white space at its ends or in a row", "a code as its system writes it"
	}
	return "", ""
}

func systemIsNotOurs(_ *measure.Measure, c Coding, base string) (finding.Text, finding.Text) {
	ours := strings.HasPrefix(c.System, base+"/") || slices.ContainsFunc(ourSystems, func(s string) bool { return strings.HasSuffix(c.System, s) })
	if ours || c.System == terms.SystemUCUM {
		return "the system is one of this program", "a code system of the site or a published one"
	}
	return "", ""
}

func conditionFits(m *measure.Measure, c Coding, _ string) (finding.Text, finding.Text) {
	switch allowed := Conditions(m); {
	case len(allowed) == 0 && c.When != Always:
		return "it has a condition", finding.Say("{1} carries no flow label, so its codings have none", finding.Data(m.Key))
	case len(allowed) > 0 && !slices.Contains(allowed, c.When):
		return "it does not say under which flow label it may stand", finding.Say("when: {1}; any is for a code that says nothing of which flow it is", finding.Or(finding.Datas(allowed)...))
	}
	return "", ""
}

func loincIsOne(_ *measure.Measure, c Coding, _ string) (finding.Text, finding.Text) {
	if c.System == terms.SystemLOINC && terms.CheckDigit(c.Code) != nil {
		return "it is no LOINC code", "digits, a hyphen, and the check digit that the number makes"
	}
	return "", ""
}

// nameIsTheSystems: the display of a code that the tables have is the one that they
// have; some have none that may be sent.
func nameIsTheSystems(_ *measure.Measure, c Coding, _ string) (finding.Text, finding.Text) {
	e, known := terms.Lookup(c.System, c.Code)
	if !known || c.Display == "" || c.Display == e.Display() {
		return "", ""
	}
	if e.Display() == "" {
		return "its display is not one that may be sent", "no display"
	}
	return "its display is not that of its system", finding.Quoted(e.Display())
}

// codeIsNotOfTheTable: what the table of measures uses stands where the table says.
func codeIsNotOfTheTable(_ *measure.Measure, c Coding, _ string) (finding.Text, finding.Text) {
	if owner := ownerOf(code{system: c.System, code: c.Code}); owner != "" {
		return finding.Say("the table of measures has this code, for {1}", finding.Data(owner)), "a code that it does not have"
	}
	return "", ""
}

// ownerOf gives the key of the measure that uses a published code, "" for none.
func ownerOf(c code) string { return owners()[code{system: c.system, code: c.code}] }

// owners are the first measures that use each published code.
var owners = sync.OnceValue(func() map[code]string {
	first := map[code]string{}
	for i, row := range codesOfRows() {
		codes := slices.Clone(row.published)
		for _, w := range row.conditional {
			codes = append(codes, w.published...)
		}
		for _, c := range codes {
			c.display = ""
			if _, owned := first[c]; !owned {
				first[c] = measure.All()[i].Key
			}
		}
	}
	return first
})

func noVitalSign(_ *measure.Measure, c Coding, _ string) (finding.Text, finding.Text) {
	if _, vital := terms.VitalSign(c.Code); vital && c.System == terms.SystemLOINC {
		return "it is the code of a vital sign, which demands a profile", "a code that demands none"
	}
	return "", ""
}

func flowIsNamedRightly(m *measure.Measure, c Coding, _ string) (finding.Text, finding.Text) {
	flow, named := terms.NamedFlow(c.System, c.Code)
	if !named || m.Labelled && c.When == flow {
		return "", ""
	}
	if _, whole := measure.FlowOf(flow); whole {
		return finding.Say("it names the flow {1}", finding.Data(flow)), finding.Say("only on a flow, with when: {1}", finding.Data(flow))
	}
	return finding.Say("it names a flow of another kind ({1})", finding.Data(flow)), finding.Say("a code of what {1} is", finding.Data(m.Key))
}

// noProfileIsBroken: the published profiles for dilution flows have one LOINC code and
// forbid codings of SNOMED CT and of ISO/IEEE 11073 beside it.
func noProfileIsBroken(m *measure.Measure, c Coding, _ string) (finding.Text, finding.Text) {
	profiled := slices.ContainsFunc(m.Codes, func(w measure.CodeWhen) bool { return w.LOINC != "" })
	if m.Labelled && (c.System == terms.SystemSNOMED || c.System == terms.SystemMDC) || profiled && c.System == terms.SystemLOINC {
		return "the published profiles for flows forbid a coding of this system", "a code of another system"
	}
	return "", ""
}
