package derive

import (
	"strings"
	"testing"

	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// The sessions of these tests are invented. The day is 3 May 2031.

// thing reads "session", "injection 2", "level ductal", "catheter venous".
func thing(text string) record.Thing {
	kind, key, _ := strings.Cut(text, " ")
	return record.Thing{Kind: measure.About(kind), Key: key}
}

// clock gives a time of the day of the session: "14:24".
func clock(hourMinute string) record.Time {
	switch {
	case strings.Contains(hourMinute, "T"), len(hourMinute) == len("2031-05-03"):
		return record.Time(hourMinute)
	case hourMinute == "":
		return ""
	}
	return record.Time("2031-05-03T" + hourMinute + ":00+02:00")
}

// put states a fact, with the origin of its row, in place of one already there.
// Where the measure has a time of its own it is given behind " at ".
func put(s *record.Session, about, key, value string) {
	m := measure.Get(key)
	if m == nil {
		panic("no measure " + key)
	}
	value, at, _ := strings.Cut(value, " at ")
	f := record.Fact{Ref: record.Ref{About: thing(about), Measure: key, Origin: record.Origin(m.DefaultOrigin())}, At: clock(at)}
	reason, missing := strings.CutPrefix(value, "absent ")
	switch {
	case missing:
		f.Value.Absent.Reason = reason
	case m.Kind == measure.Quantity:
		q, err := ucum.ParseQuantity(value)
		if err != nil {
			panic(err)
		}
		f.Value.Quantity = q
	case m.Kind == measure.Code:
		f.Value.Code = value
	case m.Kind == measure.Text:
		f.Value.Text = value
	case m.Kind == measure.Time, m.Kind == measure.Date:
		f.Value.Time = clock(value)
	}
	drop(s, about, key)
	s.Facts = append(s.Facts, f)
}

// drop takes a fact away.
func drop(s *record.Session, about, key string) {
	for i, f := range s.Facts {
		if f.About == thing(about) && f.Measure == key {
			s.Facts = append(s.Facts[:i:i], s.Facts[i+1:]...)
			return
		}
	}
}

// inject adds an injection of 2.5 mL. flow may be empty.
func inject(s *record.Session, number, at, flow string, more ...string) {
	about := "injection " + number
	put(s, about, "injection", " at "+at)
	put(s, about, "indicator-volume", "2.5 mL")
	if flow != "" {
		put(s, about, "blood-flow", flow+" at "+at)
	}
	for _, kv := range more {
		key, value, _ := strings.Cut(kv, ": ")
		if measure.Get(key).In == "" {
			value += " at " + at
		}
		put(s, about, key, value)
	}
}

// look states a level as it was seen at a time.
func look(s *record.Session, level, state, seen string) {
	about := "level " + level
	drop(s, about, "level-direction")
	switch state {
	case "closed", "not-seen":
		put(s, about, "level-state", state)
	default:
		put(s, about, "level-state", "open")
		put(s, about, "level-direction", state)
	}
	put(s, about, "level-seen", seen)
}

// empty is a session with the settings of an invented site and without injections.
func empty() *record.Session {
	s := &record.Session{ID: "demo-2031-0001", Revision: 1, Start: clock("14:20"), End: clock("14:40"), Patient: record.Reference{Value: "DEMO-1"}}
	for key, value := range map[string]string{
		"agreement-tolerance": "10 %", "injection-gap-limit": "20 min",
		"assessment-window-young": "12 h", "assessment-window": "168 h",
		"weight-age-limit": "24 h", "length-age-limit": "30 d", "blood-age-limit": "4 h", "pressure-age-limit": "5 min",
		"area-index-weight-limit": "2.5 kg", "oxygen-capacity": "1.34 mL/g", "oxygen-solubility": "0.003 mL/dL/mm[Hg]",
		"blood-volume-by-weight": "84 mL/kg", "indicator-sodium": "0.154 mmol/mL", "flush-sodium": "0.154 mmol/mL",
	} {
		put(s, "session", key, value)
	}
	s.Sort()
	return s
}

// plain is the infant of the page on words: 3.0 kg, 50 cm, heart rate 150, two
// injections of 2.5 mL and a flush of 2.0 mL, all levels seen closed at 13:40.
func plain() *record.Session {
	s := empty()
	put(s, "session", "birth-date", "2031-04-20")
	put(s, "session", "gestational-age", "39 wk")
	put(s, "session", "weight", "3.0 kg at 08:00")
	put(s, "session", "length", "50 cm at 08:00")
	put(s, "session", "loop-flow", "12 mL/min")
	put(s, "session", "flush-total", "2.0 mL")
	put(s, "session", "area-counts-lung-recirculation", "unknown")
	for _, level := range measure.Levels {
		look(s, level, "closed", "13:40")
	}
	inject(s, "1", "14:24", "0.598 L/min", "heart-rate: 150 /min")
	inject(s, "2", "14:30", "0.622 L/min", "heart-rate: 150 /min")
	return s
}

// full is plain with everything that something can be derived from.
func full() *record.Session {
	s := plain()
	for _, n := range []string{"1", "2"} {
		about := "injection " + n
		put(s, about, "arterial-pressure-mean", "45 mm[Hg]")
		put(s, about, "central-venous-pressure", "5 mm[Hg]")
		put(s, about, "central-blood-volume", "61.5 mL at 14:30")
		put(s, about, "mean-transit-time", "6.1 s at 14:30")
		put(s, about, "end-diastolic-volume", "11.2 mL at 14:30")
		put(s, about, "dispersion-volume", "20.1 mL at 14:30")
		put(s, about, "indicator-distribution-volume", "1210 mL at 14:30")
		put(s, about, "shunt-sign", "no")
	}
	put(s, "sample 1", "blood-sample", " at 14:00")
	put(s, "sample 1", "sample-site", "arterial-postductal")
	put(s, "sample 1", "haemoglobin", "13.2 g/dL at 14:00")
	put(s, "sample 1", "arterial-saturation", "97 % at 14:00")
	put(s, "sample 1", "arterial-oxygen-pressure", "72 mm[Hg] at 14:00")
	for _, section := range sections {
		put(s, "session", section, "2.0 mL")
	}
	put(s, "session", "pooled-variation", "3.0 %")
	put(s, "session", "flush-heparin", "1 [iU]/mL")
	put(s, "session", "loop-connected", "13:55")
	put(s, "earlier 1", "earlier-session", " at 09:00")
	put(s, "earlier 1", "earlier-fluid", "9 mL")
	put(s, "earlier 1", "earlier-sodium", "1.4 mmol")
	return s
}

// says gives the value of a fact in words, "nothing" where there is none.
func says(s *record.Session, about, key string) string {
	for i := len(s.Facts) - 1; i >= 0; i-- {
		if f := &s.Facts[i]; f.About == thing(about) && f.Measure == key {
			return shown(f.Value).String()
		}
	}
	return "nothing"
}

// rules gives the rules of findings, each once.
func rules(t *testing.T, s *record.Session) string {
	t.Helper()
	var ids []string
	seen := map[string]bool{}
	for _, f := range Apply(s) {
		if !seen[f.Rule] {
			seen[f.Rule] = true
			ids = append(ids, f.Rule)
		}
	}
	return strings.Join(ids, " ")
}

// withDuct is full with a duct left to right under a monitor that counts lung
// recirculation: left ventricular values and end-diastolic volumes are withheld.
func withDuct() *record.Session {
	s := full()
	look(s, "ductal", "left-to-right", "13:40")
	put(s, "session", "area-counts-lung-recirculation", "yes")
	return s
}

// withoutAgreement is full with injections that lie too far apart.
func withoutAgreement() *record.Session {
	s := full()
	put(s, "injection 2", "blood-flow", "0.722 L/min at 14:30")
	return s
}
