package mapping

import "saltmark/mapping/record"

func conclude(s *record.Session) []string { return []string{"x"} }

func sessionFlow(s *record.Session) *record.Fact {
	return s.Find(record.TheSession, "blood-flow", record.Derived)
}
