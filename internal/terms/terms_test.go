package terms

import (
	"slices"
	"strconv"
	"strings"
	"testing"
)

func TestEveryTableCanBeRead(t *testing.T) {
	if _, err := codes(); err != nil {
		t.Error(err)
	}
	if _, err := valueSets(); err != nil {
		t.Error(err)
	}
	if _, err := vitals(); err != nil {
		t.Error(err)
	}
	if _, err := flows(); err != nil {
		t.Error(err)
	}
	if _, err := profiles(); err != nil {
		t.Error(err)
	}
}

// The keys of each table, by its first columns.
func TestNoTableHoldsARowTwice(t *testing.T) {
	keyColumns := map[string]int{
		"loinc.tsv": 1, "mdc.tsv": 1, "dicom.tsv": 1, "snomed.tsv": 1,
		"vitalsigns.tsv": 1, "valuesets.tsv": 3, "flows.tsv": 2, "profiles.tsv": 3, "currencies.tsv": 2,
	}
	listed, err := files.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range listed {
		columns, ok := keyColumns[f.Name()]
		if !ok {
			t.Errorf("%s: this test does not know its key", f.Name())
		}
		text, err := files.ReadFile(f.Name())
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]bool{}
		for line := range strings.Lines(string(text)) {
			cells := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
			for _, c := range cells {
				if c != strings.TrimSpace(c) {
					t.Errorf("%s: the cell %q begins or ends with space", f.Name(), c)
				}
			}
			k := strings.Join(cells[:min(columns, len(cells))], "\t")
			if seen[k] && !strings.HasPrefix(line, "#") {
				t.Errorf("%s holds %q twice", f.Name(), k)
			}
			seen[k] = true
		}
	}
}

func TestATableWithAWrongLineIsRefusedByItsPlace(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"column of another name", "# remark\ncode\tnom\n", `x.tsv:2: columns ["code" "nom"], wanted ["code" "name"]`},
		{"cell too many", "code\tname\n1\t2\t3\n", "x.tsv:2: 3 cells, wanted 2"},
		{"blank line", "code\tname\n\n", "x.tsv:2: 1 cells, wanted 2"},
	} {
		if _, err := parse("x.tsv", c.text, []string{"code", "name"}); err == nil || err.Error() != c.want {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
}

func TestEveryLOINCCodePassesItsCheckDigit(t *testing.T) {
	count := 0
	for _, e := range Entries() {
		if e.System == SystemLOINC {
			count++
			if err := CheckDigit(e.Code); err != nil {
				t.Error(err)
			}
		}
	}
	vitalCodes, _ := vitals()
	for _, v := range vitalCodes {
		for _, code := range []string{v.Code, v.Main} {
			if err := CheckDigit(code); err != nil {
				t.Error(err)
			}
		}
	}
	if count == 0 || len(vitalCodes) == 0 {
		t.Error("nothing was checked")
	}
}

func TestAWrongLOINCCodeIsRefused(t *testing.T) {
	for _, c := range []struct{ code, want string }{
		{"8737-8", `"8737-8" has the check digit 8; its number makes 9`},
		{"8773-9", `"8773-9" has the check digit 9; its number makes 4`}, // two digits exchanged
		{"8737", `"8737" is no LOINC code: up to seven digits, a hyphen and one check digit are wanted`},
		{"8737-99", `"8737-99" is no LOINC code: up to seven digits, a hyphen and one check digit are wanted`},
		{"-9", `"-9" is no LOINC code: up to seven digits, a hyphen and one check digit are wanted`},
		{"LP173-9", `"LP173-9" is no LOINC code: up to seven digits, a hyphen and one check digit are wanted`},
		{"", `"" is no LOINC code: up to seven digits, a hyphen and one check digit are wanted`},
	} {
		if err := CheckDigit(c.code); err == nil || err.Error() != c.want {
			t.Errorf("%q: %v, want %s", c.code, err, c.want)
		}
	}
}

func TestAnyOneDigitChangedIsNoticed(t *testing.T) {
	for _, e := range Entries() {
		if e.System != SystemLOINC {
			continue
		}
		for i := range e.Code {
			for d := byte('0'); d <= '9'; d++ {
				if e.Code[i] == '-' || e.Code[i] == d {
					continue
				}
				if changed := e.Code[:i] + string(d) + e.Code[i+1:]; CheckDigit(changed) == nil {
					t.Errorf("%s passes in place of %s", changed, e.Code)
				}
			}
		}
	}
}

// Names and the ban on displays as the sources of loinc.tsv have them.
func TestADisplayIsGivenOnlyWhereTheNameIsLOINCsOwn(t *testing.T) {
	for _, c := range []struct{ code, display string }{
		{"8737-9", "Left ventricular Cardiac output by Indicator dilution"},
		{"76516-4", "Gestational age--at birth"},
		{"20207-7", ""}, // the name is DICOM's
		{"76215-3", ""}, // no name was seen
	} {
		e, ok := LOINC(c.code)
		if !ok || e.Display() != c.display {
			t.Errorf("%s: %v, display %q, want %q", c.code, ok, e.Display(), c.display)
		}
	}
	for _, e := range Entries() {
		if e.Use == "" || e.Source == "" || e.SendDisplay && e.Name == "" {
			t.Errorf("%s|%s lacks a use, a source or the name that is to be sent", e.System, e.Code)
		}
	}
}

func TestCodesOfOtherMeasuresAreNotInUse(t *testing.T) {
	for _, c := range []struct{ system, code, is string }{
		{SystemLOINC, "8834-4", "a pulmonary resistance index"},
		{SystemLOINC, "11884-4", "the gestation of a running pregnancy"},
		{SystemLOINC, "60842-2", "a maximal uptake of oxygen"},
		{SystemMDC, "150428", "a ventricular stroke of no stated side"},
		{SystemSNOMED, "268384009", "another volume of blood"},
		{SystemSNOMED, "276900001", "outside the Global Patient Set"},
		{SystemSNOMED, "371838001", "another indicator"},
		{SystemLOINC, "", "no code"},
		{"", "8737-9", "a code without a system"},
	} {
		if e, ok := Lookup(c.system, c.code); ok {
			t.Errorf("%s is %s, found as %q", c.code, c.is, e.Use)
		}
	}
}

// Partition 2 of ISO/IEEE 11073-10101 holds what is measured of a patient.
func TestEvery11073CodeIsOfTheMeasurementPartition(t *testing.T) {
	for _, e := range Entries() {
		if e.System != SystemMDC {
			continue
		}
		if n, err := strconv.Atoi(e.Code); err != nil || n/65536 != 2 {
			t.Errorf("%s is not of partition 2: %v", e.Code, err)
		}
	}
}

func TestLookupFindsCodesInUseAndCodesOfValueSets(t *testing.T) {
	for _, c := range []struct{ system, code, display string }{
		{SystemLOINC, "8867-4", "Heart rate"},
		{SystemMDC, "147842", "MDC_ECG_HEART_RATE"},
		{SystemDICOM, "125219", "Doppler Volume Flow"},
		{SystemDICOM, "122243", ""}, // the meaning is a formula
		{SystemSNOMED, "83330001", "Patent ductus arteriosus (disorder)"},
		{SystemDataAbsentReason, "not-performed", "Not Performed"},
		{SystemDiagnosticSection, "ICU", "Bedside ICU Monitoring"},
		{SystemDataOperation, "NULLIFY", "nullify"},
		{SystemProvenanceParticipant, "assembler", "Assembler"},
		{SystemObservationCategory, "procedure", "Procedure"},
		{SystemActReason, "HTEST", "test health data"},
	} {
		e, ok := Lookup(c.system, c.code)
		if !ok || e.System != c.system || e.Code != c.code || e.Display() != c.display {
			t.Errorf("%s|%s: %v %+v, display %q wanted", c.system, c.code, ok, e, c.display)
		}
	}
}

func TestACodeIsInAValueSetWithItsSystemOrWithout(t *testing.T) {
	for _, c := range []struct {
		name, system, code string
		want               bool
	}{
		{"data-absent-reason", "", "unknown", true},
		{"data-absent-reason", SystemDataAbsentReason, "unknown", true},
		{"data-absent-reason", SystemObservationCategory, "unknown", false},
		{"data-absent-reason", "", "exam", false},
		{"no-such-set", "", "unknown", false},
	} {
		if got := InValueSet(c.name, c.system, c.code); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
	}
}

func TestValueSetsAreNotOpenToTheirReaders(t *testing.T) {
	ValueSet("data-absent-reason")[0].Code = "changed"
	ValueSets()[0] = "changed"
	Entries()[0].Code = "changed"
	v, _ := VitalSign("8867-4")
	v.Units[0] = "changed"
	again, _ := VitalSign("8867-4")
	if InValueSet("data-absent-reason", "", "changed") || ValueSets()[0] == "changed" || Entries()[0].Code == "changed" || again.Units[0] == "changed" {
		t.Error("a reader changed a table")
	}
}

// Which profile the standard and its reference engine demand, as tried with the
// engine 6.7.9; units as the profiles of FHIR R4 4.0.1 fix or bind them.
func TestVitalSignsAreKnownByTheirLOINCCode(t *testing.T) {
	const profiles = "http://hl7.org/fhir/StructureDefinition/"
	for _, c := range []struct {
		code, main, profile  string
		units                []string
		byStandard, byEngine bool
	}{
		{"8867-4", "8867-4", "heartrate", []string{"/min"}, true, true},
		{"59408-5", "2708-6", "oxygensat", []string{"%"}, false, true},
		{"20564-1", "2708-6", "oxygensat", []string{"%"}, false, true},
		{"60834-9", "8310-5", "bodytemp", []string{"Cel", "[degF]"}, false, true},
		{"8329-5", "8310-5", "bodytemp", []string{"Cel", "[degF]"}, false, true},
		{"8306-3", "8302-2", "bodyheight", []string{"cm", "[in_i]"}, false, true},
		{"3141-9", "29463-7", "bodyweight", []string{"g", "kg", "[lb_av]"}, false, true},
		{"8480-6", "85354-9", "bp", []string{"mm[Hg]"}, true, true},
		{"8478-0", "8478-0", "vitalsigns", []string{"mm[Hg]"}, true, false},
		{"85353-1", "85353-1", "vitalspanel", nil, true, true},
	} {
		v, ok := VitalSign(c.code)
		if !ok || v.Main != c.main || v.Profile != profiles+c.profile || !slices.Equal(v.Units, c.units) || v.ByStandard != c.byStandard || v.ByEngine != c.byEngine {
			t.Errorf("%+v: got %v %+v", c, ok, v)
		}
	}
	for _, code := range []string{"8737-9", "8831-0", "60985-9", "76214-6", "76215-3", "8277-6", "8339-4", "59407-7", "2711-0", "718-7", "76516-4", "3150-0"} {
		if v, ok := VitalSign(code); ok {
			t.Errorf("%s demands %s", code, v.Profile)
		}
	}
}

func TestEveryMainVitalSignIsOneItself(t *testing.T) {
	all, _ := vitals()
	for _, v := range all {
		if main, ok := VitalSign(v.Main); !ok || main.Main != v.Main || main.Profile != v.Profile {
			t.Errorf("%s names %s, which is %+v", v.Code, v.Main, main)
		}
	}
}

// Code, unit and words as the profiles fix them (package de.gematik.isik 5.1.0).
func TestAPublishedProfileIsFoundByItsCodeAndByItsAddress(t *testing.T) {
	const set, at = "german-intensive-care", "https://gematik.de/fhir/isik/StructureDefinition/sd-mii-icu-linksventri-"
	for _, c := range []struct{ loinc, canonical, unit, words string }{
		{"8737-9", at + "herzzeitvolumen-durch-indikatorverd", "L/min", "liter per minute"},
		{"8751-0", at + "herzindex-durch-indikatorverduennung", "L/min/m2", ""},
		{"8771-8", at + "schlagvolumen-durch-indikatorverduennung", "mL", "milliliter"},
		{"8791-6", at + "schlagvolumenindex-durch-indikatorverd", "mL/m2", "milliliter per square meter"},
	} {
		want := Profile{set, c.loinc, c.canonical, c.unit, c.words}
		byCode, known := ProfileFor(set, c.loinc)
		byAddress, version, knownToo := ProfileAt(c.canonical + "|4.0.0")
		if !known || byCode != want || !knownToo || byAddress != want || version != "4.0.0" {
			t.Errorf("%s: %v, %v %q", c.loinc, byCode, byAddress, version)
		}
	}
	if _, known := ProfileFor("no-such-set", "8737-9"); known {
		t.Error("a set that is not there has a profile")
	}
}
