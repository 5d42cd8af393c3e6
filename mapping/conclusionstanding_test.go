package mapping_test

import (
	"testing"

	"saltmark/mapping/record"
)

func TestConclusionSaysThatASignWasAnswered(t *testing.T) {
	answered := func(lines string) func(*record.Session) {
		return facts(lines + `
			session | sign-answer | seen again
			session | sign-answer-by | demo-person-9
			session | sign-answer-at | 2031-05-03T14:50:00+02:00`)
	}
	speak(t, []spoken{
		{
			"a sign", answered(`injection 2 | shunt-sign | yes`),
			[]string{two + " Injection 2 showed a sign of a left-to-right shunt; the verifier answered in writing at 14:50. Verified at 14:55."}, []string{"CONTRADICTION", "PRELIMINARY"},
		},
		{
			"the way of the catheter", answered(`catheter venous | catheter-tip | left-atrium`),
			[]string{"The venous catheter went through the atrial wall; the verifier answered in writing at 14:50."}, nil,
		},
		{
			"the way of the catheter, not answered", facts(`catheter venous | catheter-tip | left-atrium`),
			[]string{"CONTRADICTION: the venous catheter went through the atrial wall, against the shunt findings as stated (echo 13:40)."}, nil,
		},
		{
			"an excluded injection shows a sign too", func(s *record.Session) {
				third("0.900 L/min", `
					injection 1 | exclusion-cause | air
					injection 1 | shunt-sign | yes
					injection 3 | shunt-sign | yes
					injection 3 | blood-flow | 0.610 L/min | 14:36`)(s)
			},
			[]string{"CONTRADICTION: injection 3 shows"}, nil,
		},
		{"a sign that the stated duct explains", func(s *record.Session) {
			look(s, "ductal", "left-to-right", "13:40")
			put(s, `injection 2 | shunt-sign | yes`)
		}, nil, []string{"sign"}},
	})
}

func TestConclusionSaysWhatARevisionChanged(t *testing.T) {
	reason := `session | revision-reason | flow of injection 2 copied wrongly.`
	tests := []struct {
		name        string
		state       func(*record.Session)
		want, never []string
	}{
		{
			"another number", facts(reason + "\n" + `injection 2 | blood-flow | 0.612 L/min | 14:30`),
			[]string{"CORRECTED in revision 2, verified at 14:55: flow of injection 2 copied wrongly. Before it read 0.610 L/min (standing for the same flow)."}, nil,
		},
		{
			"another label", func(s *record.Session) { look(s, "ductal", "left-to-right", "13:40") },
			[]string{
				"CORRECTED in revision 2, verified at 14:55. Before it read 0.610 L/min " +
					"(blood flow to the body = output of the left ventricle = output of the right ventricle = blood flow through the lungs).",
			}, nil,
		},
		{
			"another value", facts(reason + "\n" + `injection 2 | end-diastolic-volume | 11.5 mL | 14:30`),
			[]string{"CORRECTED in revision 2, verified at 14:55: flow of injection 2 copied wrongly. Withheld"}, []string{"Before"},
		},
		{
			"something added", facts(`injection 2 | rhythm-note | sinus rhythm`),
			[]string{"Amended in revision 2, verified at 14:55."}, []string{"Before"},
		},
		{"nothing", nil, []string{"Verified at 14:55."}, []string{"revision"}},
	}
	first := accepted(t, settled(t, next(1, nil), nil))
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			second := settled(t, next(2, test.state), first)
			got := conclusion(t, second)
			listen(t, got, test.want, test.never)
			if read := accepted(t, second); read.Change != second.Change {
				t.Errorf("the change %+v is read as %+v", second.Change, read.Change)
			}
			// A revision that changes nothing tells the last change again, as of then.
			third := settled(t, next(3, test.state), accepted(t, second))
			if third.Change != second.Change {
				t.Errorf("the change %+v became %+v", second.Change, third.Change)
			}
		})
	}
}

func TestConclusionOfWhatWasTakenBackSaysWhetherAnybodyHadReadIt(t *testing.T) {
	withdrawn := func(never bool) func(*record.Session) {
		return func(s *record.Session) {
			s.Withdrawal = record.Withdrawal{By: "demo-person-1", At: clock("18:00"), Reason: "the loop clotted", NeverMeasured: never}
		}
	}
	first := accepted(t, settled(t, next(1, nil), nil))
	tests := []struct {
		name        string
		session     *record.Session
		want, never []string
	}{
		{"a later revision", settled(t, next(2, withdrawn(false)), first), []string{"ENTERED IN ERROR, withdrawn at 18:00: the loop clotted. It had read (do not use): Blood flow to the body"}, nil},
		{"a first revision", settled(t, next(1, withdrawn(true)), nil), []string{"NEVER MEASURED, withdrawn at 18:00: the loop clotted. The sheet reads (do not use): Blood flow to the body"}, []string{"had read"}},
		{
			"a first revision without an injection", settled(t, withoutInjections(next(1, withdrawn(true))), nil),
			[]string{"NEVER MEASURED, withdrawn at 18:00: the loop clotted. No injection was made. Given: 2.0 mL"},
			[]string{"read", "Withheld", "Blood flow"},
		},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) { listen(t, conclusion(t, test.session), test.want, test.never) })
	}
}

func withoutInjections(s *record.Session) *record.Session {
	kept := s.Facts[:0]
	for _, f := range s.Facts {
		if f.About.Kind != "injection" {
			kept = append(kept, f)
		}
	}
	s.Facts = kept
	return s
}
