package mapping_test

import (
	"testing"

	"saltmark/mapping/record"
)

func third(flow, lines string) func(*record.Session) {
	return func(s *record.Session) {
		inject(s, 3, "14:36", flow)
		put(s, lines)
	}
}

func TestConclusionCountsEveryInjection(t *testing.T) {
	speak(t, []spoken{
		{"two", func(*record.Session) {}, []string{"Two injections, 3.9 % apart. Verified"}, nil},
		{"one of three lay apart", third("0.760 L/min", ""), []string{"Two of three injections, 3.9 % apart. Injection 3 lay apart (0.760 L/min). Verified"}, nil},
		{
			"one of three excluded", third("0.900 L/min", `injection 3 | exclusion-cause | air`),
			[]string{"Two of three injections, 3.9 % apart. One excluded: injection 3 (air). Verified"}, nil,
		},
		{
			"two of four excluded", func(s *record.Session) {
				third("0.900 L/min", `injection 3 | exclusion-cause | air`)(s)
				inject(s, 4, "14:38", "0.700 L/min")
				put(s, `injection 4 | exclusion-cause | movement`)
			},
			[]string{"Two of four injections, 3.9 % apart. Two excluded: injection 3 (air), injection 4 (movement)."}, nil,
		},
		{
			"one without a flow", third("absent not-shown", ""),
			[]string{"Two of three injections, 3.9 % apart. Injection 3: flow not shown by the monitor. Verified"}, []string{"Withheld"},
		},
		{
			"one below the range", third("absent below-range 0.1 L/min", ""),
			[]string{"Injection 3: flow below the monitor's range (below 0.1 L/min)."}, nil,
		},
		{"one without a word on its flow", facts(`injection 2 | blood-flow | | 14:30`), []string{"One of two injections; how well it repeats is not known. Injection 2: no flow stated."}, nil},
		{"one", func(s *record.Session) {
			put(s, `
				injection 2 | injection | absent not-shown
				injection 2 | indicator-volume |
				injection 2 | heart-rate |
				injection 2 | blood-flow | `)
			drop(s, record.Ref{About: record.Thing{Kind: "injection", Key: "2"}, Measure: "injection", Origin: record.Stated})
		}, []string{"One injection; how well it repeats is not known. Verified at 14:55. PRELIMINARY; one injection alone."}, nil},
		{
			"a tie", func(s *record.Session) {
				third("0.665 L/min", `injection 1 | blood-flow | 0.575 L/min | 14:24`)(s)
			},
			[]string{"Three injections, 14.5 % apart, which agree only in part.", "PRELIMINARY; the verifier confirms the mean of a tie to complete it."}, nil,
		},
		{
			"none that agree, and one excluded", func(s *record.Session) {
				third("0.900 L/min", `injection 3 | exclusion-cause | air`)(s)
				put(s, `injection 2 | blood-flow | 0.722 L/min | 14:30`)
			},
			[]string{"199 mL/kg/min (0.598 L/min) at 14:24, 241 mL/kg/min (0.722 L/min) at 14:30.", "One excluded: injection 3 (air)."}, []string{"0.900", "lay apart"},
		},
	})
}

func TestWhatTheMonitorDidNotShowIsNotCalledWithheld(t *testing.T) {
	speak(t, []spoken{{
		"not shown, below and above the range",
		facts(`
			injection 1 | central-blood-volume | absent not-shown | 14:24
			injection 1 | end-diastolic-volume | absent below-range 5 mL | 14:24
			injection 1 | mean-transit-time | absent above-range 30 s | 14:24
			injection 2 | central-blood-volume | 61.5 mL | 14:30
			injection 2 | end-diastolic-volume | 11.5 mL | 14:30
			injection 2 | mean-transit-time | 6.0 s | 14:30`),
		[]string{
			"Not shown by the monitor: central blood volume. Below the monitor's range: end-diastolic volume (below 5 mL). Above the monitor's range: transit time (above 30 s).",
		},
		[]string{"Withheld"},
	}})
}

func TestWhatIsWithheldForWantOfAnInputNamesIt(t *testing.T) {
	speak(t, []spoken{
		{"of one injection", facts(`injection 2 | heart-rate | `), []string{"Withheld: stroke volume (heart rate missing)."}, nil},
		{"of one that is not used", func(s *record.Session) {
			third("0.900 L/min", `injection 3 | exclusion-cause | air`)(s)
			put(s, `injection 3 | heart-rate | `)
		}, nil, []string{"Withheld"}},
		{
			"pressures", facts(`
				injection 1 | central-venous-pressure | 5 mm[Hg]
				injection 2 | central-venous-pressure | 5 mm[Hg]`),
			[]string{"Withheld: resistance (mean arterial pressure missing)."}, nil,
		},
	})
}
