package rehearsal

import (
	"fmt"

	"saltmark/internal/circuit"
)

// mistake is something that went wrong at the bedside, in a session that is otherwise in
// order.
type mistake struct {
	// name is a stable word, and words say what was done.
	name, words string
	// expects is the rule of a finding that has to come of it, "" where the session is to
	// be charted without a word on it.
	expects string
	// refused tells that the sheet is not charted.
	refused bool
	// more injections than two are given.
	more int
	// spoils is the spoiling of the second recording, by its rule.
	spoils string
	// change is what the sheet states otherwise.
	change func(*session)
}

// mistakes is the table: slips on the sheet, and everything that can go wrong with a
// recording.
func mistakes() []mistake {
	list := []mistake{
		{name: "digit-slipped-in-volume", words: "the volume of an injection was written with a digit too many", expects: "plausible-indicator-per-kg", refused: true,
			change: func(s *session) { s.injections[0].volume = fmt.Sprintf("%.1f mL", 4*s.scenario.WeightKg) }},
		{name: "heart-rate-miscounted", words: "a heart rate was counted or written wrongly", expects: "plausible-heart-rate", refused: true,
			change: func(s *session) { s.ratePerMin = 300 }},
		{name: "unit-forgotten", words: "the volume of an injection has no unit", expects: "unit-missing", refused: true,
			change: func(s *session) { s.injections[1].volume = fmt.Sprintf("%.1f", s.scenario.Injection.VolumeML) }},
		{name: "hour-misread", words: "the time of an injection was noted an hour late", expects: "injection-outside-session", refused: true,
			change: func(s *session) { s.injections[1].at = s.clock(10 + 60) }},
		{name: "verified-by-operator", words: "who measured has verified", expects: "verifier-is-operator", refused: true,
			change: func(s *session) { s.verifier = "demo-person-7" }},
		{name: "third-injection-given", words: "the first two differed by more than a tenth; a third was given", more: 1,
			change: func(s *session) { s.injections[0].flowLMin *= 1.25 }},
		{name: "third-injection-missing", words: "two injections differ by more than a tenth and no third was given", expects: "replicates-third",
			change: func(s *session) { s.injections[0].flowLMin *= 1.25 }},
		{name: "air-excluded", words: "air went by in the second injection; it was excluded and a third was given", more: 1, spoils: "air-burst",
			change: func(s *session) { s.injections[1].excluded = "air"; s.injections[1].flowLMin *= 1.3 }},
		{name: "sheet-finished-early", words: "nobody has verified the sheet", change: func(s *session) { s.verifier = "" }},
	}
	for _, spoiling := range circuit.Spoilings() {
		list = append(list, mistake{name: spoiling.Name, words: "something went wrong with the recording of the second injection", expects: spoiling.Name, spoils: spoiling.Name})
	}
	return list
}
