package main

import (
	"bytes"
	"fmt"

	"saltmark/internal/sheet"
	"saltmark/mapping/measure"
)

// sheetOf is the text of a sheet as somebody would have filled it in.
func sheetOf(id string, number int, context shunts, step int, r revision) []byte {
	if r.closed {
		context = shunts{}
	}
	var b bytes.Buffer
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("# Invented sheet: no person, place or device in it is real.")
	line("saltmark: %d", sheet.Version)
	line("session:")
	line("  id: %s", id)
	line("  test: \"yes\"")
	line("  start: 2031-09-10T14:20:00+02:00")
	line("  end: 2031-09-10T14:40:00+02:00")
	line("  entered: {at: 2031-09-10T14:50:00+02:00, by: demo-person-7}")
	if step > 0 {
		line("  revision: %d", step+1)
		line("  reason: invented reason of revision %d", step+1)
	}
	if r.withdrawn {
		line("  withdrawn: {by: demo-person-9, at: \"2031-09-1%dT11:40:00+02:00\", reason: filed for the wrong patient}", step+1)
	}
	line("patient: DEMO-C-%04d", number)
	line("encounter: DEMO-CE-%04d", number)
	line("operator: demo-person-7")
	if r.verified || context.answer { // whoever answered a sign stays named when it is withdrawn
		line("verified: {by: demo-person-9, at: \"2031-09-1%dT15:10:00+02:00\"}", step)
	}
	line("subject:")
	line("  birth-date: 2031-08-28")
	line("  gestational-age: 39 wk")
	line("  weight: {value: 3.00 kg, at: 2031-09-10T08:00:00+02:00, obtained: measured-here}")
	line("  length: {value: 50 cm, at: 2031-09-10T08:00:00+02:00, obtained: measured-here}")
	line("monitor: %s", context.monitorName())
	line("loop: {set: set-a, flow: 12 mL/min}")
	line("catheters:")
	line("  arterial: {vessel: femoral-artery, side: right}")
	line("  venous: {vessel: internal-jugular-vein, side: right, tip: superior-vena-cava}")
	line("indicator: {kind: isotonic-saline, temperature: 37 Cel}")
	writeInjections(line, context, r)
	context.write(line)
	return b.Bytes()
}

func (s shunts) monitorName() string {
	if s.monitor == "" {
		return "m1"
	}
	return s.monitor
}

func writeInjections(line func(string, ...any), context shunts, r revision) {
	line("injections:")
	line("  - {number: 1, at: 14:24, volume: 2.5 mL, heart-rate: 150 /min, shunt-sign: no,")
	line("     pressures: {arterial-mean: \"45 mm[Hg]\", central-venous: \"5 mm[Hg]\", source: arterial-line},")
	line("     reported: {blood-flow: 0.598 L/min, central-blood-volume: 61.0 mL, end-diastolic-volume: 9.8 mL}}")
	if r.single && !context.sign {
		return
	}
	at, flow, sign := "14:30", "0.622", "no"
	if r.later {
		at = "14:31"
	}
	if r.copied {
		flow = "0.612"
	}
	if context.sign {
		sign = "yes"
	}
	line("  - {number: 2, at: %s, volume: 2.5 mL, heart-rate: 150 /min, shunt-sign: %s,", at, sign)
	if r.single { // the sign counts, the flow does not
		line("     excluded: rhythm,")
	}
	line("     pressures: {arterial-mean: \"45 mm[Hg]\", central-venous: \"5 mm[Hg]\", source: arterial-line},")
	line("     reported: {blood-flow: %s L/min, central-blood-volume: 62.1 mL, end-diastolic-volume: 10.1 mL}}", flow)
}

func (s shunts) write(line func(string, ...any)) {
	line("shunt:")
	line("  seen: 2031-09-10T13:40:00+02:00")
	line("  method: echo")
	line("  by: demo-person-3")
	for _, level := range measure.Levels {
		line("  %s: %s", level, stated[s.at(level)])
	}
	if s.anatomy {
		line("  anatomy: other-anatomy")
		line("  anatomy-text: single right ventricle, invented")
	}
	if s.life {
		line("  veno-arterial-life-support: yes")
	}
	if s.answer {
		line("  sign-answer: {answer: the sign was an artefact of the line, by: demo-person-9, at: 2031-09-10T14:55:00+02:00}")
	}
}

// stated is what a sheet says of a level in a state; a look of the day before holds no
// more in a newborn.
var stated = map[measure.State]string{
	measure.StateClosed:        "closed",
	measure.StateLeftToRight:   "{state: open, direction: left-to-right}",
	measure.StateRightToLeft:   "{state: open, direction: right-to-left}",
	measure.StateBidirectional: "{state: open, direction: bidirectional}",
	measure.StateNoDirection:   "{state: open, direction: direction-not-seen}",
	measure.StateNotSeen:       "not-seen",
	measure.StateStale:         "{state: closed, seen: 2031-09-09T07:30:00+02:00}",
}
