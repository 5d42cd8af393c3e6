package rehearsal

import (
	"bytes"
	"fmt"
	"math"

	"saltmark/internal/sheet"
)

// written makes the files of a session.
func (s *session) written() (Session, error) {
	out := Session{ID: s.id, Files: []File{{Name: s.id + ".yaml"}}}
	for i, j := range s.injections {
		text, err := csv(j.recording)
		if err != nil {
			return Session{}, fmt.Errorf("%s, injection %d: %w", s.id, i+1, err)
		}
		out.Files = append(out.Files, File{s.traceName(i), text})
		out.Truth = append(out.Truth, s.row(i))
	}
	out.Files[0].Text = s.sheet()
	return out, nil
}

func (s *session) traceName(i int) string {
	return fmt.Sprintf("traces/%s-injection-%d.csv", s.id, i+1)
}

// sheet is the text of the sheet, as somebody would have filled it in.
func (s *session) sheet() []byte {
	var b bytes.Buffer
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	kg := s.scenario.WeightKg
	line("# Invented sheet of a rehearsal: no person, place or device in it is real, and the")
	line("# curves are simulated. truth.tsv says what is true and what went wrong.")
	line("saltmark: %d", sheet.Version)
	line("session:")
	line("  id: %s", s.id)
	line("  test: \"yes\"")
	line("  start: %s", s.moment(0))
	line("  end: %s", s.moment(24))
	line("  entered: {at: %s, by: demo-person-7}", s.moment(30))
	line("  site: Merrowmere Children's Hospital (invented)")
	line("patient: DEMO-R-%05d", s.number)
	line("encounter: DEMO-RE-%05d", s.number)
	line("operator: demo-person-7")
	if s.verifier != "" {
		line("verified: {by: %s, at: %s}", s.verifier, s.moment(40))
	}
	line("subject:")
	line("  birth-date: %s", s.birthDate())
	if kg < 5 {
		line("  gestational-age: %.0f wk", at(gestation, kg))
	}
	line("  weight: {value: %s, at: %s, obtained: measured-here}", weightText(kg), s.moment(-120))
	line("  length: {value: %.0f cm, at: %s, obtained: measured-here}", at(lengthCm, kg), s.moment(-120))
	line("monitor: m1")
	line("loop: {set: %s, flow: %.0f mL/min}", s.set, s.scenario.Loop.FlowMLs*60)
	line("catheters:")
	if s.scenario.Postductal {
		line("  arterial: {vessel: femoral-artery, side: right}")
	} else {
		line("  arterial: {vessel: radial-artery, side: right}")
	}
	line("  venous: {vessel: internal-jugular-vein, side: right, tip: superior-vena-cava}")
	line("indicator: {kind: isotonic-saline, temperature: 37 Cel}")
	line("injections:")
	for i, j := range s.injections {
		s.writeInjection(line, i, j)
	}
	line("shunt:")
	line("  seen: %s", s.moment(-45))
	line("  method: echo")
	line("  by: demo-person-3")
	for i, level := range []string{"atrial", "ventricular", "ductal"} {
		line("  %s: %s", level, s.levels[i])
	}
	line("  aortopulmonary: closed")
	return b.Bytes()
}

func (s *session) writeInjection(line func(string, ...any), i int, j injection) {
	line("  - number: %d", i+1)
	line("    at: %s", j.at)
	line("    volume: %s", j.volume)
	line("    duration: %.1f s", math.Round(2*j.scenario.Injection.DurationS)/2)
	line("    heart-rate: %.0f /min", s.ratePerMin)
	line("    pressures: {arterial-mean: \"%.0f mm[Hg]\", central-venous: \"5 mm[Hg]\", source: arterial-line}", at(pressure, s.scenario.WeightKg))
	line("    reported:")
	line("      blood-flow: %s L/min", three(j.flowLMin))
	if perKg := j.centralML / s.scenario.WeightKg; perKg > 5 && perKg < 55 { // a monitor says none beyond
		line("      central-blood-volume: %s mL", three(j.centralML))
	}
	line("    trace: {file: %s}", s.traceName(i))
	if j.excluded != "" {
		line("    excluded: %s", j.excluded)
	}
}
