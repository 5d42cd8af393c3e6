package derive

import (
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Held is one reason why a session stays preliminary although it was verified.
type Held struct {
	Code  string
	Words string
}

// TiedRule is the rule that a verifier confirms on the sheet when the injections
// tie and lie as far apart as the tolerance or farther.
const TiedRule = "replicates-tied"

// Hold tells why a session that was derived stays preliminary whatever its verifier
// does: none of it may become final until the reason is gone. It is empty where
// nothing holds the session.
func Hold(s *record.Session) []Held {
	w := newWork(s, s.Facts)
	var held []Held
	if label := s.Verdict().Label; measure.Curable(label.Reason) {
		held = append(held, because(label.Reason))
	}
	if w.code(record.TheSession, "sign-contradicts") == "unanswered" {
		held = append(held, because("sign-unanswered"))
	}
	held = append(held, w.heldByInjections()...)
	if w.tip().holds {
		held = append(held, because("catheter-tip"))
	}
	return held
}

// heldByInjections: one injection alone, none that agree, none at all, or a tie that
// is wide and not confirmed.
func (w *work) heldByInjections() []Held {
	switch r := &w.agreed; {
	case r.reason != "":
		return []Held{because(r.reason)}
	case r.code == "single":
		return []Held{{"single-injection", "one injection alone: its precision is not known"}}
	case r.code == "tie" && r.Wide && !w.confirmed(TiedRule):
		return []Held{{"tie-unconfirmed", "tied injections lie as far apart as the tolerance, and the verifier has not confirmed their mean"}}
	}
	return nil
}

// because gives a reason of the table in its words.
func because(code string) Held {
	r, _ := measure.ReasonOf(code)
	return Held{code, r.Words}
}

// confirmed tells whether the verifier confirmed a rule on the sheet, saying why.
func (w *work) confirmed(rule string) bool {
	for _, c := range w.confirmations {
		if w.text(c, "confirmed-rule") == rule && w.text(c, "confirmed-why") != "" &&
			w.text(c, "confirmed-by") != "" && w.text(c, "confirmed-by") == w.session.Verification.By {
			return true
		}
	}
	return false
}
