package record

import "saltmark/mapping/measure"

// Shunts gives what the label of the session's flow depends on, from the facts:
// a level counts as stated only where its look holds (level-holds, a derived
// fact).
//
// A flow that was recomputed from the curves counts what recirculates through the lungs,
// whatever the monitor does; one that agrees with it settles the label where the site
// lets it.
func (s *Session) Shunts() measure.Shunts {
	beside := s.code(TheSession, "recomputed-agreement")
	area := measure.Area(s.code(TheSession, "area-counts-lung-recirculation"))
	if beside == "only-recomputed" {
		area = measure.AreaYes
	}
	return measure.Shunts{
		Atrial:         s.level(measure.Atrial),
		Ventricular:    s.level(measure.Ventricular),
		Ductal:         s.level(measure.Ductal),
		Aortopulmonary: s.level(measure.Aortopulmonary),
		OtherAnatomy:   s.code(TheSession, "anatomy") == "other-anatomy",
		LifeSupport:    s.code(TheSession, "life-support") == "yes",
		Area:           area,
		Agrees:         beside == "agrees" && s.code(TheSession, "recomputed-settles-label") == "yes",
		Contradicted:   s.code(TheSession, "sign-contradicts") == "unanswered",
	}
}

// Verdict applies the table of flow labels to the session.
func (s *Session) Verdict() measure.Verdict { return measure.Judge(s.Shunts()) }

func (s *Session) level(name string) measure.State {
	at := Thing{measure.Level, name}
	switch s.code(at, "level-holds") {
	case "stale-assessment":
		return measure.StateStale
	case "holds":
		return s.Stated(name)
	}
	return measure.StateNotSeen
}

// Stated gives the state of a level as the sheet states it, however old.
func (s *Session) Stated(level string) measure.State {
	at := Thing{measure.Level, level}
	switch s.code(at, "level-state") {
	case "closed":
		return measure.StateClosed
	case "open":
		if d := s.code(at, "level-direction"); d != "" {
			return measure.State(d)
		}
		return measure.StateNoDirection
	}
	return measure.StateNotSeen
}

func (s *Session) code(about Thing, key string) string {
	if f := s.Get(about, key); f != nil {
		return f.Value.Code
	}
	return ""
}

// Code gives the coded value of a measure, "" where there is none.
func (s *Session) Code(about Thing, key string) string { return s.code(about, key) }
