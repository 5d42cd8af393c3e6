package audit

import (
	"slices"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/internal/source"
	"saltmark/internal/terms"
	"saltmark/mapping/measure"
)

// subjectDiffers: all resources of a session are about one patient.
func subjectDiffers(c *check) {
	if !c.whole() {
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

// subjectOf gives what tells whom a resource is about, "" where it does not say.
func subjectOf(r *resource) string {
	s := r.node.Get("subject")
	if s == nil {
		return ""
	}
	id := s.Get("identifier")
	return r4.Text(s, "reference") + " " + r4.Text(id, "system") + "|" + r4.Text(id, "value")
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
	if !c.whole() {
		return
	}
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
	if !c.whole() {
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
	for _, c := range r4.Items(r.node.Get("meta"), "security") {
		if r4.Text(c, "system") == terms.SystemActReason && r4.Text(c, "code") == "HTEST" {
			return true
		}
	}
	return false
}

// finalWithoutVerifier: what is final, amended or corrected was verified: the
// provenance names a verifier, and the value or report has the time of it.
func finalWithoutVerifier(c *check) {
	var finals int
	for _, r := range c.resources {
		if !isFinal(r) {
			continue
		}
		finals++
		if r4.Text(r.node, "issued") == "" {
			c.say("final-without-verifier", r.node.Get("status"), r.at("/status"), "the status is {} and no time of verification stands beside it", r4.Text(r.node, "status"), "the time of verification as issued")
		}
	}
	if !c.whole() || finals == 0 {
		return
	}
	place := &resource{node: c.root()}
	for _, r := range c.resources {
		if r.kind == "Provenance" {
			if hasVerifier(r) {
				return
			}
			place = r
		}
	}
	c.say("final-without-verifier", place.node, place.pointer, finding.Say("no verifier stands behind {1} final values", finding.Number(finals)), "", "the provenance names who verified them")
}

// isFinal tells whether a resource of ours says of itself that it was verified.
func isFinal(r *resource) bool {
	if !r.ours || r.kind != "Observation" && r.kind != "DiagnosticReport" {
		return false
	}
	return slices.Contains([]string{"final", "amended", "corrected"}, r4.Text(r.node, "status"))
}

func hasVerifier(r *resource) bool {
	for _, a := range r4.Items(r.node, "agent") {
		if slices.Contains(codingsOf(a.Get("type")), coding{terms.SystemProvenanceParticipant, "verifier"}) {
			return true
		}
	}
	return false
}

// derivedFromExcluded: the value of a session is never made from an excluded
// injection. The load is a group, not a value: every injection counts in it.
func derivedFromExcluded(c *check) {
	excluded := c.excludedInjections()
	for _, r := range c.resources {
		m := measure.Get(r.identity.ref.Measure)
		if !r.ours || m == nil || m.Kind == measure.Group || r.identity.ref.About.Kind != measure.Session {
			continue
		}
		for i, ref := range r4.Items(r.node, "derivedFrom") {
			target := c.byURL[r4.Text(ref, "reference")]
			if target != nil && target.ours && target.identity.ref.About.Kind == measure.Injection && excluded[injectionOf(target)] {
				c.say("derived-from-excluded", ref, r.at("/derivedFrom"+source.Pointer(i)), "the value is made from an excluded injection", "", "only from injections that count")
			}
		}
	}
}

// injectionOf gives session and key of the injection that a resource is about.
func injectionOf(r *resource) [2]string {
	return [2]string{r.identity.session, r.identity.ref.About.Key}
}

func (c *check) excludedInjections() map[[2]string]bool {
	excluded := map[[2]string]bool{}
	for _, r := range c.resources {
		if !r.ours || r.identity.ref.About.Kind != measure.Injection {
			continue
		}
		for _, n := range r4.Items(r.node, "component") {
			for _, code := range r4.Items(n.Get("code"), "coding") {
				if r4.Text(code, "code") == "exclusion-cause" && strings.HasSuffix(r4.Text(code, "system"), measure.MeasureCodes) {
					excluded[injectionOf(r)] = true
				}
			}
		}
	}
	return excluded
}
