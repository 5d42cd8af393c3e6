package mapping_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// conclusion gives the text of the report in a bundle.
func conclusion(t *testing.T, s *record.Session) string {
	t.Helper()
	var bundle struct {
		Entry []struct {
			Resource struct {
				ResourceType, Conclusion string
			}
		}
	}
	if err := json.Unmarshal(write(t, s, mapping.Options{}), &bundle); err != nil {
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
	two     = " Two injections, 3.9 % apart."
	rest    = " The loop carried 2.0 % of this flow. Given: 7.0 mL (2.3 mL/kg), sodium 1.1 mmol (0.36 mmol/kg). Check against monitor and child; local protocol comes first."
)

// The first four are the patterns of the page on words.
func TestConclusionSaysWhatAColleagueMustSeeFirst(t *testing.T) {
	tests := []struct {
		name  string
		state func(*record.Session)
		want  string
	}{
		{"no shunt", func(*record.Session) {},
			"Blood flow to the body at 14:30: " + numbers + ". It is also the output of the left ventricle and the flow through the lungs: " +
				"echo at 13:40 found duct, atrial and ventricular walls closed and no other connection." + two + " Verified at 14:55." + rest},
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
			"Blood flow at 14:30: WITHHELD, no two injections agree. Single values, preliminary: 0.598 L/min, 0.722 L/min. Verified at 14:55. PRELIMINARY. " +
				"Withheld: stroke volume. Given: 7.0 mL (2.3 mL/kg), sodium 1.1 mmol (0.36 mmol/kg). Check against monitor and child; local protocol comes first."},
		{"an answer is missing", func(s *record.Session) { put(s, `injection 1 | shunt-sign | yes`) },
			"Blood flow to the body at 14:30: " + numbers + "." + two + " CONTRADICTION: injection 1 shows a left-to-right sign, against the levels as stated. Verified at 14:55. " +
				"PRELIMINARY; the verifier answers the contradiction in writing to complete it. Withheld: stroke volume (a contradicting sign is not answered)." + rest},
		{"one excluded", func(s *record.Session) {
			inject(s, 3, "14:36", "0.900 L/min")
			put(s, `injection 3 | exclusion-cause | air`)
		},
			"Blood flow to the body at 14:30: " + numbers + ". It is also the output of the left ventricle and the flow through the lungs: " +
				"echo at 13:40 found duct, atrial and ventricular walls closed and no other connection." + two + " Excluded: injection 3 (air). Verified at 14:55." +
				strings.Replace(rest, "7.0 mL (2.3 mL/kg), sodium 1.1 mmol (0.36 mmol/kg)", "9.5 mL (3.2 mL/kg), sodium 1.5 mmol (0.49 mmol/kg)", 1)},
		{"withdrawn", func(s *record.Session) {
			s.Withdrawal = record.Withdrawal{By: "demo-person-1", At: "2031-05-04T08:00:00+02:00", Reason: "filed for another child."}
		},
			"ENTERED IN ERROR, withdrawn on 2031-05-04 at 08:00: filed for another child. It had read: " +
				"Blood flow to the body at 14:30: " + numbers + ". It is also the output of the left ventricle and the flow through the lungs: " +
				"echo at 13:40 found duct, atrial and ventricular walls closed and no other connection." + two + rest},
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

func TestConclusionSaysWhyForEachState(t *testing.T) {
	tests := []struct {
		name  string
		state func(*record.Session)
		want  []string
		never []string
	}{
		{
			"foramen right to left, duct left to right",
			func(s *record.Session) {
				look(s, "atrial", "right-to-left", "13:40")
				look(s, "ductal", "left-to-right", "13:40")
				put(s, `level atrial | level-lesion | patent-foramen`)
			},
			[]string{
				"NOT the output of the left ventricle: the duct is open, left to right (echo 13:40)",
				"NOT the flow through the lungs or the right ventricle, which carry less by what crosses the foramen (right to left, echo 13:40).",
			},
			[]string{"It is also"},
		},
		{
			"ventricular defect left to right", func(s *record.Session) { look(s, "ventricular", "left-to-right", "13:40") },
			[]string{"NOT the output of the left ventricle: the ventricular defect is open, left to right (echo 13:40)", "Stroke volume withheld for this reason."}, nil,
		},
		{
			"collaterals",
			func(s *record.Session) {
				look(s, "aortopulmonary", "left-to-right", "13:40")
				put(s, `level aortopulmonary | level-lesion | collaterals`)
			},
			[]string{"the aortopulmonary collaterals are open, left to right (echo 13:40), and the blood they return to the lungs"}, nil,
		},
		{
			"duct in both directions", func(s *record.Session) { look(s, "ductal", "bidirectional", "13:40") },
			[]string{"WHICH FLOW IS NOT KNOWN: blood takes two paths of different length into the arteries; the duct is open, in both directions (echo 13:40)", "Verified at 14:55."},
			[]string{"PRELIMINARY", "If the duct is open"},
		},
		{
			"foramen not seen", func(s *record.Session) { look(s, "atrial", "not-seen", "13:40") },
			[]string{"It is also the output of the left ventricle.", "The flow through the lungs is not known: nobody looked at the atrial wall."}, nil,
		},
		{
			"duct not seen", func(s *record.Session) { look(s, "ductal", "not-seen", "13:40") },
			[]string{"no valid look at the duct.", "If the duct is open it is not the output of the left ventricle"}, nil,
		},
		{
			"single ventricle", func(s *record.Session) { put(s, `session | anatomy | other-anatomy`) },
			[]string{"WHICH FLOW IS NOT KNOWN: the anatomy is not that of two ventricles in series."}, []string{"PRELIMINARY"},
		},
		{
			"area not known",
			func(s *record.Session) {
				look(s, "ductal", "left-to-right", "13:40")
				put(s, `session | area-counts-lung-recirculation | unknown`)
			},
			[]string{"whether this monitor counts what recirculates through the lungs is not known, and the duct is open, left to right (echo 13:40)"}, nil,
		},
		{
			"tie",
			func(s *record.Session) {
				inject(s, 3, "14:36", "0.665 L/min")
				put(s, `injection 1 | blood-flow | 0.575 L/min | 14:24`)
			},
			[]string{"Three injections, 14.5 % apart, which agree only in part.", "PRELIMINARY; the verifier confirms the mean of a tie to complete it."}, nil,
		},
		{
			"two of three", func(s *record.Session) { inject(s, 3, "14:36", "0.760 L/min") },
			[]string{"Two of three injections, 3.9 % apart."}, nil,
		},
		{
			"one injection", func(s *record.Session) { put(s, `injection 2 | blood-flow | | 14:30`) },
			[]string{"One injection; how well it repeats is not known.", "PRELIMINARY; one injection alone."}, nil,
		},
		{
			"an event since the look", func(s *record.Session) { put(s, `event 1 | event | surfactant | 14:00`) },
			[]string{"no valid look for a shunt (last echo 13:40; surfactant given; this unit's limit is 12 h)"}, nil,
		},
		{
			"looks of two kinds",
			func(s *record.Session) {
				look(s, "ductal", "closed", "12:00")
				put(s, `level ductal | level-method | catheterisation`)
			},
			[]string{"catheterisation at 12:00 found duct closed; echo at 13:40 found atrial and ventricular walls closed and no other connection."}, nil,
		},
		{
			"tip in the liver", func(s *record.Session) { put(s, `catheter venous | catheter-tip | liver`) },
			[]string{"PRELIMINARY; the tip of the venous catheter lies in the liver."}, nil,
		},
		{
			"adult",
			func(s *record.Session) {
				put(s, `
					session | birth-date | 1990-01-01
					session | weight | 70 kg | 08:00 | measured-here
					session | length | 175 cm | 08:00 | measured-here`)
			},
			[]string{"Blood flow to the body at 14:30: 0.33 L/min/m2, Mosteller (0.610 L/min; 9 mL/kg/min).", "Check against monitor and patient"}, []string{"child"},
		},
		{
			"dialysis", func(s *record.Session) { put(s, `session | other-circuit | dialysis`) },
			[]string{"Dialysis or haemofiltration was running."}, nil,
		},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			test.state(s)
			got := conclusion(t, settled(t, s, nil))
			for _, want := range test.want {
				if !strings.Contains(got, want) {
					t.Errorf("%q is not in: %s", want, got)
				}
			}
			for _, never := range test.never {
				if strings.Contains(got, never) {
					t.Errorf("%q is in: %s", never, got)
				}
			}
		})
	}
}

// Every combination of the states of the four levels has words: none is left open,
// and what the label lacks is said not to be there, or not to be known.
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
		got := conclusion(t, s)
		if strings.ContainsAny(got, "{}") || strings.Contains(got, "  ") || strings.Contains(got, "()") {
			t.Fatalf("%v: words are missing: %s", s.Shunts(), got)
		}
		for _, says := range []struct {
			words  string
			wanted bool
		}{
			{"WHICH FLOW IS NOT KNOWN", !label.Determined()},
			{"It is also the output of the left ventricle", label.Flows.Contains(measure.LVO)},
			{"NOT the output of the left ventricle", label.Determined() && !label.Flows.Contains(measure.LVO)},
			{"flow through the lungs", label.Determined() && s.Shunts().At(measure.Atrial) != measure.StateClosed || label.Flows == measure.AllFlows},
		} {
			if strings.Contains(got, says.words) != says.wanted {
				t.Fatalf("%v, labelled %s: %q is %t in: %s", s.Shunts(), label.Code(), says.words, !says.wanted, got)
			}
		}
	}
}
