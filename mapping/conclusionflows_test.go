package mapping_test

import (
	"strings"
	"testing"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// crossing gives shunt flows that a state allows, left to right positive, against a
// flow to the body of 10.
var crossing = map[string][]int{
	"closed":             {0},
	"left-to-right":      {1, 4},
	"right-to-left":      {-1, -4},
	"bidirectional":      {-2, 0, 2},
	"direction-not-seen": {-2, 2},
	"not-seen":           {-2, 0, 2},
}

// flows are those of the circulation, by the balance of the page on flow labels:
// aortic valve flow = Qs + d; RVO = Qs + a + v; Qp = Qs + a + v + d; LVO = Qs + d + v.
type flows struct{ qs, lvo, rvo, qp, aortic, atrial int }

func balance(a, v, d int) flows {
	const qs = 10
	return flows{qs: qs, lvo: qs + d + v, rvo: qs + a + v, qp: qs + a + v + d, aortic: qs + d, atrial: a}
}

// claims are what a conclusion may say of flows, and when it is true.
var claims = []struct {
	words string
	holds func(flows) bool
}{
	{"It is also the output of the left ventricle", func(f flows) bool { return f.lvo == f.qs }},
	{"It is also the output of the left ventricle and the flow through the lungs", func(f flows) bool { return f.lvo == f.qs && f.qp == f.qs }},
	{"NOT the output of the left ventricle", func(f flows) bool { return f.lvo != f.qs }},
	{"NOT the flow through the lungs or the right ventricle, which carry more by", func(f flows) bool { return f.qp > f.qs && f.rvo > f.qs && f.qp == f.qs+f.atrial }},
	{"NOT the flow through the lungs or the right ventricle, which carry less by", func(f flows) bool { return f.qp < f.qs && f.rvo < f.qs && f.qp == f.qs+f.atrial }},
	{"NOT the output of the right ventricle, which carries more", func(f flows) bool { return f.rvo > f.qs }},
	{"NOT the output of the right ventricle, which carries less", func(f flows) bool { return f.rvo < f.qs }},
	{"carries more by what crosses", func(f flows) bool { return f.rvo == f.qs+f.atrial }},
	{"carries less by what crosses", func(f flows) bool { return f.rvo == f.qs+f.atrial }},
	{"the aortic valve will read higher", func(f flows) bool { return f.aortic > f.qs }},
	{"the aortic valve and the pulmonary valve will read higher", func(f flows) bool { return f.aortic > f.qs && f.rvo > f.qs }},
	{"echo at the pulmonary valve will read higher", func(f flows) bool { return f.rvo > f.qs }},
}

// Whatever flows the stated levels allow, what the conclusion says of them is true;
// and it calls not known what they leave open.
func TestConclusionSaysOfEachFlowWhatTheBalanceProves(t *testing.T) {
	determined := 0
	for atrial, as := range crossing {
		for _, ventricular := range []string{"closed", "left-to-right"} {
			for _, ductal := range []string{"closed", "left-to-right"} {
				s := plain()
				look(s, "atrial", atrial, "13:40")
				look(s, "ventricular", ventricular, "13:40")
				look(s, "ductal", ductal, "13:40")
				got := conclusion(t, settled(t, s, nil))
				var all []flows
				for _, a := range as {
					for _, v := range crossing[ventricular] {
						for _, d := range crossing[ductal] {
							all = append(all, balance(a, v, d))
						}
					}
				}
				determined++
				for _, claim := range claims {
					if !strings.Contains(got, claim.words) {
						continue
					}
					for _, f := range all {
						if !claim.holds(f) {
							t.Errorf("atrial %s, ventricular %s, ductal %s: %q is false of %+v: %s", atrial, ventricular, ductal, claim.words, f, got)
						}
					}
				}
				if open := strings.Contains(got, "right ventricle is not known"); open != (differ(all) && atrial != "closed") {
					t.Errorf("atrial %s, ventricular %s, ductal %s: the right ventricle is said not to be known: %t: %s", atrial, ventricular, ductal, open, got)
				}
			}
		}
	}
	if determined != 24 {
		t.Errorf("%d combinations", determined)
	}
}

// differ tells whether the right ventricle carries more in some and not in others.
func differ(all []flows) bool {
	for _, f := range all[1:] {
		if (f.rvo > f.qs) != (all[0].rvo > all[0].qs) || (f.rvo < f.qs) != (all[0].rvo < all[0].qs) {
			return true
		}
	}
	return false
}

func TestConclusionNamesEveryLesionOnce(t *testing.T) {
	speak(t, []spoken{
		{
			"foramen right to left, duct left to right",
			func(s *record.Session) {
				look(s, "atrial", "right-to-left", "13:40")
				look(s, "ductal", "left-to-right", "13:40")
				put(s, `level atrial | level-lesion | patent-foramen`)
			},
			[]string{
				"NOT the output of the left ventricle: the duct is open, left to right (echo 13:40), and the blood it returns to the lungs is not in this number, " +
					"so echo at the aortic valve will read higher. Stroke volume withheld for this reason. " +
					"NOT the output of the right ventricle, which carries less by what crosses the foramen (right to left, echo 13:40).",
			},
			[]string{"It is also", "lungs or"},
		},
		{
			"every level left to right",
			func(s *record.Session) {
				for _, level := range measure.Levels {
					look(s, level, "left-to-right", "13:40")
				}
				look(s, "aortopulmonary", "left-to-right", "11:00")
				put(s, `
					level aortopulmonary | level-lesion | collaterals
					level aortopulmonary | level-method | catheterisation
					session | descending-aorta-diastole | reversed`)
			},
			[]string{
				"NOT the output of the left ventricle: the duct (echo 13:40), the aortopulmonary collaterals (catheterisation 11:00) and the ventricular defect (echo 13:40) are open, left to right. " +
					"The blood that crosses them is not in this number, so echo at the aortic valve and the pulmonary valve will read higher. " +
					"Diastolic flow in the descending aorta was reversed: the lower body may get less than its share. Stroke volume withheld for this reason. " +
					"NOT the output of the right ventricle, which carries more: the opening between the atria is open too, left to right (echo 13:40).",
			}, nil,
		},
		{
			"two lesions of one look",
			func(s *record.Session) {
				look(s, "ductal", "left-to-right", "13:40")
				look(s, "ventricular", "left-to-right", "13:40")
			},
			[]string{"the duct and the ventricular defect are open, left to right (echo 13:40)."}, nil,
		},
		{
			"ventricular defect left to right", func(s *record.Session) { look(s, "ventricular", "left-to-right", "13:40") },
			[]string{
				"NOT the output of the left ventricle: the ventricular defect is open, left to right (echo 13:40), and the blood that crosses it is not in this number, " +
					"so echo at the pulmonary valve will read higher. Stroke volume withheld for this reason.",
			}, nil,
		},
		{
			"ventricular defect beside a foramen right to left",
			func(s *record.Session) {
				look(s, "ventricular", "left-to-right", "13:40")
				look(s, "atrial", "right-to-left", "13:40")
			},
			[]string{"and the blood that crosses it is not in this number. Stroke volume"},
			[]string{"will read higher"},
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
			"foramen not seen", func(s *record.Session) { look(s, "atrial", "not-seen", "13:40") },
			[]string{
				"It is also the output of the left ventricle. The flow through the lungs and the right ventricle is not known: nobody looked at the atrial wall. " +
					"Echo at 13:40 found duct and ventricular wall closed and no other connection.",
			}, nil,
		},
		{
			"single values", func(s *record.Session) {
				look(s, "ductal", "left-to-right", "13:40")
				put(s, `injection 2 | blood-flow | 0.722 L/min | 14:30`)
			},
			[]string{
				"Blood flow to the body at 14:30: WITHHELD, no two injections agree.", "NOT the output of the left ventricle: the duct is open",
			}, nil,
		},
	})
}

// Under a contradiction nothing is said but that it is the flow to the body, so no
// reason is referred to that has not been told.
func TestConclusionGivesNoReasonThatItHasNotTold(t *testing.T) {
	speak(t, []spoken{{
		"duct open, the catheter through a closed atrial wall",
		func(s *record.Session) {
			look(s, "ductal", "left-to-right", "13:40")
			put(s, `catheter venous | catheter-tip | left-atrium`)
		},
		[]string{"Withheld: stroke volume (a shunt makes this value meaningless)"},
		[]string{"for this reason", "NOT the output"},
	}})
}
