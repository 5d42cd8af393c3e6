package dilution

import "testing"

func TestARecordWithoutAFaultIsQuiet(t *testing.T) {
	for seed := range uint64(20) {
		c := infant()
		c.baselineS = 8 + float64(seed)
		if faults := faultsOf(c.input(0.01+0.001*float64(seed), seed)); len(faults) > 0 {
			t.Errorf("seed %d: %+v", seed, faults)
		}
	}
}

func TestRulesHaveDistinctNames(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range Rules() {
		if seen[r.ID] || r.ID == "" {
			t.Errorf("rule %q", r.ID)
		}
		seen[r.ID] = true
	}
}
