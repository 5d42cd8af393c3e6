package audit

import (
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
)

// labelOf gives the flow label of an Observation: from our extension or, where
// that is missing, from the component. found tells whether there is one at all.
func labelOf(n *source.Node) (l measure.Label, found bool) {
	for _, list := range []string{"extension", "component"} {
		for _, holder := range r4.Items(n, list) {
			if l, found = labelIn(holder.Get("valueCodeableConcept")); found {
				return l, true
			}
		}
	}
	return measure.Label{}, false
}

// labelIn reads a label from a concept that has a coding of our flow labels.
func labelIn(concept *source.Node) (measure.Label, bool) {
	var code, reason string
	for _, c := range r4.Items(concept, "coding") {
		switch system := r4.Text(c, "system"); {
		case strings.HasSuffix(system, measure.LabelCodesAt):
			code = r4.Text(c, "code")
		case strings.HasSuffix(system, measure.ReasonCodes):
			reason = r4.Text(c, "code")
		}
	}
	if code == "" {
		return measure.Label{}, false
	}
	l, _ := measure.LabelOf(code, reason)
	return l, true
}

// flowCode gives a code of a resource that stands for a blood flow of the patient,
// or for what is made of one and carries its label. published asks for one of LOINC.
func flowCode(r *resource, published bool) (coding, bool) {
	for _, c := range r.codes {
		if m := measureOf(c); m != nil && m.Labelled && (!published || c.system == terms.SystemLOINC) {
			return c, true
		}
	}
	return coding{}, false
}

// flowWithoutLabel: in our bundles a blood flow of the patient says which flow it
// is, whoever put it there. The flow of the loop has another code.
func flowWithoutLabel(c *check, r *resource) {
	if !r.ours && !c.whole() || r.labelled {
		return
	}
	if _, flow := flowCode(r, false); flow {
		c.say("flow-without-label", r.node, r.pointer, "a blood flow does not say which flow it is", "", "a flow label as extension")
	}
}

// flowUnlabelledElsewhere: the same in what others wrote, for the published codes
// of flow by indicator dilution; a warning, since nobody else knows our label.
func flowUnlabelledElsewhere(c *check, r *resource) {
	if r.ours || c.whole() || r.labelled {
		return
	}
	if code, flow := flowCode(r, true); flow {
		c.say("flow-unlabelled-elsewhere", r.node.Get("code"), r.at("/code"), finding.Say("LOINC {1} stands without a word on shunts", finding.Data(code.code)), "", "with an open duct or ventricular defect it is not the output of the left ventricle; a flow label says so")
	}
}

// leftCodeWithoutLeftLabel: a published code that names the flow of a ventricle, by
// whatever method, under a label that does not contain that flow says what is not so.
func leftCodeWithoutLeftLabel(c *check, r *resource) {
	if !r.labelled {
		return
	}
	for _, code := range r.codes {
		name, named := terms.NamedFlow(code.system, code.code)
		if flow, whole := measure.FlowOf(name); named && whole && !r.label.Flows.Contains(flow) {
			c.say("left-code-without-left-label", r.node.Get("code"), r.at("/code"), finding.Say("the code {1} stands under the label {2}", finding.Data(code.code), finding.Data(r.label.Code())), "", finding.Say("only under a label that contains {1}", finding.Data(name)))
		}
	}
}

// labelCode: the local code of a flow says the same as its label.
func labelCode(c *check, r *resource) {
	if !r.labelled {
		return
	}
	for _, code := range r.codes {
		m := measureOf(code)
		if m == nil || code.system == terms.SystemLOINC {
			continue
		}
		for _, w := range m.Codes {
			if w.Local == code.code && !allows(r.label, w.When) {
				c.say("label-code", r.node.Get("code"), r.at("/code"), finding.Say("the code {1} stands under the label {2}", finding.Data(code.code), finding.Data(r.label.Code())), "", "code and label say the same")
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
