package mapping_test

import (
	"testing"

	"saltmark/mapping/record"
)

func TestConclusionSaysWhyNoFlowCanBeNamed(t *testing.T) {
	speak(t, []spoken{
		{
			"duct in both directions", func(s *record.Session) { look(s, "ductal", "bidirectional", "13:40") },
			[]string{"WHICH FLOW IS NOT KNOWN: blood takes two paths of different length into the arteries; the duct is open, in both directions (echo 13:40).", "Verified at 14:55."},
			[]string{"PRELIMINARY", "If the duct is open", "lso open"},
		},
		{
			"foramen and duct in both directions", func(s *record.Session) {
				look(s, "ductal", "bidirectional", "13:40")
				look(s, "atrial", "bidirectional", "13:40")
				put(s, `level atrial | level-lesion | patent-foramen`)
			},
			[]string{"the duct is open, in both directions (echo 13:40). Also open: foramen, in both directions (echo 13:40)."}, nil,
		},
		{
			"duct not seen", func(s *record.Session) { look(s, "ductal", "not-seen", "13:40") },
			[]string{"no valid look at the duct.", "If the duct is open it is not the output of the left ventricle"}, nil,
		},
		{
			"single ventricle", facts(`session | anatomy | other-anatomy`),
			[]string{"WHICH FLOW IS NOT KNOWN: the anatomy is not that of two ventricles in series."}, []string{"PRELIMINARY"},
		},
		{
			"single ventricle with a surgical shunt", func(s *record.Session) {
				look(s, "aortopulmonary", "left-to-right", "13:40")
				put(s, `
					level aortopulmonary | level-lesion | surgical-shunt
					session | anatomy | other-anatomy`)
			},
			[]string{"two ventricles in series. Open: surgical shunt, left to right (echo 13:40)."}, []string{"Last look"},
		},
		{
			"several reasons", func(s *record.Session) {
				look(s, "ductal", "not-seen", "13:40")
				put(s, `session | life-support | yes`)
			},
			[]string{"WHICH FLOW IS NOT KNOWN: veno-arterial life support (ECMO) was running. Besides, no valid look at the duct."}, nil,
		},
		{
			"area not known",
			func(s *record.Session) {
				look(s, "ductal", "left-to-right", "13:40")
				put(s, `session | area-counts-lung-recirculation | unknown`)
			},
			[]string{
				"whether this monitor counts what recirculates through the lungs is not known, and the duct is open, left to right (echo 13:40)",
				"PRELIMINARY; the settings of the monitor must say what its area counts.",
			}, nil,
		},
		{
			"area without the lungs",
			func(s *record.Session) {
				look(s, "ductal", "left-to-right", "13:40")
				put(s, `session | area-counts-lung-recirculation | no`)
			},
			[]string{
				"this monitor leaves out what recirculates through the lungs, and the duct is open, left to right (echo 13:40)",
				"PRELIMINARY; a flow recomputed from the curve, or a monitor that counts what recirculates through the lungs, could complete it.",
			},
			[]string{"settings"},
		},
		{
			"area without the lungs, and a sign that nobody answered",
			facts(`
				injection 1 | shunt-sign | yes
				session | area-counts-lung-recirculation | no`),
			[]string{
				"WHICH FLOW IS NOT KNOWN: this monitor leaves out what recirculates through the lungs.",
				"PRELIMINARY; the verifier answers the contradiction in writing to complete it.",
			},
			[]string{"settings", "counts what"},
		},
		{
			"single values", func(s *record.Session) {
				look(s, "ductal", "not-seen", "13:40")
				put(s, `injection 2 | blood-flow | 0.722 L/min | 14:30`)
			},
			[]string{
				"Blood flow at 14:30: WITHHELD, no two injections agree. Single values, preliminary:",
				"241 mL/kg/min (0.722 L/min) at 14:30, WHICH FLOW IS NOT KNOWN: no valid look at the duct.", "Do not set it against echo",
			},
			[]string{"to the body at"},
		},
	})
}
