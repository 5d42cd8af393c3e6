package audit

import (
	"saltmark/internal/derive"
	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// check is one run of the rules over one document.
type check struct {
	*view
	off     map[string]bool
	fresh   bool
	beside  func([]derive.Beside)
	session func(*record.Session)
	rules   *nodeRulesFor
	trail   source.Trail    // what a walk leaves of its trail to the next
	units   map[string]bool // whether a unit code is one of UCUM
	found   finding.List
	told    map[string]int // how often each rule spoke
	// codings are those of a site that the bundle has beside ours.
	codings map[string][]mapping.Coding
}

// documentRule judges the document as a whole.
type documentRule struct {
	id    string
	judge func(c *check)
}

// entryRule judges an entry of a bundle: one with a resource, or every one.
type entryRule struct {
	id    string
	judge func(c *check, e *resource)
}

// resourceRule judges a resource as a whole.
type resourceRule struct {
	id    string
	kind  string // resource type; "" = each that is judged
	judge func(c *check, r *resource)
}

// nodeRule judges the values of some members inside a resource, wherever they
// stand, or each object.
type nodeRule struct {
	id    string
	names string // of members; "" = each object
	judge func(w *walk, name string, holder, n *source.Node)
}

var documentRules = []documentRule{
	{"document-form", documentForm},
	{"document-incomplete", documentIncomplete},
	{"document-unreachable", documentUnreachable},
	{"message-form", messageForm},
	{"message-incomplete", messageIncomplete},
	{"full-url-twice", fullURLTwice},
	{"request-forbidden", requestForbidden},
	{"condition-twice", conditionTwice},
	{"resource-twice", resourceTwice},
	{"identity-twice", identityTwice},
	{"reference-cycle", referenceCycle},
	{"total-forbidden", totalForbidden},
	{"link-twice", linkTwice},
	{"subject-differs", subjectDiffers},
	{"session-differs", sessionDiffers},
	{"test-mark-differs", testMarkDiffers},
	{"narrative-missing", narrativeMissing},
	{"final-without-verifier", finalWithoutVerifier},
	{"derived-from-excluded", derivedFromExcluded},
	{"address-differs", addressDiffers},
	{"document-status", documentStatus},
	{"document-attester", documentAttester},
}

var entryRules = []entryRule{
	{"entry-empty", entryEmpty},
	{"entry-part-forbidden", entryPartForbidden},
	{"full-url-missing", fullURLMissing},
	{"full-url-form", fullURLForm},
	{"full-url-id", fullURLID},
	{"request-missing", requestMissing},
	{"request-type", requestType},
	{"request-resource", requestResource},
	{"request-condition", requestCondition},
	{"condition-empty", conditionEmpty},
	{"response-missing", responseMissing},
	{"response-status", responseStatus},
	{"search-outcome", searchOutcome},
}

var resourceRules = []resourceRule{
	{"profile-type", "", profileType},
	{"absent-with-value", "Observation", absentWithValue},
	{"component-repeats-code", "Observation", componentRepeatsCode},
	{"reference-range-empty", "Observation", referenceRangeEmpty},
	{"vital-sign-main-code", "Observation", vitalMainCode},
	{"vital-sign-category", "Observation", vitalCategory},
	{"vital-sign-incomplete", "Observation", vitalIncomplete},
	{"vital-sign-unit", "Observation", vitalUnit},
	{"vital-sign-component", "Observation", vitalComponent},
	{"vital-sign-value", "Observation", vitalValue},
	{"vital-sign-pressure", "Observation", vitalPressure},
	{"vital-sign-members", "Observation", vitalMembers},
	{"unit-of-measure", "Observation", unitOfMeasure},
	{"reference-range-unit", "Observation", referenceRangeUnit},
	{"sampled-data-text", "Observation", sampledData},
	{"sampled-data-limits", "Observation", sampledDataLimits},
	{"recording-span", "Observation", recordingSpan},
	{"flow-without-label", "Observation", flowWithoutLabel},
	{"flow-unlabelled-elsewhere", "Observation", flowUnlabelledElsewhere},
	{"left-code-without-left-label", "Observation", leftCodeWithoutLeftLabel},
	{"label-code", "Observation", labelCode},
	{"national-profile-broken", "Observation", nationalBroken},
	{"profile-broken", "Observation", profileBroken},
	{"profile-broken", "DiagnosticReport", profileBroken},
	{"picture-unsafe", "DiagnosticReport", pictureUnsafe},
	{"picture-differs", "DiagnosticReport", pictureDiffers},
}

var nodeRules = []nodeRule{
	{"element-empty", "", elementEmpty},
	{"base64-unreadable", base64Names, base64Unreadable},
	{"contained-wrong", "contained", containedWrong},
	{"comparator-forbidden", "comparator", comparatorForbidden},
	{"reference-unresolved", "reference", referenceUnresolved},
	{"reference-base", "reference", referenceBase},
	{"reference-search", "reference", referenceSearch},
	{"condition-empty", "reference", referenceEmptySearch},
	{"reference-disagrees", "reference", referenceDisagrees},
	{"reference-empty", "", referenceEmpty},
	{"batch-reference", "reference", batchReference},
	{"narrative-unsafe", "div", narrativeUnsafe},
}

// quantities are Quantity and the types that are made of it.
const quantities = "Quantity SimpleQuantity Age Count Distance Duration"

var valueRules = []valueRule{
	{"extension-form", "Extension", extensionForm},
	{"extension-value", "Extension", extensionValue},
	{"section-empty", "Composition.section", sectionEmpty},
	{"section-reason", "Composition.section", sectionReason},
	{"timing-form", "Timing.repeat", timingForm},
	{"contact-without-system", "ContactPoint", contactWithoutSystem},
	{"contact-empty", "Patient.contact", contactEmpty},
	{"ratio-half", "Ratio", ratioHalf},
	{"quantity-kind", "Age Count Distance Duration", quantityKind},
	{"duration-without-code", "Duration", durationCode},
	{"definition-form", "TriggerDefinition Expression DataRequirement.codeFilter DataRequirement.dateFilter", definitionForm},
	{"attachment-without-type", "Attachment", attachmentWithoutType},
	{"attachment-differs", "Attachment", attachmentDiffers},
	{"period-backward", "Period", periodBackward},
	{"range-backward", "Range Observation.referenceRange", rangeBackward},
	{"comparator-forbidden", "SimpleQuantity", simpleComparator},
	{"unit-without-system", quantities, unitWithoutSystem},
	{"unit-not-ucum", quantities + " Coding", unitNotUCUM},
	{"meta-twice", "Meta", metaTwice},
	{"identifier-address", "Identifier", identifierAddress},
	{"reference-address", "Reference", referenceAddress},
	{"invariant-broken", otherKinds(), otherBroken},
	{"loinc-check-digit", "Coding", loincCheckDigit},
	{"loinc-display", "Coding", loincDisplay},
	{"loinc-display-elsewhere", "Coding", loincDisplayElsewhere},
	{"code-not-ours", "Coding", codeNotOurs},
	{"mdc-code", "Coding", mdcCode},
	{"code-not-in-system", "Coding", codeNotInSystem},
}

func (c *check) applyRules() {
	c.rules = c.rulesOnNodes()
	for _, r := range documentRules {
		if !c.off[r.id] {
			r.judge(c)
		}
	}
	if c.bundle != nil {
		c.resource(c.bundle)
		c.entries()
	}
	for _, r := range c.resources {
		c.resource(r)
	}
}

// resource applies the rules to a resource and to all that is in it.
func (c *check) resource(r *resource) {
	for _, rule := range resourceRules {
		if !c.off[rule.id] && r.is(rule.kind) {
			rule.judge(c, r)
		}
	}
	c.walk(r)
}

// say adds a finding about a node at a pointer. A value that does not look like a
// code, a number or a time may be anything, so it is not shown.
func (c *check) say(rule string, n *source.Node, pointer string, found finding.Text, value string, allowed finding.Text) {
	if c.enough(rule) {
		return
	}
	c.found = append(c.found, finding.New(rule, c.docs.Place(n, pointer), found, value, allowed).HideProse())
}
