package audit

import (
	"math/big"
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/shape"
	"saltmark/internal/source"
)

// Invariants of resource types that this program does not write, as far as they are errors
// and can be told from the resource alone. Source: the StructureDefinitions of FHIR R4
// 4.0.1 (CC0). Left out: those of definitions (StructureDefinition, ValueSet and the like),
// and ctm-1, which wants the resource that a reference leads to.

// otherInvariants are they, by the type or the part that has them.
var otherInvariants = map[string][]invariant{
	"AllergyIntolerance": {
		unless("ait-1", "clinicalStatus", "verificationStatus = entered-in-error", isEnteredInError),
		never("ait-2", "clinicalStatus", "verificationStatus = entered-in-error", isEnteredInError),
	},
	"Appointment": {
		together("app-2", "start", "end"),
		unless("app-3", "start end", "status = proposed, cancelled, waitlist", statusIn("proposed", "cancelled", "waitlist")),
		only("app-4", "cancelationReason", "status = no-show, cancelled", statusIn("no-show", "cancelled")),
	},
	"Appointment.participant": {oneAtLeast("app-1", "type actor")},
	"AppointmentResponse":     {oneAtLeast("apr-1", "participantType actor")},
	"AuditEvent.entity":       {notBoth("sev-1", "name", "query")},
	"CarePlan.activity":       {notBoth("cpl-3", "detail", "reference")},
	"Condition": {
		only("con-4", "abatement[x]", "clinicalStatus = resolved, remission, inactive", isOver),
		never("con-5", "clinicalStatus", "verificationStatus = entered-in-error", isEnteredInError),
	},
	"Condition.stage":    {oneAtLeast("con-1", "summary assessment")},
	"Condition.evidence": {oneAtLeast("con-2", "code detail")},
	"Consent":            {oneAtLeast("ppc-1", "policy policyRule")},
	"CoverageEligibilityResponse.insurance.item": {exactlyOne("ces-1", "category productOrService")},
	"FamilyMemberHistory":                        {notBoth("fhs-1", "age[x]", "born[x]"), with("fhs-2", "estimatedAge", "age[x]")},
	"Goal.target":                                {with("gol-1", "detail[x]", "measure")},
	"Group":                                      {only("grp-1", "member", "actual = true", isTrue("actual"))},
	"Immunization.education":                     {oneAtLeast("imm-1", "documentType reference")},
	"ImmunizationRecommendation.recommendation":  {oneAtLeast("imr-1", "vaccineCode targetDisease")},
	"InsurancePlan":                              {oneAtLeast("ipn-1", "identifier name")},
	"Linkage":                                    {{"lnk-1", func(n *source.Node) bool { return len(r4.Items(n, "item")) < 2 }, "a Linkage links fewer than two items"}},
	"List": {
		notBoth("lst-1", "emptyReason", "entry"),
		only("lst-2", "entry.deleted", "mode = changes", isText("mode", "changes")),
		only("lst-3", "entry.date", "mode = working", isText("mode", "working")),
	},
	"Measure.group.stratifier":               {exactlyOneOf("mea-1", "code description criteria", "component")},
	"MeasureReport":                          {never("mrp-1", "group", "type = data-collection", isText("type", "data-collection"))},
	"MeasureReport.group.stratifier.stratum": {exactlyOne("mrp-2", "value component")},
	"MedicationAdministration.dosage":        {oneAtLeast("mad-1", "dose rate[x]")},
	"MedicationDispense": {{"mdd-1", func(n *source.Node) bool {
		return backward(r4.Text(n, "whenPrepared"), r4.Text(n, "whenHandedOver"))
	}, "a medication was handed over before it was prepared"}},
	"MolecularSequence": {{"msq-3", func(n *source.Node) bool {
		start, is := numberIn(n, "coordinateSystem")
		return is && start.Sign() != 0 && start.Cmp(big.NewRat(1, 1)) != 0
	}, "a coordinate system begins neither with 0 nor with 1"}},
	"MolecularSequence.referenceSeq": {
		together("msq-5", "chromosome", "genomeBuild"),
		exactlyOne("msq-6", "genomeBuild referenceSeqId referenceSeqPointer referenceSeqString"),
	},
	"Organization": {
		oneAtLeast("org-1", "identifier name"),
		{"org-2", usedAtHome("address"), "an organization has an address of use home"},
		{"org-3", usedAtHome("telecom"), "an organization has a contact of use home"},
	},
	"Parameters.parameter": {exactlyOne("inv-1", "value[x] resource part")},
	"Questionnaire":        {{"que-2", repeatsLinkID, "two items have one linkId"}},
	"Questionnaire.item": {
		unlessNot("que-1", "item", "type = group", isText("type", "group")),
		never("que-1", "item", "type = display", isText("type", "display")),
		never("que-3", "code", "type = display", isText("type", "display")),
		notBoth("que-4", "answerOption", "answerValueSet"),
		only("que-5", "answerOption", answeringTypes, isText("type", strings.Fields(answeringTypes)...)),
		only("que-5", "answerValueSet", answeringTypes, isText("type", strings.Fields(answeringTypes)...)),
		never("que-6", "required", "type = display", isText("type", "display")),
		never("que-6", "repeats", "type = display", isText("type", "display")),
		never("que-8", "initial", "type = group, display", isText("type", "group", "display")),
		never("que-9", "readOnly", "type = display", isText("type", "display")),
		only("que-10", "maxLength", measuredTypes, isText("type", strings.Fields(measuredTypes)...)),
		notBoth("que-11", "answerOption", "initial"),
		{"que-12", func(n *source.Node) bool { return len(r4.Items(n, "enableWhen")) > 2 && !has(n, "enableBehavior") }, "three conditions or more, and not whether all of them are meant"},
		{"que-13", func(n *source.Node) bool { return len(r4.Items(n, "initial")) > 1 && !isTrue("repeats")(n) }, "several initial values where an answer is given once"},
	},
	"Questionnaire.item.enableWhen": {{"que-7", func(n *source.Node) bool { return r4.Text(n, "operator") == "exists" && !has(n, "answerBoolean") }, "whether an answer exists is asked without true or false"}},
	"QuestionnaireResponse.item":    {notBoth("qrs-1", "answer", "item")},
	"RequestGroup.action":           {exactlyOne("rqg-1", "resource action")},
	"RiskAssessment.prediction": {
		{"ras-2", func(n *source.Node) bool {
			p, is := numberIn(n, "probabilityDecimal")
			return is && p.Cmp(big.NewRat(100, 1)) > 0
		}, "a probability is above 100 percent"},
		{"ras-1", func(n *source.Node) bool { return !inPercent(n.Get("probabilityRange")) }, "the ends of a probability are not in percent"},
	},
	"ServiceRequest": {with("prr-1", "orderDetail", "code")},
}

// Types of items of a Questionnaire: with a list of answers, and with a length.
const (
	answeringTypes = "choice open-choice decimal integer date dateTime time string quantity"
	measuredTypes  = "boolean decimal integer string text url open-choice"
)

// otherKinds are their names, for the table of rules.
func otherKinds() string {
	var kinds []string
	for kind := range otherInvariants {
		kinds = append(kinds, kind)
	}
	slices.Sort(kinds)
	return strings.Join(kinds, " ")
}

// otherBroken: resources of every type keep the invariants of their type.
func otherBroken(w *walk, kind string, n *source.Node) {
	w.firstBroken("invariant-broken", otherInvariants[kind], n, finding.Say("what FHIR R4 demands of {1}", finding.Data(kind)))
}

// holdsElement tells whether an object has an element: a choice in any of its types, and
// with a full stop that of any item.
func holdsElement(n *source.Node, path string) bool {
	name, below, deeper := strings.Cut(path, ".")
	stem, choice := strings.CutSuffix(name, "[x]")
	switch {
	case deeper:
		return slices.ContainsFunc(r4.Items(n, name), func(item *source.Node) bool { return holdsElement(item, below) })
	case !choice:
		return has(n, name)
	}
	return slices.ContainsFunc(n.Members, func(m source.Member) bool {
		rest, is := strings.CutPrefix(strings.TrimPrefix(m.Name, "_"), stem)
		return is && rest != "" && rest[0] >= 'A' && rest[0] <= 'Z'
	})
}

// count counts those of some elements that an object has.
func count(n *source.Node, names string) (has, all int) {
	for name := range strings.FieldsSeq(names) {
		if all++; holdsElement(n, name) {
			has++
		}
	}
	return has, all
}

func listed(names string) finding.Text {
	return finding.Data(strings.Join(strings.Fields(names), ", "))
}

func oneAtLeast(key, names string) invariant {
	return invariant{key, func(n *source.Node) bool { has, _ := count(n, names); return has == 0 }, finding.Say("none of {1} is there", listed(names))}
}

func exactlyOne(key, names string) invariant {
	return invariant{key, func(n *source.Node) bool { has, _ := count(n, names); return has != 1 }, finding.Say("not exactly one of {1} is there", listed(names))}
}

// exactlyOneOf wants either of two groups.
func exactlyOneOf(key, some, other string) invariant {
	return invariant{key, func(n *source.Node) bool {
		first, _ := count(n, some)
		second, _ := count(n, other)
		return first > 0 == (second > 0)
	}, finding.Say("not exactly one of {1} is there", listed(some+" "+other))}
}

func notBoth(key, one, other string) invariant {
	return invariant{key, func(n *source.Node) bool { return holdsElement(n, one) && holdsElement(n, other) }, finding.Say("{1} stands beside {2}", finding.Data(one), finding.Data(other))}
}

func together(key, one, other string) invariant {
	return invariant{key, func(n *source.Node) bool { return holdsElement(n, one) != holdsElement(n, other) }, finding.Say("of {1} one is there alone", listed(one+" "+other))}
}

// only wants an element nowhere but under a condition, never nowhere under it; unless
// wants all of some but under it, unlessNot all of them under it.
func only(key, name, words string, where func(*source.Node) bool) invariant {
	return invariant{key, func(n *source.Node) bool { return holdsElement(n, name) && !where(n) }, finding.Say("{1} stands where this is not so: {2}", finding.Data(name), finding.Data(words))}
}

func never(key, name, words string, where func(*source.Node) bool) invariant {
	return invariant{key, func(n *source.Node) bool { return holdsElement(n, name) && where(n) }, finding.Say("{1} stands where this is so: {2}", finding.Data(name), finding.Data(words))}
}

func unless(key, names, words string, where func(*source.Node) bool) invariant {
	return invariant{key, func(n *source.Node) bool { has, all := count(n, names); return has < all && !where(n) }, finding.Say("{1} is missing where this is not so: {2}", listed(names), finding.Data(words))}
}

func unlessNot(key, names, words string, where func(*source.Node) bool) invariant {
	return invariant{key, func(n *source.Node) bool { has, all := count(n, names); return has < all && where(n) }, finding.Say("{1} is missing where this is so: {2}", listed(names), finding.Data(words))}
}

// Conditions.

func isText(name string, words ...string) func(*source.Node) bool {
	return func(n *source.Node) bool { return slices.Contains(words, r4.Text(n, name)) }
}

func statusIn(words ...string) func(*source.Node) bool { return isText("status", words...) }

func isTrue(name string) func(*source.Node) bool {
	return func(n *source.Node) bool {
		m := n.Get(name)
		return m != nil && m.Kind == source.Bool && m.Text == "true"
	}
}

const hl7Systems = "http://terminology.hl7.org/CodeSystem/"

// isEnteredInError tells whether an allergy or a condition was recorded by mistake.
func isEnteredInError(n *source.Node) bool {
	system := "condition-ver-status"
	if r4.Text(n, "resourceType") == "AllergyIntolerance" {
		system = "allergyintolerance-verification"
	}
	return slices.Contains(codingsOf(n.Get("verificationStatus")), coding{hl7Systems + system, "entered-in-error"})
}

// isOver tells whether a condition is no longer there.
func isOver(n *source.Node) bool {
	return slices.ContainsFunc(codingsOf(n.Get("clinicalStatus")), func(c coding) bool {
		return c.system == hl7Systems+"condition-clinical" && slices.Contains([]string{"resolved", "remission", "inactive"}, c.code)
	})
}

func usedAtHome(name string) func(*source.Node) bool {
	return func(n *source.Node) bool { return slices.ContainsFunc(r4.Items(n, name), isText("use", "home")) }
}

// repeatsLinkID tells whether two items of a Questionnaire, however deep, have one linkId.
func repeatsLinkID(n *source.Node) bool {
	seen := map[string]bool{}
	todo := slices.Clone(r4.Items(n, "item"))
	for len(todo) > 0 {
		item := todo[len(todo)-1]
		todo = append(todo[:len(todo)-1], r4.Items(item, "item")...)
		id := r4.Text(item, "linkId")
		if seen[id] && id != "" {
			return true
		}
		seen[id] = true
	}
	return false
}

// inPercent tells whether the ends of a range are, as far as they are there.
func inPercent(n *source.Node) bool {
	for _, end := range []string{"low", "high"} {
		if of := n.Get(end); of != nil && ucumCode(of) != "%" {
			return false
		}
	}
	return true
}

// undefined are the types whose own rules are not known: they define other things.
var undefined = setOf(`CapabilityStatement CodeSystem CompartmentDefinition ConceptMap ExampleScenario GraphDefinition ImplementationGuide
	MessageDefinition NamingSystem OperationDefinition SearchParameter StructureDefinition StructureMap TerminologyCapabilities TestReport TestScript ValueSet`)

// areRulesKnown tells whether the rules of a resource type are judged, beside its shape and
// its data types.
func areRulesKnown(kind string) bool { return shape.IsResource(kind) && !undefined[kind] }
