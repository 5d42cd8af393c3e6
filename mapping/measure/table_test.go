package measure_test

import (
	"slices"
	"strings"
	"testing"

	"saltmark/internal/terms"
	"saltmark/internal/ucum"
	"saltmark/mapping/measure"
)

func eachRow(t *testing.T, check func(t *testing.T, m *measure.Measure)) {
	t.Helper()
	if len(measure.All()) == 0 {
		t.Fatal("the table is empty")
	}
	for i := range measure.All() {
		check(t, &measure.All()[i])
	}
}

func TestEveryRowIsFoundByItsKey(t *testing.T) {
	seen := map[string]bool{}
	eachRow(t, func(t *testing.T, m *measure.Measure) {
		if seen[m.Key] {
			t.Errorf("%s is there twice", m.Key)
		}
		seen[m.Key] = true
		if measure.Get(m.Key) != m || measure.All()[m.Row].Key != m.Key {
			t.Errorf("%s is not found by its key or place", m.Key)
		}
		if m.Key == "" || strings.Trim(m.Key, "abcdefghijklmnopqrstuvwxyz0123456789-") != "" {
			t.Errorf("%q is no key of small letters, digits and hyphens", m.Key)
		}
		if !complete(m.Words) || m.Listed() && !complete(m.Brief) || len(m.About) == 0 {
			t.Errorf("%s lacks words, or what it is about", m.Key)
		}
	})
	if measure.Get("no-such-measure") != nil {
		t.Error("a measure is found that is not there")
	}
}

var kinds = []measure.Kind{measure.Group, measure.Quantity, measure.Code, measure.Text, measure.Time, measure.Date, measure.Curve}

var abouts = []measure.About{
	measure.Session, measure.Injection, measure.Level, measure.Catheter, measure.Sample, measure.Event,
	measure.Drug, measure.Earlier, measure.Confirmation, measure.Comparator, measure.Reading,
}

func TestEveryRowIsOfAKnownKind(t *testing.T) {
	columns := []measure.Column{"", measure.ColumnFlow, measure.ColumnLV, measure.ColumnRO, measure.ColumnCBV, measure.ColumnEDV, measure.ColumnSign}
	origins := []string{"", "reported", "derived", "recomputed"}
	eachRow(t, func(t *testing.T, m *measure.Measure) {
		if !slices.Contains(kinds, m.Kind) || !slices.Contains(columns, m.Column) || !slices.Contains(origins, m.Origin) {
			t.Errorf("%s: kind %q, column %q, origin %q", m.Key, m.Kind, m.Column, m.Origin)
		}
		for _, about := range m.About {
			if !slices.Contains(abouts, about) {
				t.Errorf("%s is about %q", m.Key, about)
			}
		}
	})
}

func TestEveryComponentHasAnObservationToStandIn(t *testing.T) {
	eachRow(t, func(t *testing.T, m *measure.Measure) {
		if m.In == "" {
			if len(m.Category) == 0 {
				t.Errorf("%s is an Observation without a category", m.Key)
			}
			return
		}
		carrier := measure.Get(m.In)
		switch {
		case carrier == nil:
			t.Errorf("%s stands in %q, which is not there", m.Key, m.In)
			return
		case carrier.In != "":
			t.Errorf("%s stands in %s, which is a component itself", m.Key, m.In)
		case m.Kind == measure.Group || m.Kind == measure.Curve:
			t.Errorf("%s is a %s and cannot be a component", m.Key, m.Kind)
		case len(m.Category) > 0 || m.Labelled || m.Dated || m.Obtained || m.Used != "" || len(m.Codes) > 0:
			t.Errorf("%s is a component and has what only an Observation has", m.Key)
		}
		for _, about := range m.About {
			if !carrier.Has(about) && !carrier.Has(measure.Session) {
				t.Errorf("%s about %s has no %s to stand in", m.Key, about, m.In)
			}
		}
	})
}

func TestEveryCategoryIsOneOfFHIRs(t *testing.T) {
	eachRow(t, func(t *testing.T, m *measure.Measure) {
		for _, c := range m.Category {
			if !terms.InValueSet("observation-category", "", c) {
				t.Errorf("%s: category %q", m.Key, c)
			}
		}
	})
}

func TestEveryQuantityHasAUnitAndNothingElseHas(t *testing.T) {
	eachRow(t, func(t *testing.T, m *measure.Measure) {
		if (m.Unit != "") != (m.Kind == measure.Quantity || m.Kind == measure.Curve) {
			t.Errorf("%s: kind %s, unit %q", m.Key, m.Kind, m.Unit)
		}
		if _, err := ucum.Parse(m.Unit); m.Unit != "" && err != nil {
			t.Errorf("%s: %v", m.Key, err)
		}
		if m.Kind != measure.Quantity && (m.Signed || m.Zero || m.Digits != "" || m.AnyDimension) {
			t.Errorf("%s is a %s and has a sign, digits or a dimension", m.Key, m.Kind)
		}
		if m.Kind == measure.Quantity && m.Digits == "" && m.Origin == "derived" {
			t.Errorf("%s is derived and has no digits", m.Key)
		}
	})
}

func TestEveryCodedValueIsOfASet(t *testing.T) {
	used := map[string]bool{}
	eachRow(t, func(t *testing.T, m *measure.Measure) {
		if (m.Values != "") != (m.Kind == measure.Code) {
			t.Errorf("%s: kind %s, set %q", m.Key, m.Kind, m.Values)
		}
		// The label is no value of ours to choose: its codes are made by flows.go.
		if m.Values == "" || m.Values == "none" {
			return
		}
		used[m.Values] = true
		seen := map[string]bool{}
		for _, c := range measure.Set(m.Values) {
			if seen[c.Code] || c.Code == "" || !complete(c.Words) {
				t.Errorf("set %s: %q is there twice, or has no words", m.Values, c.Code)
			}
			seen[c.Code] = true
		}
		if len(seen) == 0 {
			t.Errorf("%s: set %q is not there", m.Key, m.Values)
		}
	})
	for _, name := range measure.Sets() {
		if len(measure.Set(name)) == 0 {
			t.Errorf("set %q is listed and empty", name)
		}
		if !used[name] && !slices.Contains([]string{"obtained", "origin", "method"}, name) {
			t.Errorf("set %q is of no row", name)
		}
	}
}

// One code may stand in several sets; then it says the same. Two sets that use one
// word for two things are listed.
func TestOneCodeOfValuesHasOneMeaning(t *testing.T) {
	words := map[string]measure.Words{}
	for _, name := range measure.Sets() {
		for _, c := range measure.Set(name) {
			if before, there := words[c.Code]; there && before != c.Words {
				t.Errorf("%q means %q and, in set %s, %q", c.Code, before, name, c.Words)
			}
			words[c.Code] = c.Words
		}
	}
}

func TestEveryPublishedCodeIsInUse(t *testing.T) {
	eachRow(t, func(t *testing.T, m *measure.Measure) {
		codes := []string{m.LOINC}
		for _, w := range m.Codes {
			codes = append(codes, w.LOINC)
		}
		for _, code := range codes {
			if _, known := terms.LOINC(code); code != "" && !known {
				t.Errorf("%s: LOINC %s is not in the table of codes in use", m.Key, code)
			}
		}
		if m.DICOM != "" {
			if _, known := terms.Lookup(measure.SystemDICOM, m.DICOM); !known {
				t.Errorf("%s: DICOM %s is not in the table of codes in use", m.Key, m.DICOM)
			}
		}
	})
}

// The four codes of the left ventricle by indicator dilution are given only under a
// label that contains LVO (the page on measures).
func TestCodesOfTheLeftVentricleHangOnTheLabel(t *testing.T) {
	left := []string{"8737-9", "8751-0", "8771-8", "8791-6"}
	found := 0
	eachRow(t, func(t *testing.T, m *measure.Measure) {
		if slices.Contains(left, m.LOINC) {
			t.Errorf("%s carries %s whatever its label", m.Key, m.LOINC)
		}
		for _, w := range m.Codes {
			if slices.Contains(left, w.LOINC) {
				found++
				if w.When != "LVO" {
					t.Errorf("%s carries %s when %q", m.Key, w.LOINC, w.When)
				}
			}
			if _, flow := measure.FlowOf(w.When); !flow && w.When != measure.NotDetermined {
				t.Errorf("%s: a code when %q", m.Key, w.When)
			}
		}
		if len(m.Codes) > 0 && !m.Labelled {
			t.Errorf("%s has codes by its label and carries none", m.Key)
		}
	})
	if found != len(left) {
		t.Errorf("%d of the %d codes are in the table", found, len(left))
	}
}

// TestOneLocalCodeIsOfOneThing holds each local code to one measure about one thing
// in one role: a reader who knows only the code knows what it is.
func TestOneLocalCodeIsOfOneThing(t *testing.T) {
	owner := map[string]string{}
	own := func(code, by string) {
		if code == "" {
			return
		}
		if before, taken := owner[code]; taken && before != by {
			t.Errorf("%q is the code of %s and of %s", code, before, by)
		}
		owner[code] = by
	}
	eachRow(t, func(_ *testing.T, m *measure.Measure) {
		for _, about := range m.About {
			for _, key := range measure.ThingsOf(about) {
				own(m.LocalCode(about, key), m.Key+" of "+string(about)+" "+key)
			}
		}
		own(m.Used, m.Key+", used")
		for _, w := range m.Codes {
			own(w.Local, m.Key+" when "+w.When)
		}
	})
	listed := map[string]bool{}
	for _, c := range measure.LocalCodes() {
		if listed[c.Code] || !complete(c.Words) || strings.Contains(strings.Join(c.Words[:], "")+c.Code, "{}") {
			t.Errorf("the code system has %q twice, without words or with a gap in them: %q", c.Code, c.Words)
		}
		listed[c.Code] = true
	}
	for code, by := range owner {
		if !listed[code] {
			t.Errorf("the code system lacks %q of %s", code, by)
		}
	}
}

func TestPlacesOnTheSheetAndInTheSettingsAreOfOneRowEach(t *testing.T) {
	sheets, settings := map[string]string{}, map[string]string{}
	eachRow(t, func(t *testing.T, m *measure.Measure) {
		for _, place := range []struct {
			of    map[string]string
			path  string
			where string
		}{{sheets, m.Sheet, "the sheet"}, {settings, m.Setting, "the settings"}} {
			if place.path == "" {
				continue
			}
			if other := place.of[place.path]; other != "" {
				t.Errorf("%s of %s holds %s and %s", place.path, place.where, other, m.Key)
			}
			place.of[place.path] = m.Key
			if strings.Trim(place.path, "abcdefghijklmnopqrstuvwxyz.-[]{}") != "" || strings.Contains(place.path, "..") {
				t.Errorf("%s: %q is no path", m.Key, place.path)
			}
		}
		if m.Origin == "derived" && (m.Sheet != "" || m.Setting != "") {
			t.Errorf("%s is derived and stands on the sheet or in the settings", m.Key)
		}
		if m.Dated && m.Sheet == "" {
			t.Errorf("%s has a time on a sheet that it is not on", m.Key)
		}
	})
}

func TestTheOriginOfARowFollowsFromItsPlaces(t *testing.T) {
	for key, want := range map[string]string{
		"weight": "stated", "blood-flow": "reported", "stroke-volume": "derived", "agreement-tolerance": "setting",
		"prime-volume": "stated", "injection": "stated", "session-panel": "derived", "shunt-sign": "reported",
	} {
		if got := measure.Get(key).DefaultOrigin(); got != want {
			t.Errorf("%s: %s, want %s", key, got, want)
		}
	}
}

func TestEveryReasonHasWordsAndAReasonOfFHIR(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range measure.Reasons() {
		if seen[r.Code] || !complete(r.Words) || !terms.InValueSet("data-absent-reason", "", r.Absent) {
			t.Errorf("%q is there twice, has no words or no reason of FHIR: %q", r.Code, r.Absent)
		}
		seen[r.Code] = true
	}
	// The reasons that the page on measures lists.
	for _, code := range []string{
		"no-agreeing-pair", "shunt-rule", "shunt-not-assessed", "sign-unanswered", "catheter-tip", "monitor-area", "stale-input",
		"input-missing", "sensor-fault", "baseline-short", "not-shown", "below-range", "above-range", "injection-failed",
	} {
		if r, ok := measure.ReasonOf(code); !ok || r.Code != code {
			t.Errorf("reason %q is missing", code)
		}
	}
	if _, ok := measure.ReasonOf("odd"); ok {
		t.Error("a reason is found that is not there")
	}
}

// Values that a label or its table rules say so in their rows.
func TestRowsOfFlowsCarryLabels(t *testing.T) {
	eachRow(t, func(t *testing.T, m *measure.Measure) {
		if (m.Column == measure.ColumnFlow || m.Column == measure.ColumnLV) && !m.Labelled {
			t.Errorf("%s is of the column %s and carries no label", m.Key, m.Column)
		}
		if m.Method != "" && !measure.InSet("method", m.Method) {
			t.Errorf("%s: method %q has no words", m.Key, m.Method)
		}
		if from := m.MethodFrom; from != "" && (measure.Get(from) == nil || measure.Get(from).Kind != measure.Code) {
			t.Errorf("%s takes its method from %q", m.Key, from)
		}
		if m.Catheter != "" && !slices.Contains(measure.Catheters, m.Catheter) {
			t.Errorf("%s: catheter %q", m.Key, m.Catheter)
		}
	})
}

func TestWordsAreGivenForAThing(t *testing.T) {
	m := measure.Get("level-state")
	if got := m.WordsFor("ductal", measure.English); got != "ductal level: state" {
		t.Errorf("%q", got)
	}
	if got := m.LocalCode(measure.Level, "ductal"); got != "ductal-state" {
		t.Errorf("%q", got)
	}
	if got := measure.Get("blood-flow").LocalCode(measure.Injection, "2"); got != "blood-flow-of-one-injection" {
		t.Errorf("%q", got)
	}
	if got := measure.WordsOf("tip", "left-atrium", measure.English); got != "left atrium" {
		t.Errorf("%q", got)
	}
	if measure.WordsOf("tip", "odd", measure.German) != "" || measure.InSet("tip", "odd") || measure.InSet("odd", "left-atrium") {
		t.Error("words are given for what is not there")
	}
}
