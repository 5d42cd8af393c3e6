package sheet_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/sheet"
	"saltmark/internal/source"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

const plain = `saltmark: 2
session: {id: demo-1, start: 2031-05-03T14:20:00+02:00, end: 2031-05-03T14:40:00+02:00}
patient: DEMO-000900
operator: demo-person-7
subject:
  weight: {value: 3.00 kg, at: 2031-05-03T08:00:00+02:00}
monitor: m1
loop: set-a
catheters: {arterial: femoral-artery, venous: femoral-vein}
injections:
  - {number: 1, at: 14:24, volume: 2.5 mL, reported: {blood-flow: 0.598 L/min}}
shunt: {seen: 2031-05-03T13:40:00+02:00, atrial: closed, ventricular: closed, ductal: left-to-right, aortopulmonary: not-seen}
`

// changed gives the plain sheet with pieces exchanged: old, new, old, new.
func changed(t *testing.T, pieces ...string) string {
	t.Helper()
	s := plain
	for i := 0; i < len(pieces); i += 2 {
		if !strings.Contains(s, pieces[i]) {
			t.Fatalf("the plain sheet has no %q", pieces[i])
		}
		s = strings.Replace(s, pieces[i], pieces[i+1], 1)
	}
	return s
}

func mustRead(t *testing.T, text string) *record.Session {
	t.Helper()
	s, list := read("test.yaml", []byte(text))
	if list.HasErrors() {
		t.Fatalf("%q", texts(list))
	}
	return s
}

func TestShortFormsMeanWhatTheyStandFor(t *testing.T) {
	want := mustRead(t, plain)
	for _, c := range []struct{ name, short, long string }{
		{"patient", "patient: DEMO-000900", "patient: {identifier: DEMO-000900}"},
		{"monitor", "monitor: m1", "monitor: {name: m1}"},
		{"loop", "loop: set-a", "loop: {set: set-a}"},
		{"catheter", "arterial: femoral-artery", "arterial: {vessel: femoral-artery}"},
		{"closed level", "atrial: closed", "atrial: {state: closed}"},
		{"open level", "ductal: left-to-right", "ductal: {state: open, direction: left-to-right}"},
		{"level not seen", "aortopulmonary: not-seen", "aortopulmonary: {state: not-seen}"},
		{"time of day", "at: 14:24", "at: 2031-05-03T14:24:00+02:00"},
		{"seconds", "at: 14:24", "at: 14:24:00"},
		{"first revision", "{id: demo-1", "{id: demo-1, revision: 1"},
		{"site of the artery", "arterial: femoral-artery", "arterial: {vessel: femoral-artery, duct-site: postductal}"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if diff := cmp.Diff(want, mustRead(t, changed(t, c.short, c.long)), withoutPlaces); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestAnOpenLevelWithoutADirectionSaysSo(t *testing.T) {
	got := mustRead(t, changed(t, "ductal: left-to-right", "ductal: {state: open}"))
	want := mustRead(t, changed(t, "ductal: left-to-right", "ductal: direction-not-seen"))
	if diff := cmp.Diff(want, got, withoutPlaces); diff != "" {
		t.Error(diff)
	}
}

func TestEveryDigitIsKeptWhenThePointMoves(t *testing.T) {
	injection := record.Thing{Kind: measure.Injection, Key: "1"}
	for _, c := range []struct {
		old, written string
		about        record.Thing
		measure      string
		want         record.Quantity
	}{
		{"0.598 L/min", "598 mL/min", injection, "blood-flow", record.Quantity{Number: "0.598", Unit: "L/min"}},
		{"0.598 L/min", "598.0 mL/min", injection, "blood-flow", record.Quantity{Number: "0.5980", Unit: "L/min"}},
		{"3.00 kg", "3000 g", record.TheSession, "weight", record.Quantity{Number: "3.000", Unit: "kg"}},
		{"2.5 mL", "0.00250 L", injection, "indicator-volume", record.Quantity{Number: "2.50", Unit: "mL"}},
		{"2.5 mL", "2.5 cm3", injection, "indicator-volume", record.Quantity{Number: "2.5", Unit: "mL"}},
	} {
		s := mustRead(t, changed(t, c.old, c.written))
		if got := s.Get(c.about, c.measure).Value.Quantity; got != c.want {
			t.Errorf("%s: %v, want %v", c.written, got, c.want)
		}
	}
}

func TestWhatAMonitorShowsInsteadOfAValue(t *testing.T) {
	for written, want := range map[string]record.Absence{
		"not-shown":         {Reason: "not-shown"},
		"below 0.10 L/min":  {Reason: "below-range", Bound: record.Quantity{Number: "0.10", Unit: "L/min"}},
		"above 9000 mL/min": {Reason: "above-range", Bound: record.Quantity{Number: "9.000", Unit: "L/min"}},
	} {
		s := mustRead(t, changed(t, "0.598 L/min", written))
		f := s.Get(record.Thing{Kind: measure.Injection, Key: "1"}, "blood-flow")
		if f.Value != (record.Value{Absent: want}) {
			t.Errorf("%s: %+v", written, f.Value)
		}
	}
}

func TestTimesOfDayAndZones(t *testing.T) {
	session := "{id: demo-1, start: 2031-05-03T14:20:00+02:00, end: 2031-05-03T14:40:00+02:00}"
	for _, c := range []struct{ name, session, at, want string }{
		{"the session's day", session, "14:24", "2031-05-03T14:24:00+02:00"},
		{"at the start itself", session, "14:20", "2031-05-03T14:20:00+02:00"},
		{"past midnight", "{id: a1, start: 2031-05-03T23:50:00+02:00, end: 2031-05-04T00:30:00+02:00}", "00:10", "2031-05-04T00:10:00+02:00"},
		{"universal time", "{id: a1, start: 2031-05-03T23:50:00Z, end: 2031-05-04T00:30:00Z}", "00:10:30", "2031-05-04T00:10:30Z"},
		{"zone in summer", "{id: a1, zone: Europe/Ljubljana, start: 2031-07-03T14:20, end: 2031-07-03T14:40}", "14:24", "2031-07-03T14:24:00+02:00"},
		{"zone in winter", "{id: a1, zone: Europe/Ljubljana, start: 2031-01-03T14:20, end: 2031-01-03T14:40}", "14:24", "2031-01-03T14:24:00+01:00"},
		{"the night when clocks go back, before", "{id: a1, zone: Europe/Ljubljana, start: 2031-10-26T01:40, end: 2031-10-26T01:59}", "01:45", "2031-10-26T01:45:00+02:00"},
		{"the night when clocks go back, after", "{id: a1, zone: Europe/Ljubljana, start: 2031-10-26T01:40, end: 2031-10-26T03:59}", "03:10", "2031-10-26T03:10:00+01:00"},
		{"an hour shown twice, said which", "{id: a1, zone: Europe/Ljubljana, start: 2031-10-26T01:40, end: 2031-10-26T03:59}", "2031-10-26T02:30:00+01:00", "2031-10-26T02:30:00+01:00"},
		{"an hour shown twice on the day before the start", "{id: a1, zone: Europe/Ljubljana, start: 2031-10-26T14:40, end: 2031-10-27T03:59}", "02:30", "2031-10-27T02:30:00+01:00"},
		{"the night when clocks go forward", "{id: a1, zone: Europe/Ljubljana, start: 2031-03-30T01:50, end: 2031-03-30T03:59}", "03:10", "2031-03-30T03:10:00+02:00"},
		{"half hours", "{id: a1, start: 2031-05-03T14:20:00+05:30, end: 2031-05-03T14:40:00+05:30}", "14:24", "2031-05-03T14:24:00+05:30"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := mustRead(t, changed(t, session, c.session, "14:24", c.at))
			if got := string(s.Get(record.Thing{Kind: measure.Injection, Key: "1"}, "injection").At); got != c.want {
				t.Errorf("%s, want %s", got, c.want)
			}
		})
	}
}

func TestAJSONSheetIsTheSameSheet(t *testing.T) {
	files, err := filepath.Glob("../../testdata/sheets/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no demo sheets", err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		doc, _ := source.Read(file, text, source.SheetLimits())
		inJSON, err := json.Marshal(doc.Root.Any())
		if err != nil {
			t.Fatal(err)
		}
		want, _ := sheet.Read(doc)
		got, list := read("same.json", inJSON)
		if list.HasErrors() {
			t.Errorf("%s: %q", file, texts(list))
		}
		if diff := cmp.Diff(want, got, withoutPlaces); diff != "" {
			t.Errorf("%s, - YAML, + JSON:\n%s", file, diff)
		}
		written, err := sheet.Write(want)
		if err != nil {
			t.Fatal(err)
		}
		again, _ := read("again.yaml", written)
		if diff := cmp.Diff(want, again, withoutPlaces); diff != "" {
			t.Errorf("%s, - read, + written and read:\n%s", file, diff)
		}
	}
}

func TestTracesAreNamedWithTheirUnits(t *testing.T) {
	text := changed(t, "volume: 2.5 mL,", `volume: 2.5 mL, trace: {file: traces/one.csv, arterial: "%", venous: 1},`)
	doc, _ := source.Read("test.yaml", []byte(text), source.SheetLimits())
	if _, list := sheet.Read(doc); list.HasErrors() {
		t.Fatalf("%q", texts(list))
	}
	got := sheet.Traces(doc)
	if len(got) != 1 || got[0].File != "traces/one.csv" || got[0].Injection != (record.Thing{Kind: measure.Injection, Key: "1"}) || got[0].Place.Line != 11 {
		t.Fatalf("%+v", got)
	}
	if diff := cmp.Diff(map[string]string{"arterial": "%", "venous": "1"}, got[0].Units); diff != "" {
		t.Error(diff)
	}
}

func TestNoSheetStatesAWithheldValue(t *testing.T) {
	s := mustRead(t, plain)
	s.Get(record.Thing{Kind: measure.Injection, Key: "1"}, "blood-flow").Value = record.Value{Absent: record.Absence{Reason: "shunt-rule"}}
	if text, err := sheet.Write(s); err == nil {
		t.Errorf("it was written:\n%s", text)
	}
}

func TestASessionNeverMeasuredNeedsNoInjection(t *testing.T) {
	text := `saltmark: 2
session:
  id: demo-1
  revision: 2
  start: 2031-05-03T14:20:00+02:00
  end: 2031-05-03T14:40:00+02:00
  withdrawn: {by: demo-person-9, at: 2031-05-03T16:00:00+02:00, reason: filed by mistake, never-measured: yes}
patient: DEMO-000900
operator: demo-person-7
`
	s := mustRead(t, text)
	if !s.Withdrawal.NeverMeasured {
		t.Error("the session is not withdrawn as never measured")
	}
}

func TestEveryFindingStandsAtItsValue(t *testing.T) {
	_, list := read("ward3.yaml", []byte(changed(t, "volume: 2.5 mL", "volume: 2.5 L/min")))
	want := `ward3.yaml:11:36 unit-dimension error: injections[0].volume is "2.5 L/min" (volume per time); a volume is wanted, for example "2.5 mL"`
	if len(list) != 1 || list[0].Text(false) != want || list[0].Place.Pointer != "/injections/0/volume" {
		t.Errorf("%q", texts(list))
	}
}
