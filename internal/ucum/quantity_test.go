package ucum_test

import (
	"errors"
	"strings"
	"testing"

	"saltmark/internal/ucum"
)

func TestNumbersAreTakenAsWritten(t *testing.T) {
	for _, s := range []string{"0", "-0", "0.0", "0.610", "37", "-1.5", "10", strings.Repeat("9", 40)} {
		if err := ucum.CheckNumber(s); err != nil {
			t.Errorf("%q: %v", s, err)
		}
	}
	for _, c := range []struct {
		text   string
		offset int
		found  string
	}{
		{"", 0, "nothing"},
		{"-", 0, `"-" alone`},
		{"+1", 0, `"+"`},
		{"--1", 0, `"-"`},
		{"1-", 1, `"-"`},
		{"007", 0, "a needless zero in front"},
		{"-00.5", 1, "a needless zero in front"},
		{".5", 0, "no digit before the point"},
		{"-.5", 1, "no digit before the point"},
		{"5.", 1, "no digit behind the point"},
		{"1.2.3", 3, `"."`},
		{"1..2", 1, `"."`},
		{"1,5", 1, `","`},
		{"1e3", 1, `"e"`},
		{"NaN", 0, `"N"`},
		{"Inf", 0, `"I"`},
		{"0x1F", 1, `"x"`},
		{"1_000", 1, `"_"`},
		{" 1", 0, `" "`},
		{"1 ", 1, `" "`},
		{"\u0661", 0, "\"\u0661\""},
		{"1\u202e", 1, `"\u202e"`},
		{strings.Repeat("9", 41), 40, "41 characters"},
	} {
		err := ucum.CheckNumber(c.text)
		var e *ucum.NumberError
		if !errors.As(err, &e) || !errors.Is(err, ucum.ErrNumber) {
			t.Errorf("%q: got %v", c.text, err)
			continue
		}
		if e.Text != c.text || e.Offset != c.offset || e.Found.String() != c.found || e.Allowed == "" {
			t.Errorf("%q: offset %d, found %s; want %d, %s", c.text, e.Offset, e.Found, c.offset, c.found)
		}
	}
}

func TestQuantitiesAreReadAsWritten(t *testing.T) {
	for _, c := range []struct {
		text, number, unit string
		decimals           int
	}{
		{"0.610 L/min", "0.610", "L/min", 3},
		{"37 Cel", "37", "Cel", 0},
		{"-0.5 mm[Hg]", "-0.5", "mm[Hg]", 1},
		{"150 /min", "150", "/min", 0},
		{"1.0 1", "1.0", "1", 1},
		{"5.2 10*3/uL", "5.2", "10*3/uL", 1},
	} {
		q, err := ucum.ParseQuantity(c.text)
		if err != nil || q.Number != c.number || q.Unit != c.unit || q.Decimals() != c.decimals || q.String() != c.text {
			t.Errorf("%q: %+v %v", c.text, q, err)
		}
	}
	a, _ := ucum.ParseQuantity("0.6 L")
	b, _ := ucum.ParseQuantity("0.60 L")
	if a == b || a.Rat().Cmp(b.Rat()) != 0 {
		t.Error("0.6 L and 0.60 L are the same number, written differently")
	}
	if x := (ucum.Quantity{Number: "1e3", Unit: "L"}).Rat(); x != nil {
		t.Errorf("what is no number has the value %s", x)
	}
}

func TestABadQuantityTellsWhichPartIsWrong(t *testing.T) {
	for _, c := range []struct {
		text    string
		fault   string
		offset  int
		found   string
		suggest string
		is      error
	}{
		{"", "number", 0, "nothing", "", ucum.ErrNumber},
		{"L/min", "number", 0, `"L" and no number in front`, "", ucum.ErrNumber},
		{"about 5 mL", "number", 0, `"a" and no number in front`, "", ucum.ErrNumber},
		{"<5 mL", "number", 0, `"<" and no number in front`, "", ucum.ErrNumber},
		{" 5 mL", "number", 0, `" " and no number in front`, "", ucum.ErrNumber},
		{"+5 mL", "number", 0, `"+"`, "", ucum.ErrNumber},
		{"2,5 mL", "number", 1, `","`, "", ucum.ErrNumber},
		{"007 mL", "number", 0, "a needless zero in front", "", ucum.ErrNumber},
		{"1.2.3 mL", "number", 3, `"."`, "", ucum.ErrNumber},
		{"5-6 mL", "number", 1, `"-"`, "", ucum.ErrNumber},
		{"NaN mL", "number", 0, `"N" and no number in front`, "", ucum.ErrNumber},
		{strings.Repeat("1", 41) + " mL", "number", 40, "41 characters", "", ucum.ErrNumber},
		{"6.1e2 mL/min", "exponent", 3, "an exponent", "", ucum.ErrNumber},
		{"6.1E-2 mL/min", "exponent", 3, "an exponent", "", ucum.ErrNumber},
		{"1e400", "exponent", 1, "an exponent", "", ucum.ErrNumber},
		{"5", "missing unit", 1, "a number without a unit", "", ucum.ErrSyntax},
		{"5 ", "missing unit", 1, "a number without a unit", "", ucum.ErrSyntax},
		{"5  ", "missing unit", 1, "a number without a unit", "", ucum.ErrSyntax},
		{"2.5mL", "space", 3, "no space", "2.5 mL", ucum.ErrSyntax},
		{"37°C", "space", 2, "no space", "37 Cel", ucum.ErrSyntax},
		{"98%", "space", 2, "no space", "98 %", ucum.ErrSyntax},
		{"5xyz", "space", 1, "no space", "", ucum.ErrSyntax},
		{"5eq", "space", 1, "no space", "5 eq", ucum.ErrSyntax},
		{"2.5  mL", "space", 4, "a second space", "2.5 mL", ucum.ErrSyntax},
		{"2.5\tmL", "space", 3, `"\t"`, "2.5 mL", ucum.ErrSyntax},
		{"2.5\u00a0mL", "space", 3, `"\u00a0"`, "2.5 mL", ucum.ErrSyntax},
		{"45 mmHg", "unit", 3, `the symbol "mmHg"`, "45 mm[Hg]", ucum.ErrSyntax},
		{"0.6 lpm", "unit", 4, `the symbol "lpm"`, "0.6 L/min", ucum.ErrSyntax},
		{"2.5 mL ", "unit", 6, `" " after a complete unit`, "2.5 mL", ucum.ErrSyntax},
		{"2.5 mL saline", "unit", 6, `" " after a complete unit`, "", ucum.ErrSyntax},
		{"1 250 mL", "unit", 5, `" " after a complete unit`, "", ucum.ErrSyntax},
		{"5 mL\n", "unit", 4, `"\n" after a complete unit`, "5 mL", ucum.ErrSyntax},
	} {
		_, err := ucum.ParseQuantity(c.text)
		var e *ucum.QuantityError
		if !errors.As(err, &e) || !errors.Is(err, c.is) {
			t.Errorf("%q: got %v", c.text, err)
			continue
		}
		if e.Fault.String() != c.fault || e.Offset != c.offset || e.Found.String() != c.found || e.Suggestion != c.suggest || e.Allowed == "" {
			t.Errorf("%q: %s at %d, found %s, suggestion %q; want %s at %d, %s, %q", c.text, e.Fault, e.Offset, e.Found, e.Suggestion, c.fault, c.offset, c.found, c.suggest)
		}
	}
}

func TestMessagesAreSentencesWithoutRawControlCharacters(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"45 mmHg", `quantity "45 mmHg": found the symbol "mmHg" at byte 4; allowed: a unit of UCUM, with upper and lower case as it has them; perhaps "45 mm[Hg]" is meant`},
		{"45 m\u202e\x1b", `quantity "45 m\u202e\x1b": found "\u202e" after a complete unit at byte 5; allowed: "." (times), "/" (per) or the end`},
	} {
		_, err := ucum.ParseQuantity(c.text)
		if err == nil || err.Error() != c.want {
			t.Errorf("%q: %v, want %s", c.text, err, c.want)
		}
	}
	if err, want := ucum.CheckNumber("1e3"), `number "1e3": found "e" at byte 2; allowed: a plain decimal number (0.610, -2)`; err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
	_, err := ucum.Parse(strings.Repeat("x", 400))
	if err == nil || len(err.Error()) > 300 {
		t.Errorf("a long code makes a long message: %v", err)
	}
}
