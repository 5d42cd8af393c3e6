package audit

import (
	"slices"

	"saltmark/internal/finding"
	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// documentStatus: the Composition of a session's document has the standing that its
// report has. Whoever reads the document reads that first.
func documentStatus(c *check) {
	composition := c.composition()
	if composition == nil {
		return
	}
	for _, r := range c.resources {
		if r.kind != "DiagnosticReport" || !r.ours {
			continue
		}
		status := textAt(composition.node, "status")
		want := mapping.CompositionStatus(record.Status(textAt(r.node, "status")))
		if want != "" && status != want {
			c.say("document-status", composition.node.Get("status"), composition.at("/status"), "the status of the document is {}", status, finding.Say("its report makes it {1}", finding.Data(want)))
		}
	}
}

// documentAttester: nobody vouches for a document but who verified the session.
func documentAttester(c *check) {
	composition := c.composition()
	if composition == nil {
		return
	}
	var verifiers []string
	for _, r := range c.resources {
		for _, agent := range items(r.node, "agent") {
			if r.kind == "Provenance" && slices.Contains(codingsOf(agent.Get("type")), coding{terms.SystemProvenanceParticipant, "verifier"}) {
				verifiers = append(verifiers, whoIs(agent.Get("who")))
			}
		}
	}
	for i, attester := range items(composition.node, "attester") {
		if who := whoIs(attester.Get("party")); !slices.Contains(verifiers, who) {
			c.say("document-attester", attester, composition.at("/attester"+source.Pointer(i)), "somebody vouches for the document who did not verify the session", "", "the verifier whom the Provenance names")
		}
	}
}

// whoIs gives what tells one person from another.
func whoIs(reference *source.Node) string {
	id := reference.Get("identifier")
	return textAt(reference, "reference") + " " + textAt(id, "system") + "|" + textAt(id, "value")
}

// composition gives the Composition of a session's document, nil where there is none.
func (c *check) composition() *resource {
	if !c.whole() || c.kind != string(mapping.Document) || len(c.resources) == 0 || c.resources[0].kind != "Composition" {
		return nil
	}
	return c.resources[0]
}
