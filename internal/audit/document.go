package audit

import (
	"slices"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
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
		status := r4.Text(composition.node, "status")
		want := mapping.CompositionStatus(record.Status(r4.Text(r.node, "status")))
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
		for _, agent := range r4.Items(r.node, "agent") {
			if r.kind == "Provenance" && slices.Contains(codingsOf(agent.Get("type")), coding{terms.SystemProvenanceParticipant, "verifier"}) {
				verifiers = append(verifiers, whoIs(agent.Get("who")))
			}
		}
	}
	for i, attester := range r4.Items(composition.node, "attester") {
		if who := whoIs(attester.Get("party")); !slices.Contains(verifiers, who) {
			c.say("document-attester", attester, composition.at("/attester"+source.Pointer(i)), "somebody vouches for the document who did not verify the session", "", "the verifier whom the Provenance names")
		}
	}
}

// whoIs gives what tells one person from another.
func whoIs(reference *source.Node) string {
	id := reference.Get("identifier")
	return r4.Text(reference, "reference") + " " + r4.Text(id, "system") + "|" + r4.Text(id, "value")
}

// composition gives the Composition of a session's document, nil where there is none.
func (c *check) composition() *resource {
	if !c.whole() || c.kind != string(mapping.Document) || len(c.resources) == 0 || c.resources[0].kind != "Composition" {
		return nil
	}
	return c.resources[0]
}
