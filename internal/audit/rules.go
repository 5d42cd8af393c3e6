package audit

import (
	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// check is one run of the rules over one document.
type check struct {
	*view
	off   map[string]bool
	fresh bool
	found finding.List
}

// resourceRule judges a resource as a whole.
type resourceRule struct {
	id    string
	types []string // resource types; none = all
	judge func(c *check, r *resource)
}

// nodeRule judges one object inside a resource, wherever it stands.
type nodeRule struct {
	id    string
	judge func(w *walk, name string, n *source.Node)
}

// documentRule judges the document as a whole.
type documentRule struct {
	id    string
	judge func(c *check)
}

var resourceRules = []resourceRule{
	{"element-missing", nil, elementMissing},
	{"binding-required", nil, bindingRequired},
	{"absent-with-value", observation, absentWithValue},
	{"component-repeats-code", observation, componentRepeatsCode},
	{"vital-sign-main-code", observation, vitalMainCode},
	{"vital-sign-category", observation, vitalCategory},
	{"vital-sign-incomplete", observation, vitalIncomplete},
	{"vital-sign-unit", observation, vitalUnit},
	{"vital-sign-component", observation, vitalComponent},
	{"unit-of-measure", observation, unitOfMeasure},
	{"sampled-data-text", observation, sampledData},
	{"flow-without-label", observation, flowWithoutLabel},
	{"left-code-without-left-label", observation, leftCodeWithoutLeftLabel},
	{"label-code", observation, labelCode},
	{"flow-unlabelled-elsewhere", observation, flowUnlabelledElsewhere},
}

var nodeRules = []nodeRule{
	{"choice-twice", choiceTwice},
	{"field-list-length", fieldListLength},
	{"time-not-real", timeNotReal},
	{"period-backward", periodBackward},
	{"unit-without-system", unitWithoutSystem},
	{"unit-not-ucum", unitNotUCUM},
	{"loinc-check-digit", loincCheckDigit},
	{"loinc-display", loincDisplay},
	{"code-not-ours", codeNotOurs},
	{"reference-unresolved", referenceUnresolved},
	{"reference-type", referenceType},
	{"narrative-unsafe", narrativeUnsafe},
}

var documentRules = []documentRule{
	{"full-url-missing", fullURLMissing},
	{"full-url-twice", fullURLTwice},
	{"request-missing", requestMissing},
	{"request-forbidden", requestForbidden},
	{"request-type", requestType},
	{"condition-twice", conditionTwice},
	{"identity-twice", identityTwice},
	{"reference-cycle", referenceCycle},
	{"total-forbidden", totalForbidden},
	{"subject-differs", subjectDiffers},
	{"session-differs", sessionDiffers},
	{"test-mark-differs", testMarkDiffers},
	{"final-without-verifier", finalWithoutVerifier},
	{"derived-from-excluded", derivedFromExcluded},
}

var observation = []string{"Observation"}

func (c *check) applyRules() {
	for _, r := range documentRules {
		if !c.off[r.id] {
			r.judge(c)
		}
	}
	for _, one := range c.resources {
		for _, r := range resourceRules {
			if !c.off[r.id] && one.is(r.types) {
				r.judge(c, one)
			}
		}
		c.walk(one)
	}
}

// say adds a finding about a node at a pointer.
func (c *check) say(rule string, n *source.Node, pointer, found, value, allowed string) {
	c.found = append(c.found, finding.New(rule, c.doc.Place(n, pointer), found, value, allowed).Hide())
}
