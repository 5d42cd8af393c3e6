package mapping_test

import (
	"fmt"
	"strings"
	"testing"

	"saltmark/internal/derive"
	"saltmark/internal/ucum"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// The sessions of these tests are invented: an infant of 3.0 kg and 50 cm, heart
// rate 150, two injections of 2.5 mL and a flush of 2.0 mL, on 3 May 2031.

// clock gives a time of the day of the session: "14:24".
func clock(hourMinute string) record.Time {
	if len(hourMinute) != len("14:24") {
		return record.Time(hourMinute)
	}
	return record.Time("2031-05-03T" + hourMinute + ":00+02:00")
}

// put states facts, one a line: "injection 1 | blood-flow | 0.598 L/min | 14:24".
// A fact that is there is replaced; a value that is empty takes it away; "absent
// below-range 5 mL" is why there is none.
func put(s *record.Session, lines string) {
	for line := range strings.Lines(lines) {
		cells := strings.Split(strings.TrimSpace(line), "|")
		if len(cells) < 3 {
			continue
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		kind, key, _ := strings.Cut(cells[0], " ")
		m := measure.Get(cells[1])
		if m == nil {
			panic("no measure " + cells[1])
		}
		f := record.Fact{Ref: record.Ref{About: record.Thing{Kind: measure.About(kind), Key: key}, Measure: m.Key, Origin: record.Origin(m.DefaultOrigin())}}
		if len(cells) > 3 {
			f.At = clock(cells[3])
		}
		if len(cells) > 4 {
			f.Obtained = cells[4]
		}
		f.Value = valueOf(m, cells[2])
		drop(s, f.Ref)
		if cells[2] != "" || m.Kind == measure.Group {
			s.Facts = append(s.Facts, f)
		}
	}
}

func valueOf(m *measure.Measure, text string) record.Value {
	if reason, absent := strings.CutPrefix(text, "absent "); absent {
		reason, bound, _ := strings.Cut(reason, " ")
		a := record.Absence{Reason: reason}
		if bound != "" {
			a.Bound, _ = ucum.ParseQuantity(bound)
		}
		return record.Value{Absent: a}
	}
	switch m.Kind {
	case measure.Quantity:
		q, _ := ucum.ParseQuantity(text)
		return record.Value{Quantity: q}
	case measure.Code:
		return record.Value{Code: text}
	case measure.Text:
		return record.Value{Text: text}
	case measure.Time, measure.Date:
		return record.Value{Time: clock(text)}
	}
	return record.Value{}
}

func drop(s *record.Session, r record.Ref) {
	for i, f := range s.Facts {
		if f.About == r.About && f.Measure == r.Measure {
			s.Facts = append(s.Facts[:i:i], s.Facts[i+1:]...)
			return
		}
	}
}

// inject adds an injection with its flow and heart rate.
func inject(s *record.Session, number int, at, flow string) {
	put(s, fmt.Sprintf(`
		injection %[1]d | injection || %[2]s
		injection %[1]d | indicator-volume | 2.5 mL
		injection %[1]d | heart-rate | 150 /min
		injection %[1]d | blood-flow | %[3]s | %[2]s`, number, at, flow))
}

// look states a level.
func look(s *record.Session, level, state, seen string) {
	direction := ""
	if state != "closed" && state != "not-seen" {
		state, direction = "open", state
	}
	put(s, fmt.Sprintf(`
		level %[1]s | level-state | %[2]s
		level %[1]s | level-direction | %[3]s
		level %[1]s | level-method | echo
		level %[1]s | level-seen | %[4]s`, level, state, direction, seen))
}

// plain is the infant without a shunt, before derivation.
func plain() *record.Session {
	s := &record.Session{
		ID: "demo-2031-0001", Revision: 1, Test: true, Start: clock("14:20"), End: clock("14:40"),
		Patient:   record.Reference{System: "https://hospital.example/patients", Value: "DEMO-000123"},
		Operator:  "demo-person-7",
		EnteredBy: "demo-person-7", EnteredAt: clock("14:50"),
		Verification: record.Verification{By: "demo-person-9", At: clock("14:55"), Revision: 1},
		Devices:      []record.Device{{Role: "monitor", Key: "m1", Model: "demo monitor", Version: "2.1"}, {Role: "loop", Key: "set-a"}},
	}
	put(s, `
		session | agreement-tolerance | 10 %
		session | injection-gap-limit | 20 min
		session | assessment-window-young | 12 h
		session | assessment-window | 168 h
		session | weight-age-limit | 24 h
		session | length-age-limit | 30 d
		session | area-index-weight-limit | 2.5 kg
		session | weight-first-limit | 10 kg
		session | blood-volume-by-weight | 84 mL/kg
		session | indicator-sodium | 0.154 mmol/mL
		session | flush-sodium | 0.154 mmol/mL
		session | birth-date | 2031-04-20
		session | gestational-age | 39 wk
		session | weight | 3.0 kg | 08:00 | measured-here
		session | length | 50 cm | 08:00 | from-record
		session | loop-flow | 12 mL/min
		session | flush-total | 2.0 mL
		session | area-counts-lung-recirculation | yes
		catheter arterial | catheter-vessel | umbilical-artery
		catheter venous | catheter-vessel | umbilical-vein
		catheter venous | catheter-tip | inferior-vena-cava`)
	for _, level := range measure.Levels {
		look(s, level, "closed", "13:40")
	}
	inject(s, 1, "14:24", "0.598 L/min")
	inject(s, 2, "14:30", "0.622 L/min")
	return s
}

// everyValue is plain with three injections and everything that a monitor reports.
func everyValue() *record.Session {
	s := plain()
	inject(s, 3, "14:36", "0.610 L/min")
	for _, n := range []string{"1", "2", "3"} {
		put(s, strings.ReplaceAll(`
			injection N | arterial-pressure-mean | 45 mm[Hg]
			injection N | central-venous-pressure | 5 mm[Hg]
			injection N | central-blood-volume | 61.5 mL | 14:30
			injection N | end-diastolic-volume | 11.2 mL | 14:30`, "N", n))
	}
	return s
}

// settled derives and settles a session.
func settled(t testing.TB, s, previous *record.Session) *record.Session {
	t.Helper()
	derive.Apply(s)
	if findings := mapping.Settle(s, previous); len(findings) > 0 {
		t.Fatal(findings[0].Text(true))
	}
	return s
}
