package audit

import (
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/internal/ucum"
)

// Invariants of data types that stand under names of their own (FHIR R4 4.0.1). The
// names are those of the elements of each type in the types that are judged, extensions
// included; an object of another type under one of them has other members.

// invariant is one that can be told from an object alone.
type invariant struct {
	key    string // of FHIR
	broken func(n *source.Node) bool
	found  finding.Text
}

// has tells whether an object has a member, or the extension of its twin.
func has(n *source.Node, name string) bool { return n.Get(name) != nil || n.Get("_"+name) != nil }

// tell reports the first invariant of a table that an object breaks.
func (w *walk) firstBroken(rule string, table []invariant, n *source.Node, allowed finding.Text) {
	if n.Kind != source.Object {
		return
	}
	for i := range table {
		if table[i].broken(n) {
			w.report(rule, n, table[i].found, "", finding.Say("{1} (invariant {2} of FHIR R4)", allowed, finding.Data(table[i].key)))
			return
		}
	}
}

// with wants a second member beside a first.
func with(key, name, other string) invariant {
	return invariant{key, func(n *source.Node) bool { return has(n, name) && !has(n, other) },
		finding.Say("{1} stands without {2}", finding.Data(name), finding.Data(other))}
}

// notNegative wants a number of nought or more.
func notNegative(key, name string) invariant {
	return invariant{key, func(n *source.Node) bool { x, ok := numberIn(n, name); return ok && x.Sign() < 0 },
		finding.Say("{1} is below nought", finding.Data(name))}
}

// mealsAlone are the codes of Timing.repeat.when that name a meal and no point beside it.
var mealsAlone = []string{"C", "CM", "CD", "CV"}

// repeats are the invariants of Timing.repeat.
var repeats = []invariant{
	with("tim-1", "duration", "durationUnit"),
	with("tim-2", "period", "periodUnit"),
	notNegative("tim-4", "duration"),
	notNegative("tim-5", "period"),
	with("tim-6", "periodMax", "period"),
	with("tim-7", "durationMax", "duration"),
	with("tim-8", "countMax", "count"),
	{"tim-9", func(n *source.Node) bool {
		return has(n, "offset") && (!has(n, "when") || slices.ContainsFunc(r4.Items(n, "when"), func(w *source.Node) bool { return slices.Contains(mealsAlone, w.Text) }))
	}, "an offset stands without an event that it is counted from"},
	{"tim-10", func(n *source.Node) bool { return has(n, "timeOfDay") && has(n, "when") }, "a time of day stands beside an event"},
}

// timingForm (tim-1 to tim-10): what a Timing says of repetition can be reckoned with.
func timingForm(w *walk, _ string, _, n *source.Node) {
	w.firstBroken("timing-form", repeats, n, "numbers with their units, limits with what they limit")
}

// contacts are the invariants of ContactPoint.
var contacts = []invariant{with("cpt-2", "value", "system")}

// contactWithoutSystem (cpt-2): a number or address of a person says what it is.
func contactWithoutSystem(w *walk, name string, _, n *source.Node) {
	if name != "contact" || w.resource.kind == "Device" {
		w.firstBroken("contact-without-system", contacts, n, "phone, fax, email, pager, url, sms or other as system")
	}
}

// contactEmpty (pat-1): a contact of a patient has details, or an organization.
func contactEmpty(w *walk, _ string, holder, n *source.Node) {
	if r4.Text(holder, "resourceType") != "Patient" || n.Kind != source.Object {
		return
	}
	if !has(n, "name") && !has(n, "telecom") && !has(n, "address") && !has(n, "organization") {
		w.report("contact-empty", n, "a contact of the patient says nothing of whom to reach", "", "a name, a number, an address or an organization")
	}
}

// ratioHalf (rat-1): a ratio has two ends, or an extension that says why it has none.
// Halves are seen wherever they stand, ratios of nothing under the names that have one.
func ratioHalf(w *walk, name string, holder, n *source.Node) {
	const found, allowed = finding.Text("the ratio lacks an end"), finding.Text("numerator and denominator")
	switch {
	case name == "numerator" && holder.Get("denominator") == nil, name == "denominator" && holder.Get("numerator") == nil:
		w.about("ratio-half", holder, found, "", allowed)
	case n.Kind == source.Object && name != "numerator" && name != "denominator" &&
		n.Get("numerator") == nil && n.Get("denominator") == nil && n.Get("extension") == nil:
		w.report("ratio-half", n, found, "", allowed)
	}
}

// ratioNames are the members that hold a Ratio in the types that are judged, and its ends.
const ratioNames = "maxDosePerPeriod rateRatio valueRatio numerator denominator"

// kindsOfQuantity are the types that FHIR makes of Quantity, by the members that hold
// one, with a unit of their dimension.
var kindsOfQuantity = map[string]struct{ key, kind, unit string }{
	"performedAge": {"age-1", "Age", "s"}, "valueAge": {"age-1", "Age", "s"}, "onsetAge": {"age-1", "Age", "s"},
	"abatementAge": {"age-1", "Age", "s"}, "ageAge": {"age-1", "Age", "s"}, "deceasedAge": {"age-1", "Age", "s"},
	"valueCount":    {"cnt-3", "Count", "1"},
	"valueDistance": {"dis-1", "Distance", "m"},
	"length":        {"drt-1", "Duration", "s"}, "boundsDuration": {"drt-1", "Duration", "s"}, "valueDuration": {"drt-1", "Duration", "s"},
	"timingDuration": {"drt-1", "Duration", "s"}, "dueDuration": {"drt-1", "Duration", "s"}, "offsetDuration": {"drt-1", "Duration", "s"},
	"expectedSupplyDuration": {"drt-1", "Duration", "s"},
}

const kindNames = `performedAge valueAge onsetAge abatementAge ageAge deceasedAge valueCount valueDistance length boundsDuration
	valueDuration timingDuration dueDuration offsetDuration expectedSupplyDuration`

// quantityKind (age-1, cnt-3, dis-1, drt-1): an age, a count, a distance or a duration is
// given in a unit of UCUM of its dimension; a count is whole, an age above nought.
func quantityKind(w *walk, name string, _, n *source.Node) {
	kind := kindsOfQuantity[name]
	if n.Kind != source.Object {
		return
	}
	code, system := r4.Text(n, "code"), r4.Text(n, "system")
	var found finding.Text
	switch value, valued := numberIn(n, "value"); {
	case valued && code == "":
		found = "{1} has no unit code"
	case kind.key == "drt-1" && code != "" && !has(n, "value"):
		found = "{1} has a unit and no value"
	case system != "" && system != terms.SystemUCUM, kind.key == "drt-1" && code != "" && system == "":
		found = "the unit of {1} is not of UCUM"
	case kind.key == "cnt-3" && code != "" && code != "1", code != "" && w.isUCUM(code) && !ucum.Commensurable(code, kind.unit):
		found = "{1} has a unit of another dimension"
	case kind.key == "cnt-3" && valued && !value.IsInt():
		found = "{1} is not whole"
	case kind.key == "age-1" && valued && value.Sign() <= 0:
		found = "{1} is not above nought"
	default:
		return
	}
	w.report("quantity-kind", n, finding.Say(found, finding.Data(kind.kind)), "", finding.Say("a {1} in a unit such as {2} (invariant {3} of FHIR R4)", finding.Data(kind.kind), finding.Data(kind.unit), finding.Data(kind.key)))
}

// triggers, expressions and filters are the invariants of what stands in extensions only.
var (
	triggers = []invariant{
		{"trd-1", func(n *source.Node) bool { return has(n, "data") && hasTiming(n) }, "a trigger has a timing and data"},
		with("trd-2", "condition", "data"),
		{"trd-3", func(n *source.Node) bool { return r4.Text(n, "type") == "named-event" && !has(n, "name") }, "a named event has no name"},
		{"trd-3", func(n *source.Node) bool { return r4.Text(n, "type") == "periodic" && !hasTiming(n) }, "a periodic event has no timing"},
		{"trd-3", func(n *source.Node) bool { return strings.HasPrefix(r4.Text(n, "type"), "data-") && !has(n, "data") }, "a data event has no data"},
	}
	expressions = []invariant{
		{"exp-1", func(n *source.Node) bool { return !has(n, "expression") && !has(n, "reference") }, "the expression has neither a text nor a reference"},
	}
	filters = map[string][]invariant{
		"codeFilter": {pathOrSearch("drq-1")},
		"dateFilter": {pathOrSearch("drq-2")},
	}
)

func pathOrSearch(key string) invariant {
	return invariant{key, func(n *source.Node) bool { return has(n, "path") == has(n, "searchParam") }, "the filter has not one of path and searchParam"}
}

// hasTiming tells whether a trigger has one of the types of timing[x].
func hasTiming(n *source.Node) bool {
	return slices.ContainsFunc(n.Members, func(m source.Member) bool { return strings.HasPrefix(strings.TrimPrefix(m.Name, "_"), "timing") })
}

// definitionForm (trd-1 to trd-3, exp-1, drq-1, drq-2): a trigger, an expression or a
// filter in an extension says enough to be followed.
func definitionForm(w *walk, name string, holder, n *source.Node) {
	const allowed = finding.Text("what the type of the definition asks for")
	switch {
	case name == "valueTriggerDefinition":
		w.firstBroken("definition-form", triggers, n, allowed)
	case name == "valueExpression", name == "condition" && w.holderName() == "valueTriggerDefinition":
		w.firstBroken("definition-form", expressions, n, allowed)
	case name != "condition":
		w.firstBroken("definition-form", filters[name], n, allowed)
	}
}

const definitionNames = "valueTriggerDefinition valueExpression condition codeFilter dateFilter"

// elementEmpty (ele-1): an element has a value, or something in it beside its id.
func elementEmpty(w *walk, name string, holder, n *source.Node) {
	if len(n.Members) != 1 || n.Members[0].Name != "id" || holder == nil {
		return
	}
	if len(name) > 1 && name[0] == '_' && holder.Get(name[1:]) != nil {
		return // the value stands beside it
	}
	w.report("element-empty", n, finding.Say("{1} holds nothing but an id", finding.Data(name)), "", "a value, or elements")
}
