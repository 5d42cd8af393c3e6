package mapping_test

import (
	"encoding/json"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// conclusion gives the text of the report in a bundle.
func conclusion(t *testing.T, s *record.Session) string {
	t.Helper()
	return conclusionIn(t, measure.English, s)
}

func conclusionIn(t *testing.T, l measure.Language, s *record.Session) string {
	t.Helper()
	var bundle struct {
		Entry []struct {
			Resource struct {
				ResourceType, Conclusion string
			}
		}
	}
	if err := json.Unmarshal(write(t, s, mapping.Options{Language: l}), &bundle); err != nil {
		t.Fatal(err)
	}
	for _, e := range bundle.Entry {
		if e.Resource.ResourceType == "DiagnosticReport" {
			return e.Resource.Conclusion
		}
	}
	t.Fatal("no report")
	return ""
}

// What is given is the same in all: two injections of 2.5 mL and 2.0 mL of flush.
const (
	numbers = "203 mL/kg/min (0.610 L/min; 2.95 L/min/m2, Haycock)"
	isAll   = ". It is also the output of the left ventricle and the flow through the lungs: echo at 13:40 found duct, atrial and ventricular walls closed and no other connection."
	two     = " Two injections, 3.9 % apart."
	given   = " Given: 7.0 mL (2.3 mL/kg), sodium 1.1 mmol (0.36 mmol/kg). Check against monitor and child; local protocol comes first."
	rest    = " The loop carried 2.0 % of this flow." + given
)

// The first four are the patterns of the page on words, letter for letter.
func TestConclusionSaysWhatAColleagueMustSeeFirst(t *testing.T) {
	tests := []struct {
		name  string
		state func(*record.Session)
		want  string
	}{
		{"no shunt", func(*record.Session) {}, "Blood flow to the body at 14:30: " + numbers + isAll + two + " Verified at 14:55." + rest},
		{"duct left to right", func(s *record.Session) {
			look(s, "ductal", "left-to-right", "13:40")
			put(s, `session | descending-aorta-diastole | reversed`)
			s.Verification = record.Verification{}
		},
			"Blood flow to the body at 14:30: " + numbers + ". NOT the output of the left ventricle: the duct is open, left to right (echo 13:40), " +
				"and the blood it returns to the lungs is not in this number, so echo at the aortic valve will read higher. " +
				"Diastolic flow in the descending aorta was reversed: the lower body may get less than its share. " +
				"Stroke volume withheld for this reason." + two + " NOT YET VERIFIED." + rest},
		{"foramen left to right", func(s *record.Session) {
			look(s, "atrial", "left-to-right", "13:40")
			put(s, `
				level atrial | level-lesion | patent-foramen
				injection 1 | central-blood-volume | 61.5 mL | 14:24
				injection 2 | central-blood-volume | 61.5 mL | 14:30`)
		},
			"Blood flow to the body at 14:30: " + numbers + ". It is also the output of the left ventricle. " +
				"NOT the flow through the lungs or the right ventricle, which carry more by what crosses the foramen " +
				"(left to right, echo 13:40; duct and ventricular wall closed, no other connection). Stroke volume 4.1 mL. " +
				"Central blood volume holds only if this is the flow to the body." + two + " Verified at 14:55." + rest},
		{"not assessed", func(s *record.Session) {
			for _, level := range []string{"atrial", "ventricular", "ductal", "aortopulmonary"} {
				look(s, level, "closed", "2031-05-02T07:30:00+02:00")
			}
			put(s, `
				injection 1 | central-blood-volume | 61.5 mL | 14:24
				injection 1 | end-diastolic-volume | 11.5 mL | 14:24`)
		},
			"Blood flow at 14:30: " + numbers + ", WHICH FLOW IS NOT KNOWN: no valid look for a shunt (last echo 31 h before; this unit's limit is 12 h). " +
				"If the duct is open it is not the output of the left ventricle; if blood crosses from right to left through it, perhaps not the flow to the body either. " +
				"Do not set it against echo or earlier values." + two + " Verified at 14:55. PRELIMINARY; enter the shunt findings to complete it. " +
				"Withheld: stroke volume, central blood volume, end-diastolic volume." + rest},
		{"no agreeing pair", func(s *record.Session) { put(s, `injection 2 | blood-flow | 0.722 L/min | 14:30`) },
			"Blood flow to the body at 14:30: WITHHELD, no two injections agree. Single values, preliminary: 199 mL/kg/min (0.598 L/min) at 14:24, 241 mL/kg/min (0.722 L/min) at 14:30. " +
				"Each is also the output of the left ventricle and the flow through the lungs: echo at 13:40 found duct, atrial and ventricular walls closed and no other connection. " +
				"Verified at 14:55. PRELIMINARY; no two injections agree. Withheld: stroke volume." + given},
		{"an answer is missing", func(s *record.Session) { put(s, `injection 1 | shunt-sign | yes`) },
			"Blood flow to the body at 14:30: " + numbers + "." + two +
				" CONTRADICTION: injection 1 shows a sign of a left-to-right shunt, against the shunt findings as stated (echo 13:40). Verified at 14:55. " +
				"PRELIMINARY; the verifier answers the contradiction in writing to complete it. Withheld: stroke volume (a contradicting sign is not answered)." + rest},
		{"withdrawn before anybody read it", func(s *record.Session) {
			s.Withdrawal = record.Withdrawal{By: "demo-person-1", At: "2031-05-04T08:00:00+02:00", Reason: "filed for\nanother child."}
		},
			"ENTERED IN ERROR, withdrawn on 2031-05-04 at 08:00: filed for another child. The sheet reads (do not use): " +
				"Blood flow to the body at 14:30: " + numbers + isAll + two + rest},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			test.state(s)
			if diff := cmp.Diff(test.want, conclusion(t, settled(t, s, nil))); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// spoken is a session and what its conclusion says of one matter.
type spoken struct {
	name  string
	state func(*record.Session)
	want  []string
	never []string
}

func speak(t *testing.T, tests []spoken) {
	t.Helper()
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			test.state(s)
			listen(t, conclusion(t, settled(t, s, nil)), test.want, test.never)
		})
	}
}

func listen(t *testing.T, got string, want, never []string) {
	t.Helper()
	for _, words := range want {
		if !strings.Contains(got, words) {
			t.Errorf("%q is not in: %s", words, got)
		}
	}
	for _, words := range never {
		if strings.Contains(got, words) {
			t.Errorf("%q is in: %s", words, got)
		}
	}
}

// facts gives a state in which lines are stated.
func facts(lines string) func(*record.Session) {
	return func(s *record.Session) { put(s, lines) }
}

func TestConclusionPutsFirstWhatIsFirstForThePatient(t *testing.T) {
	speak(t, []spoken{
		{
			"an infant", func(*record.Session) {},
			[]string{"Blood flow to the body at 14:30: " + numbers + ".", "Check against monitor and child"}, nil,
		},
		{
			"an adult",
			facts(`
				session | birth-date | 1990-01-01
				session | weight | 70 kg | 08:00 | measured-here
				session | length | 175 cm | 08:00 | measured-here`),
			[]string{"Blood flow to the body at 14:30: 0.33 L/min/m2, Mosteller (0.610 L/min; 9 mL/kg/min).", "Check against monitor and patient"},
			[]string{"child"},
		},
		{"a time written in another zone", facts(`injection 2 | blood-flow | 0.622 L/min | 2031-05-03T12:30:00Z`), []string{"Verified at"}, nil},
	})
}

// Cautions of the moment stand with the flow, the one that always applies stands
// last.
func TestConclusionNamesOtherCircuitsAndMalformationsBesideTheFlow(t *testing.T) {
	speak(t, []spoken{
		{"dialysis", facts(`session | other-circuit | dialysis`), []string{"Dialysis or haemofiltration was running. Two injections"}, nil},
		{"another circuit", facts(`session | other-circuit | another-circuit`), []string{"Another extracorporeal circuit was running. Two injections"}, nil},
		{"no other circuit", facts(`session | other-circuit | none`), nil, []string{"was running"}},
		{"malformation", facts(`session | systemic-malformation | yes`), []string{"Part of this flow bypasses the tissues: systemic arteriovenous malformation. Two injections"}, nil},
	})
}

// tellingWords are what a conclusion must say in each language, or must not, by what the
// label holds. Longest is a line: little more than the longest of the patterns.
var tellingWords = map[measure.Language]struct {
	longest                              int
	unknown, isLeft, notLeft, right, all string
}{
	measure.English: {215, "WHICH FLOW IS NOT KNOWN", "It is also the output of the left ventricle", "NOT the output of the left ventricle", "right ventricle", "flow through the lungs"},
	measure.German:  {235, "UNKLAR, WELCHER FLUSS DAS IST", "Er ist zugleich das Herzzeitvolumen des linken Ventrikels", "NICHT das Herzzeitvolumen des linken Ventrikels", "rechten Ventrikel", "Lunge"},
}

// Every combination of the states of the four levels has words: none is left open,
// none longer than a line, and what the label lacks is said not to be there.
func TestConclusionHasWordsForEveryCombinationOfLevels(t *testing.T) {
	states := []string{"closed", "left-to-right", "right-to-left", "bidirectional", "direction-not-seen", "not-seen"}
	step := 1
	if testing.Short() {
		step = 7
	}
	for n := 0; n < len(states)*len(states)*len(states)*len(states); n += step {
		s, k := plain(), n
		for _, level := range measure.Levels {
			look(s, level, states[k%len(states)], "13:40")
			k /= len(states)
		}
		settled(t, s, nil)
		label := s.Find(record.TheSession, "blood-flow", record.Derived).Label
		for l, say := range tellingWords {
			got := conclusionIn(t, l, s)
			if strings.ContainsAny(got, "{}") || strings.Contains(got, "  ") || strings.Contains(got, "()") || strings.Contains(got, "..") {
				t.Fatalf("%v: words are missing: %s", s.Shunts(), got)
			}
			for sentence := range strings.SplitSeq(got, ". ") {
				said := sentence
				if _, why, unknown := strings.Cut(sentence, say.unknown+": "); unknown {
					said = why
				}
				if n := utf8.RuneCountInString(said); n > say.longest {
					t.Fatalf("%v: %d characters: %s", s.Shunts(), n, sentence)
				}
			}
			for _, says := range []struct {
				words  string
				wanted bool
			}{
				{say.unknown, !label.Determined()},
				{say.isLeft, label.Flows.Contains(measure.LVO)},
				{say.notLeft, label.Determined() && !label.Flows.Contains(measure.LVO)},
				{say.right, label.Determined() && s.Shunts().At(measure.Atrial) != measure.StateClosed},
			} {
				if strings.Contains(got, says.words) != says.wanted {
					t.Fatalf("%v, labelled %s: %q is %t in: %s", s.Shunts(), label.Code(), says.words, !says.wanted, got)
				}
			}
			if l == measure.English && strings.Contains(got, say.all) != label.Flows.Contains(measure.LVO) {
				t.Fatalf("%v, labelled %s: %q in: %s", s.Shunts(), label.Code(), say.all, got)
			}
		}
	}
}
