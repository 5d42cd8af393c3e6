package audit

import (
	"slices"
	"strconv"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
)

// extensionForm (ext-1): an extension has a value or further extensions.
func extensionForm(w *walk, _ string, n *source.Node) {
	value := saidOf(n) != ""
	if more := n.Get("extension") != nil; value == more {
		var found finding.Text = "the extension has neither a value nor extensions"
		if value {
			found = "the extension has a value and extensions"
		}
		w.report("extension-form", n, found, "", "one of the two")
	}
	if url := r4.Text(n, "url"); url != "" && isRelative(url) && !w.inExtension() {
		w.below("extension-form", n, "url", "the url of the extension is not absolute", "", "the whole address of the definition; only extensions inside an extension have names alone")
	}
}

// inExtension tells whether the extension that is visited is inside another.
func (w *walk) inExtension() bool {
	holder := w.holderName()
	return holder == "extension" || holder == "modifierExtension"
}

// sectionEmpty (cmp-1): a section has text, entries or sections.
func sectionEmpty(w *walk, _ string, n *source.Node) {
	if n.Get("text") == nil && n.Get("entry") == nil && n.Get("section") == nil {
		w.report("section-empty", n, "the section holds nothing", "", "text, entries or sections")
	}
}

// sectionReason (cmp-2): only a section without entries says why it has none.
func sectionReason(w *walk, _ string, n *source.Node) {
	if n.Get("emptyReason") != nil && n.Get("entry") != nil {
		w.report("section-reason", n, "the section says why it is empty, and has entries", "", "one of the two")
	}
}

// absentWithValue (obs-6): a reason for absence only where no value is, in the
// Observation and in each component.
func absentWithValue(c *check, r *resource) {
	for i, n := range r.parts() {
		reason := n.Get("dataAbsentReason")
		if reason == nil {
			continue
		}
		if name := saidOf(n); name != "" {
			c.say("absent-with-value", reason, r.part(i, "/dataAbsentReason"), finding.Say("a reason for absence stands beside {1}", finding.Data(name)), "", "only one of the two")
		}
	}
}

// valueOf gives the name and node of value[x], "" where there is none.
func valueOf(n *source.Node) (string, *source.Node) {
	for i := range n.Members {
		m := &n.Members[i]
		if len(m.Name) > len("value") && strings.HasPrefix(m.Name, "value") {
			return m.Name, m.Value
		}
	}
	return "", nil
}

// saidOf gives the name of value[x], or of its twin where that alone is there: an element
// that has nothing but extensions is one too.
func saidOf(n *source.Node) string {
	for i := range n.Members {
		if name := strings.TrimPrefix(n.Members[i].Name, "_"); len(name) > len("value") && strings.HasPrefix(name, "value") {
			return name
		}
	}
	return ""
}

// componentRepeatsCode (obs-7): where a component has the code of the Observation
// itself, the Observation has no value.
func componentRepeatsCode(c *check, r *resource) {
	if saidOf(r.node) == "" {
		return
	}
	for i, n := range r.parts() {
		for _, code := range r4.Items(n.Get("code"), "coding") {
			if i >= 0 && slices.Contains(r.codes, coding{r4.Text(code, "system"), r4.Text(code, "code")}) {
				c.say("component-repeats-code", n, r.part(i, ""), "a component has the code of the Observation, which has a value", "", "such a component only without a value beside it")
			}
		}
	}
}

// referenceRangeEmpty (obs-3): a reference range has an end or a text.
func referenceRangeEmpty(c *check, r *resource) {
	for i, n := range r.parts() {
		for k, of := range r4.Items(n, "referenceRange") {
			if of.Get("low") == nil && of.Get("high") == nil && of.Get("text") == nil {
				c.say("reference-range-empty", of, r.part(i, "/referenceRange/"+strconv.Itoa(k)), "the reference range says nothing", "", "low, high or text")
			}
		}
	}
}

// narrativeMissing (dom-6): a resource has a narrative. FHIR recommends it, so one note
// tells of all that have none.
func narrativeMissing(c *check) {
	var first *resource
	count := 0
	for _, r := range c.resources {
		if judgedTypes[r.kind] && r.kind != "Bundle" && r.node.Get("text").Get("div") == nil {
			if count++; count == 1 {
				first = r
			}
		}
	}
	if count > 0 {
		c.say("narrative-missing", first.node, first.pointer, finding.Say("resources without a narrative: {1}", finding.Number(count)), "", "FHIR R4 recommends one for people who read without a program")
	}
}
