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

// Invariants of data types and of parts that can be told from a value alone (FHIR R4
// 4.0.1).

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
	for i := range table {
		if table[i].broken(n) {
			w.report(rule, n, table[i].found, "", finding.Say("{1} (invariant {2} of FHIR R4)", allowed, finding.Data(table[i].key)))
			return
		}
	}
}

// with wants a second member beside a first.
func with(key, name, other string) invariant {
	return invariant{key, func(n *source.Node) bool { return holdsElement(n, name) && !holdsElement(n, other) },
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
func timingForm(w *walk, _ string, n *source.Node) {
	w.firstBroken("timing-form", repeats, n, "numbers with their units, limits with what they limit")
}

// contacts are the invariants of ContactPoint.
var contacts = []invariant{with("cpt-2", "value", "system")}

// contactWithoutSystem (cpt-2): a number or address of a person says what it is.
func contactWithoutSystem(w *walk, _ string, n *source.Node) {
	w.firstBroken("contact-without-system", contacts, n, "phone, fax, email, pager, url, sms or other as system")
}

// contactEmpty (pat-1): a contact of a patient has details, or an organization.
func contactEmpty(w *walk, _ string, n *source.Node) {
	if !has(n, "name") && !has(n, "telecom") && !has(n, "address") && !has(n, "organization") {
		w.report("contact-empty", n, "a contact of the patient says nothing of whom to reach", "", "a name, a number, an address or an organization")
	}
}

// ratioHalf (rat-1): a ratio has two ends, or an extension that says why it has none.
func ratioHalf(w *walk, _ string, n *source.Node) {
	numerator, denominator := n.Get("numerator") != nil, n.Get("denominator") != nil
	if numerator != denominator || !numerator && n.Get("extension") == nil {
		w.report("ratio-half", n, "the ratio lacks an end", "", "numerator and denominator")
	}
}

// kindsOfQuantity are the types that FHIR makes of Quantity, with their invariant and a
// unit of their dimension.
var kindsOfQuantity = map[string]struct{ key, unit string }{
	"Age": {"age-1", "s"}, "Count": {"cnt-3", "1"}, "Distance": {"dis-1", "m"}, "Duration": {"drt-1", "s"},
}

// quantityKind (age-1, cnt-3, dis-1, drt-1): an age, a count, a distance or a duration is
// given in a unit of UCUM of its dimension; a count is whole, an age above nought.
func quantityKind(w *walk, name string, n *source.Node) {
	kind := kindsOfQuantity[name]
	code, system := r4.Text(n, "code"), r4.Text(n, "system")
	var found finding.Text
	switch value, valued := numberIn(n, "value"); {
	case valued && code == "" && kind.key != "drt-1": // see durationCode
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
	w.report("quantity-kind", n, finding.Say(found, finding.Data(name)), "", finding.Say("a {1} in a unit such as {2} (invariant {3} of FHIR R4)", finding.Data(name), finding.Data(kind.unit), finding.Data(kind.key)))
}

// durationCode (drt-1): a duration says its unit as a code too. The words of the invariant
// demand it, its expression does not, so that it is a warning.
func durationCode(w *walk, _ string, n *source.Node) {
	if n.Get("value") != nil && n.Get("code") == nil {
		w.report("duration-without-code", n, "the duration has no unit code", "", "a code of UCUM, such as s")
	}
}

// definitions are the invariants of what describes an event, a condition or data.
var definitions = map[string][]invariant{
	"TriggerDefinition": {
		{"trd-1", func(n *source.Node) bool { return has(n, "data") && hasTiming(n) }, "a trigger has a timing and data"},
		with("trd-2", "condition", "data"),
		{"trd-3", func(n *source.Node) bool { return r4.Text(n, "type") == "named-event" && !has(n, "name") }, "a named event has no name"},
		{"trd-3", func(n *source.Node) bool { return r4.Text(n, "type") == "periodic" && !hasTiming(n) }, "a periodic event has no timing"},
		{"trd-3", func(n *source.Node) bool { return strings.HasPrefix(r4.Text(n, "type"), "data-") && !has(n, "data") }, "a data event has no data"},
	},
	"Expression": {
		{"exp-1", func(n *source.Node) bool { return !has(n, "expression") && !has(n, "reference") }, "the expression has neither a text nor a reference"},
	},
	"DataRequirement.codeFilter": {pathOrSearch("drq-1")},
	"DataRequirement.dateFilter": {pathOrSearch("drq-2")},
}

func pathOrSearch(key string) invariant {
	return invariant{key, func(n *source.Node) bool { return has(n, "path") == has(n, "searchParam") }, "the filter has not one of path and searchParam"}
}

// hasTiming tells whether a trigger has one of the types of timing[x].
func hasTiming(n *source.Node) bool {
	return slices.ContainsFunc(n.Members, func(m source.Member) bool { return strings.HasPrefix(strings.TrimPrefix(m.Name, "_"), "timing") })
}

// definitionForm (trd-1 to trd-3, exp-1, drq-1, drq-2): a trigger, an expression or a
// filter says enough to be followed.
func definitionForm(w *walk, kind string, n *source.Node) {
	w.firstBroken("definition-form", definitions[kind], n, "what the type of the definition asks for")
}

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
