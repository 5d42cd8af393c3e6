package derive

import (
	"testing"

	"saltmark/mapping/record"
)

func TestOneSessionIsOneState(t *testing.T) {
	tests := []struct {
		name  string
		make  func(s *record.Session)
		rules string
	}{
		{"nothing changed", func(*record.Session) {}, ""},
		{"treatment changed before the first", func(s *record.Session) { put(s, "injection 1", "treatment-changed", "yes") }, ""},
		{"treatment changed between", func(s *record.Session) { put(s, "injection 2", "treatment-changed", "yes") }, "one-state-treatment"},
		{"treatment changed at an excluded one between", func(s *record.Session) {
			inject(s, "3", "14:27", "0.6 L/min", "treatment-changed: yes", "exclusion-cause: air")
		}, "one-state-treatment"},
		{"treatment changed at an excluded one behind", func(s *record.Session) {
			inject(s, "3", "14:33", "0.6 L/min", "treatment-changed: yes", "exclusion-cause: air")
		}, ""},
		{"treatment changed after an excluded one in front", func(s *record.Session) {
			put(s, "injection 1", "exclusion-cause", "air")
			put(s, "injection 2", "treatment-changed", "yes")
		}, "replicates-single"},
		{"a gap at the limit", func(s *record.Session) { inject(s, "3", "14:50", "0.6 L/min") }, ""},
		{"a gap above the limit", func(s *record.Session) { inject(s, "3", "14:51", "0.6 L/min") }, "one-state-gap"},
		{"a gap bridged by an excluded one", func(s *record.Session) {
			inject(s, "3", "14:40", "0.6 L/min", "exclusion-cause: air")
			inject(s, "4", "14:51", "0.6 L/min")
		}, "one-state-gap"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := plain()
			test.make(s)
			if got := rules(t, s); got != test.rules {
				t.Errorf("%q, want %q", got, test.rules)
			}
		})
	}
}
