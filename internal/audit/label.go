package audit

import (
	"slices"
	"strings"

	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
)

// labelOf gives the flow label of an Observation: from our extension or, where
// that is missing, from the component. found tells whether there is one at all.
func labelOf(r *resource) (l measure.Label, found bool) {
	for _, e := range items(r.node, "extension") {
		if l, found = labelIn(e.Get("valueCodeableConcept")); found {
			return l, true
		}
	}
	for _, comp := range items(r.node, "component") {
		if l, found = labelIn(comp.Get("valueCodeableConcept")); found {
			return l, true
		}
	}
	return measure.Label{}, false
}

// labelIn reads a label from a concept that has a coding of our flow labels.
func labelIn(concept *source.Node) (measure.Label, bool) {
	var code, reason string
	for _, c := range codingsOf(concept) {
		switch {
		case strings.HasSuffix(c.system, measure.LabelCodesAt):
			code = c.code
		case strings.HasSuffix(c.system, measure.ReasonCodes):
			reason = c.code
		}
	}
	if code == "" {
		return measure.Label{}, false
	}
	l, _ := measure.LabelOf(code, reason)
	return l, true
}

// flowCodes tells which codes stand for a blood flow of the patient, or for what
// is made of one and carries its label.
func flowCodes(r *resource) []coding {
	var all []coding
	for _, c := range codingsOf(r.node.Get("code")) {
		if m := codeIndex()[c.code]; m != nil && m.Labelled && (c.system == terms.SystemLOINC || strings.HasSuffix(c.system, measure.MeasureCodes)) {
			all = append(all, c)
		}
	}
	return all
}

// flowWithoutLabel: in our bundles a blood flow of the patient says which flow it
// is. The flow of the loop has another code.
func flowWithoutLabel(c *check, r *resource) {
	if !r.ours || len(flowCodes(r)) == 0 {
		return
	}
	if _, found := labelOf(r); !found {
		c.say("flow-without-label", r.node, r.pointer, "a blood flow does not say which flow it is", "", "a flow label as extension")
	}
}

// flowUnlabelledElsewhere: the same in what others wrote, for the published codes
// of flow by indicator dilution; a warning, since nobody else knows our label.
func flowUnlabelledElsewhere(c *check, r *resource) {
	if r.ours {
		return
	}
	if _, found := labelOf(r); found {
		return
	}
	for _, code := range flowCodes(r) {
		if code.system == terms.SystemLOINC {
			c.say("flow-unlabelled-elsewhere", r.node.Get("code"), r.at("/code"), "LOINC "+code.code+" stands without a word on shunts", "", "with an open duct or ventricular defect it is not the output of the left ventricle; a flow label says so")
			return
		}
	}
}

// leftCodes are the published codes of the left ventricle by indicator dilution.
func leftCodes(r *resource) []coding {
	var all []coding
	for _, c := range flowCodes(r) {
		m := codeIndex()[c.code]
		for _, w := range m.Codes {
			if c.system == terms.SystemLOINC && w.LOINC == c.code && w.When == "LVO" {
				all = append(all, c)
			}
		}
	}
	return all
}

// leftCodeWithoutLeftLabel: a code of the left ventricle under any label that
// does not contain its output says what is not so.
func leftCodeWithoutLeftLabel(c *check, r *resource) {
	l, found := labelOf(r)
	if !found {
		return
	}
	for _, code := range leftCodes(r) {
		if !l.Flows.Contains(measure.LVO) {
			c.say("left-code-without-left-label", r.node.Get("code"), r.at("/code"), "LOINC "+code.code+" stands under the label "+l.Code(), "", "only under a label that contains LVO")
		}
	}
}

// labelCode: the local code of a flow says the same as its label.
func labelCode(c *check, r *resource) {
	l, found := labelOf(r)
	if !found {
		return
	}
	for _, code := range codingsOf(r.node.Get("code")) {
		m := codeIndex()[code.code]
		if m == nil || !strings.HasSuffix(code.system, measure.MeasureCodes) {
			continue
		}
		for _, w := range m.Codes {
			if w.Local == code.code && !allows(l, w.When) {
				c.say("label-code", r.node.Get("code"), r.at("/code"), "the code "+code.code+" stands under the label "+l.Code(), "", "code and label say the same")
			}
		}
	}
}

// allows tells whether a label meets the condition of a code.
func allows(l measure.Label, when string) bool {
	if when == measure.NotDetermined {
		return !l.Determined() && !l.Part
	}
	f, ok := measure.FlowOf(when)
	return ok && l.Flows.Contains(f)
}

// subjectDiffers: all resources of a session are about one patient.
func subjectDiffers(c *check) {
	if !c.ours {
		return
	}
	counts := map[string]int{}
	for _, r := range c.resources {
		if s := subjectOf(r); s != "" {
			counts[s]++
		}
	}
	if len(counts) < 2 {
		return
	}
	usual := mostOf(counts)
	for _, r := range c.resources {
		if s := subjectOf(r); s != "" && s != usual {
			c.say("subject-differs", r.node.Get("subject"), r.at("/subject"), "the subject is not that of the rest of the bundle", "", "one patient for a session")
		}
	}
}

func subjectOf(r *resource) string {
	s := r.node.Get("subject")
	if s == nil {
		return ""
	}
	id := s.Get("identifier")
	return textAt(s, "reference") + " " + textAt(id, "system") + "|" + textAt(id, "value")
}

// mostOf gives the key with the highest count, the least of them where several
// have it.
func mostOf(counts map[string]int) string {
	var best string
	for key, n := range counts {
		if best == "" || n > counts[best] || n == counts[best] && key < best {
			best = key
		}
	}
	return best
}

// sessionDiffers: all of our resources in a bundle belong to one session.
func sessionDiffers(c *check) {
	counts := map[string]int{}
	for _, r := range c.resources {
		if r.ours {
			counts[r.identity.session]++
		}
	}
	if len(counts) < 2 {
		return
	}
	usual := mostOf(counts)
	for _, r := range c.resources {
		if r.ours && r.identity.session != usual {
			c.say("session-differs", r.node.Get("identifier"), r.at("/identifier"), "the resource belongs to another session", "", "one session for a bundle")
		}
	}
}

// testMarkDiffers: test data is marked on every resource, or nothing is test data.
func testMarkDiffers(c *check) {
	if !c.ours {
		return
	}
	marked := 0
	for _, r := range c.resources {
		if isTest(r) {
			marked++
		}
	}
	if marked == 0 || marked == len(c.resources) {
		return
	}
	for _, r := range c.resources {
		if !isTest(r) {
			c.say("test-mark-differs", r.node, r.pointer, "this resource lacks the mark of test data that others have", "", "HTEST on every resource, or on none")
		}
	}
}

func isTest(r *resource) bool {
	for _, c := range items(r.node.Get("meta"), "security") {
		if textAt(c, "system") == terms.SystemActReason && textAt(c, "code") == "HTEST" {
			return true
		}
	}
	return false
}

// finalWithoutVerifier: what is final, amended or corrected was verified: the
// provenance names a verifier and the Observation the time.
func finalWithoutVerifier(c *check) {
	if !c.ours {
		return
	}
	verified := false
	for _, r := range c.resources {
		verified = verified || r.kind == "Provenance" && hasVerifier(r)
	}
	for _, r := range c.resources {
		status := textAt(r.node, "status")
		if r.kind != "Observation" || !r.ours || !slices.Contains([]string{"final", "amended", "corrected"}, status) {
			continue
		}
		if !verified || textAt(r.node, "issued") == "" {
			c.say("final-without-verifier", r.node.Get("status"), r.at("/status"), "the status is {}", status, "a verifier in the provenance, and the time of verification as issued")
		}
	}
}

func hasVerifier(r *resource) bool {
	for _, a := range items(r.node, "agent") {
		if slices.Contains(codingsOf(a.Get("type")), coding{terms.SystemProvenanceParticipant, "verifier"}) {
			return true
		}
	}
	return false
}

// derivedFromExcluded: the value of a session is never made from an excluded
// injection. The load is a group, not a value: every injection counts in it.
func derivedFromExcluded(c *check) {
	excluded := map[string]bool{} // keys of things
	for _, r := range c.resources {
		if !r.ours {
			continue
		}
		for _, comp := range items(r.node, "component") {
			for _, code := range codingsOf(comp.Get("code")) {
				if code.code == "exclusion-cause" && strings.HasSuffix(code.system, measure.MeasureCodes) {
					excluded[r.identity.ref.About.Key] = true
				}
			}
		}
	}
	for _, r := range c.resources {
		m := measure.Get(r.identity.ref.Measure)
		if !r.ours || m == nil || m.Kind == measure.Group || r.identity.ref.About.Kind != measure.Session {
			continue
		}
		for i, ref := range items(r.node, "derivedFrom") {
			target := c.byURL[textAt(ref, "reference")]
			if target != nil && target.ours && target.identity.ref.About.Kind == measure.Injection && excluded[target.identity.ref.About.Key] {
				c.say("derived-from-excluded", ref, r.at("/derivedFrom"+source.Pointer(i)), "the value is made from an excluded injection", "", "only from injections that count")
			}
		}
	}
}

// base gives the canonical base of our own systems in the bundle, "" where none
// shows.
func (v *view) base() string {
	for _, r := range v.resources {
		if base := baseOf(r.node); r.ours && base != "" {
			return base
		}
	}
	return ""
}
