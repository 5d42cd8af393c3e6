package repeatability

// reason is why something does not count. The codes stay.
type reason string

// The reasons, in the order in which they are told.
const (
	unreadable      reason = "unreadable"
	documentsDiffer reason = "documents-differ"
	repeated        reason = "repeated"
	earlierRevision reason = "earlier-revision"
	withdrawn       reason = "withdrawn"
	otherTest       reason = "test-or-patient"
	notVerified     reason = "not-verified"
	notChosen       reason = "not-chosen"
	leftOut         reason = "injections-not-in-bundle"
	twoStates       reason = "two-states"
	tooFew          reason = "fewer-than-two"
)

// reasons gives each its words.
var reasons = []struct {
	reason
	words string
}{
	{unreadable, "not readable as a session: audit tells more"},
	{documentsDiffer, "two documents of one revision differ: nobody can tell which one holds"},
	{repeated, "the same revision again: counted once"},
	{earlierRevision, "earlier revision: the latest one counts"},
	{withdrawn, "withdrawn"},
	{otherTest, "test session, or one of a patient, where the other is wanted"},
	{notVerified, "not verified"},
	{notChosen, "of another kind than the one that was chosen"},
	{leftOut, "the bundle carries no single injections"},
	{twoStates, "treatment changed between injections, or too long a gap: not one state"},
	{tooFew, "fewer than two valid injections with a flow"},
}

// isFault tells whether the reason is something wrong with the documents.
func (r reason) isFault() bool { return r == unreadable || r == documentsDiffer }

// against gives the reason why a session does not count, "" where it does.
func (o Options) against(h *held) reason {
	switch {
	case h.differ:
		return documentsDiffer
	case h.withdrawn:
		return withdrawn
	case o.Test != "" && (o.Test == "yes") != h.test:
		return otherTest
	case o.Verified && !h.verified:
		return notVerified
	case !o.chosen(h):
		return notChosen
	case h.leftOut:
		return leftOut
	case h.twoStates:
		return twoStates
	case len(h.flows) < 2:
		return tooFew
	}
	return ""
}

func (o Options) chosen(h *held) bool {
	for trait, value := range o.Only {
		if value != "" && h.traits[trait] != value {
			return false
		}
	}
	return true
}
