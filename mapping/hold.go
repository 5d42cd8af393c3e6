package mapping

import (
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Held is one reason why a session stays preliminary although it was verified.
type Held struct {
	Code  string
	Words measure.Words // what would complete the session, or what is the matter with it
}

// besideKey is the row that says how the flow stands beside the one recomputed from the
// curves, and onlyRecomputed its code where the monitor reported none.
const (
	besideKey      = "recomputed-agreement"
	onlyRecomputed = "only-recomputed"
)

// TiedRule is the rule that a verifier confirms on the sheet when the injections
// tie and lie as far apart as the tolerance or farther.
const TiedRule = "replicates-tied"

// Hold tells why a derived session stays preliminary whatever its verifier does:
// none of it may become final until the reason is gone. It goes by the facts alone,
// and is empty where nothing holds the session.
func Hold(s *record.Session) []Held {
	h := newHolding(standingSession(s))
	var held []Held
	for _, row := range holdRows {
		if row.when(h) {
			held = append(held, Held{row.code, row.words})
		}
	}
	return held
}

// holding is what may hold a session.
type holding struct {
	doubt        string // reason of the flow's label
	contradicted bool   // a sign against the stated context is not answered
	bySign       bool   // the area is in doubt for that sign alone
	missing      string // why there is no flow
	agreement    string
	tied         bool // wide, and not confirmed
	tip          string
	fromCurves   bool // no monitor showed the flow
}

func newHolding(s *record.Session) holding {
	h := holding{
		contradicted: s.Code(record.TheSession, "sign-contradicts") == "unanswered",
		agreement:    s.Code(record.TheSession, "agreement"),
		fromCurves:   s.Code(record.TheSession, besideKey) == onlyRecomputed,
		tip:          s.Code(record.Thing{Kind: measure.Catheter, Key: "venous"}, "catheter-tip"),
	}
	if flow := sessionFlow(s); flow != nil {
		h.doubt, h.missing = flow.Label.Reason, flow.Value.Absent.Reason
	}
	h.bySign = h.contradicted && s.Shunts().Contradicts()
	h.tied = h.agreement == "tie" && wide(s) && !confirmed(s, TiedRule)
	return h
}

// holdRow is one thing that holds a session.
type holdRow struct {
	code  string
	when  func(holding) bool
	words wording
}

// holdRows is the table, in the order in which reasons are named: those of the label
// that further data could cure, a sign, the injections, the tip of the catheter.
var holdRows = []holdRow{
	{"stale-assessment", doubts("stale-assessment"), wording{"enter the shunt findings to complete it", "zum Abschluss die Shunt-Beurteilung eintragen"}},
	{"not-assessed", doubts("not-assessed"), wording{"enter the shunt findings to complete it", "zum Abschluss die Shunt-Beurteilung eintragen"}},
	{
		"monitor-area-excludes-lungs", doubts("monitor-area-excludes-lungs"),
		wording{
			"a flow recomputed from the curve, or a monitor that counts what recirculates through the lungs, could complete it",
			"Abschluss nur mit einem aus der Kurve neu berechneten Fluss oder einem Monitor, der die Rezirkulation durch die Lunge mitzählt",
		},
	},
	{
		"monitor-area-unknown", func(h holding) bool { return h.doubt == "monitor-area-unknown" && !h.bySign },
		wording{"the settings of the monitor must say what its area counts", "zum Abschluss in den Einstellungen zum Monitor angeben, was seine Kurvenfläche mitzählt"},
	},
	{
		"sign-unanswered", func(h holding) bool { return h.contradicted },
		wording{"the verifier answers the contradiction in writing to complete it", "zum Abschluss muss die prüfende Person schriftlich zum Widerspruch Stellung nehmen"},
	},
	{"no-agreeing-pair", lacks("no-agreeing-pair"), wording{"no two injections agree", "keine zwei Injektionen stimmen überein"}},
	{"injection-failed", lacks("injection-failed"), wording{"all injections failed", "alle Injektionen misslungen"}},
	{"recording-doubtful", lacks("recording-doubtful"), wording{"the recordings make the flow doubtful, and no monitor showed one", "die Aufzeichnungen machen den Fluss zweifelhaft, und kein Monitor zeigte einen an"}},
	{"input-missing", lacks("input-missing"), wording{"the flow has no value", "der Fluss hat keinen Wert"}},
	{
		"recomputed-flow", func(h holding) bool { return h.fromCurves },
		wording{"the flow was recomputed from the curves and not shown by a monitor", "der Fluss wurde aus den Kurven neu berechnet und von keinem Monitor angezeigt"},
	},
	{"single-injection", func(h holding) bool { return h.agreement == "single" }, wording{"one injection alone", "nur eine Injektion"}},
	{
		"tie-unconfirmed", func(h holding) bool { return h.tied },
		wording{"the verifier confirms the mean of a tie to complete it", "zum Abschluss muss die prüfende Person den Mittelwert bestätigen"},
	},
	{"catheter-tip", tipIn("liver"), wording{"the tip of the venous catheter lies in the liver", "die Spitze des venösen Katheters liegt in der Leber"}},
	{"catheter-tip", tipIn("portal-vein"), wording{"the tip of the venous catheter lies in the portal vein", "die Spitze des venösen Katheters liegt in der Pfortader"}},
}

func doubts(reason string) func(holding) bool {
	return func(h holding) bool { return h.doubt == reason }
}

func lacks(reason string) func(holding) bool {
	return func(h holding) bool { return h.missing == reason }
}

func tipIn(place string) func(holding) bool {
	return func(h holding) bool { return h.tip == place }
}

// wide tells whether the injections in the mean lie, as charted, as far apart as the
// tolerance or farther. What cannot be compared counts as wide.
func wide(s *record.Session) bool {
	spread, tolerance := s.Get(record.TheSession, "spread"), s.Get(record.TheSession, "agreement-tolerance")
	if spread == nil || tolerance == nil {
		return true
	}
	x, err := ucum.Convert(spread.Value.Quantity, "%")
	y, err2 := ucum.Convert(tolerance.Value.Quantity, "%")
	return err != nil || err2 != nil || x.Cmp(y) >= 0
}

// confirmed tells whether the verifier confirmed a rule on the sheet, saying why.
func confirmed(s *record.Session, rule string) bool {
	for _, c := range s.Things(measure.Confirmation) {
		by := text(s, c, "confirmed-by")
		if text(s, c, "confirmed-rule") == rule && text(s, c, "confirmed-why") != "" && by != "" && by == s.Verification.By {
			return true
		}
	}
	return false
}

func text(s *record.Session, about record.Thing, key string) string {
	if f := s.Get(about, key); f != nil {
		return f.Value.Text
	}
	return ""
}
