package measure_test

import (
	"testing"

	"saltmark/mapping/measure"
)

var (
	allClosed = levelsIn(nil)
	duct      = levelsIn(map[string]measure.State{"ductal": measure.StateLeftToRight})
	ductOut   = levelsIn(map[string]measure.State{"ductal": measure.StateRightToLeft})
	foramen   = levelsIn(map[string]measure.State{"atrial": measure.StateLeftToRight})
	foramenRL = levelsIn(map[string]measure.State{"atrial": measure.StateRightToLeft})
	septum    = levelsIn(map[string]measure.State{"ventricular": measure.StateLeftToRight})
	unseen    = levelsIn(map[string]measure.State{"atrial": measure.StateNotSeen, "ventricular": measure.StateNotSeen, "ductal": measure.StateNotSeen, "aortopulmonary": measure.StateNotSeen})
	staleDuct = levelsIn(map[string]measure.State{"ductal": measure.StateStale})
)

// comparatorTable is the page's table of other methods, row by row, in its order and
// with its names.
var comparatorTable = []struct {
	name string
	of   measure.Other
	in   measure.Shunts
	want string
}{
	{"echo at the aortic valve: Qs + d", measure.Other{Method: "echo", Site: "aortic-valve"}, allClosed, "Qs-LVO-RVO-Qp"},
	{"echo at the aortic valve, duct", measure.Other{Method: "echo", Site: "aortic-valve"}, duct, "LVO-Qp"},
	{"echo at the aortic valve, foramen", measure.Other{Method: "echo", Site: "aortic-valve"}, foramen, "Qs-LVO"},
	{"echo at the aortic valve, ventricular defect: the ventricle ejects more", measure.Other{Method: "echo", Site: "aortic-valve"}, septum, "Qs"},
	{"echo at the aortic valve, nothing seen", measure.Other{Method: "echo", Site: "aortic-valve"}, unseen, "no-whole-flow"},
	{"echo at the aortic valve, a stale look is not closed", measure.Other{Method: "echo", Site: "aortic-valve"}, staleDuct, "LVO-Qp"},
	{"echo at the aortic valve: a leaking valve: nothing", measure.Other{Method: "echo", Site: "aortic-valve", AorticLeak: true}, allClosed, "no-whole-flow"},
	{"probe on the ascending aorta: Qs + d without coronary flow", measure.Other{Method: "flow-probe", Site: "ascending-aorta"}, duct, "LVO-Qp"},
	{"echo at the pulmonary valve: Qs + a + v", measure.Other{Method: "echo", Site: "pulmonary-valve"}, duct, "Qs-RVO"},
	{"echo at the pulmonary valve, foramen", measure.Other{Method: "echo", Site: "pulmonary-valve"}, foramen, "RVO-Qp"},
	{"echo at the pulmonary valve, nothing seen", measure.Other{Method: "echo", Site: "pulmonary-valve"}, unseen, "RVO"},
	{"probe on the main pulmonary artery", measure.Other{Method: "flow-probe", Site: "main-pulmonary-artery"}, septum, "LVO-RVO-Qp"},
	{"echo at the pulmonary valve: a leaking valve: nothing", measure.Other{Method: "echo", Site: "pulmonary-valve", PulmonaryLeak: true}, allClosed, "no-whole-flow"},
	{"a leak of the other valve does not matter", measure.Other{Method: "echo", Site: "pulmonary-valve", AorticLeak: true}, allClosed, "Qs-LVO-RVO-Qp"},
	{"echo, superior vena cava: part of Qs", measure.Other{Method: "echo", Site: "superior-vena-cava"}, allClosed, "no-whole-flow"},
	{"echo, descending aorta: part of Qs", measure.Other{Method: "echo", Site: "descending-aorta"}, allClosed, "no-whole-flow"},
	{"probe, descending aorta: part of Qs", measure.Other{Method: "flow-probe", Site: "descending-aorta"}, allClosed, "no-whole-flow"},
	{"phase-contrast magnetic resonance, aorta", measure.Other{Method: "phase-contrast", Site: "ascending-aorta"}, duct, "LVO-Qp"},
	{"phase-contrast magnetic resonance, pulmonary artery", measure.Other{Method: "phase-contrast", Site: "main-pulmonary-artery"}, duct, "Qs-RVO"},
	{"phase-contrast magnetic resonance, caval vein", measure.Other{Method: "phase-contrast", Site: "superior-vena-cava"}, duct, "no-whole-flow"},
	{"Fick, pulmonary: Qp", measure.Other{Method: "fick-oxygen", Site: "pulmonary-circulation", VenousBlood: "pulmonary-artery", ArterialBlood: "pulmonary-vein"}, ductOut, "LVO-Qp"},
	{"Fick, pulmonary, foramen", measure.Other{Method: "fick-oxygen", Site: "pulmonary-circulation", VenousBlood: "pulmonary-artery", ArterialBlood: "pulmonary-vein"}, foramen, "RVO-Qp"},
	{"Fick, pulmonary: systemic arterial blood where right to left is excluded", measure.Other{Method: "fick-carbon-dioxide", Site: "pulmonary-circulation", VenousBlood: "pulmonary-artery", ArterialBlood: "systemic-artery"}, duct, "LVO-Qp"},
	{"Fick, pulmonary: systemic arterial blood with a foramen right to left", measure.Other{Method: "fick-oxygen", Site: "pulmonary-circulation", VenousBlood: "pulmonary-artery", ArterialBlood: "systemic-artery"}, foramenRL, "method-names-no-flow"},
	{"Fick, pulmonary: systemic arterial blood where nobody looked", measure.Other{Method: "fick-oxygen", Site: "pulmonary-circulation", VenousBlood: "pulmonary-artery", ArterialBlood: "systemic-artery"}, unseen, "method-names-no-flow"},
	{"Fick, systemic: Qs", measure.Other{Method: "fick-oxygen", Site: "systemic-circulation", VenousBlood: "mixed-venous", ArterialBlood: "systemic-artery"}, duct, "Qs-RVO"},
	{"Fick, systemic: from one caval vein", measure.Other{Method: "fick-oxygen", Site: "systemic-circulation", VenousBlood: "superior-vena-cava", ArterialBlood: "systemic-artery"}, foramen, "Qs-LVO"},
	{"Fick, systemic: pulmonary arterial blood lies behind the duct", measure.Other{Method: "fick-oxygen", Site: "systemic-circulation", VenousBlood: "pulmonary-artery", ArterialBlood: "systemic-artery"}, duct, "method-names-no-flow"},
	{"Fick, systemic: pulmonary arterial blood without a shunt", measure.Other{Method: "fick-oxygen", Site: "systemic-circulation", VenousBlood: "pulmonary-artery", ArterialBlood: "systemic-artery"}, allClosed, "Qs-LVO-RVO-Qp"},
	{"Fick, systemic: with a ductal right to left not determined", measure.Other{Method: "fick-oxygen", Site: "systemic-circulation", VenousBlood: "mixed-venous", ArterialBlood: "systemic-artery"}, ductOut, "two-paths"},
	{"Fick, systemic: where nobody looked at the duct", measure.Other{Method: "fick-oxygen", Site: "systemic-circulation", VenousBlood: "mixed-venous", ArterialBlood: "systemic-artery"}, unseen, "not-assessed"},
	{"Fick, systemic: a stale look at the duct", measure.Other{Method: "fick-oxygen", Site: "systemic-circulation", VenousBlood: "mixed-venous", ArterialBlood: "systemic-artery"}, staleDuct, "stale-assessment"},
	{"anything else: another method", measure.Other{Method: "other-method", Site: "aortic-valve"}, allClosed, "method-names-no-flow"},
	{"anything else: another site", measure.Other{Method: "echo", Site: "other-place"}, allClosed, "method-names-no-flow"},
	{"anything else: a method at a site without a row", measure.Other{Method: "flow-probe", Site: "aortic-valve"}, allClosed, "method-names-no-flow"},
	{"anything else: nothing said", measure.Other{}, allClosed, "method-names-no-flow"},
}

func TestEveryRowOfTheTableOfOtherMethods(t *testing.T) {
	for _, row := range comparatorTable {
		t.Run(row.name, func(t *testing.T) {
			l := measure.JudgeOther(row.of, row.in)
			got := l.Code()
			if l.Reason != "" {
				got = l.Reason
			}
			if got != row.want {
				t.Errorf("%s, want %s", got, row.want)
			}
		})
	}
}

// Parts of a flow, other anatomy and life support are never paired with anything.
func TestWhatStandsForNoFlowIsNeverPaired(t *testing.T) {
	dilution := measure.Judge(allClosed).Label
	for _, o := range []measure.Other{{Method: "echo", Site: "superior-vena-cava"}, {Method: "other-method"}} {
		if measure.Comparable(measure.JudgeOther(o, allClosed), dilution) {
			t.Errorf("%+v is paired", o)
		}
	}
	valve := measure.Other{Method: "echo", Site: "aortic-valve"}
	if !measure.Comparable(measure.JudgeOther(valve, allClosed), dilution) {
		t.Error("the aortic valve is not paired where all is closed")
	}
	for _, s := range []measure.Shunts{lifeSupport(allClosed), otherAnatomy(allClosed)} {
		if l := measure.JudgeOther(valve, s); l.Determined() {
			t.Errorf("%+v: %s", s, l.Code())
		}
	}
}

// A flow through a vessel equals those flows that have its size, whatever crosses:
// the balance of flows in made-up numbers against the rows of the code.
func TestAVesselsFlowEqualsWhatTheBalanceSays(t *testing.T) {
	everyContext(func(s measure.Shunts) {
		if s.LifeSupport || s.OtherAnatomy {
			return
		}
		f := measuredFlows(s)
		arterial := f.qp - f.rvo // what crosses at the great arteries
		for _, vessel := range []struct {
			of   measure.Other
			size int
		}{
			{measure.Other{Method: "echo", Site: "aortic-valve"}, f.qs + arterial},
			{measure.Other{Method: "flow-probe", Site: "ascending-aorta"}, f.qs + arterial},
			{measure.Other{Method: "echo", Site: "pulmonary-valve"}, f.rvo},
			{measure.Other{Method: "flow-probe", Site: "main-pulmonary-artery"}, f.rvo},
		} {
			if got, want := measure.JudgeOther(vessel.of, s).Code(), equals(f, vessel.size); got != want {
				t.Fatalf("%+v in %+v: %s, want %s", vessel.of, s, got, want)
			}
		}
	})
}
