package ucum

import (
	"errors"
	"math/big"
	"strings"
	"unicode/utf8"

	"saltmark/internal/finding"
)

// Quantity is a decimal number as it was written, with a UCUM unit code. Quantities
// that were written alike are ==; 0.6 L and 0.60 L are not.
type Quantity struct {
	Number string // plain decimal text as CheckNumber wants it, every digit kept
	Unit   string
}

// String gives the quantity as ParseQuantity reads it.
func (q Quantity) String() string { return q.Number + " " + q.Unit }

// Rat gives the exact number, the caller's own. It is nil when Number is none that
// CheckNumber accepts, which ParseQuantity never gives.
func (q Quantity) Rat() *big.Rat {
	x, err := rational(q.Number)
	if err != nil {
		return nil
	}
	return x
}

// Decimals gives the count of digits behind the point.
func (q Quantity) Decimals() int { return decimals(q.Number) }

// ParseQuantity reads a number and a unit with exactly one space between them:
// "0.610 L/min", "37 Cel". The error is a *QuantityError.
func ParseQuantity(text string) (Quantity, error) {
	number, unit, spaced := strings.Cut(text, " ")
	if !spaced || CheckNumber(number) != nil {
		return Quantity{}, frontFault(text, number)
	}
	at := len(number) + 1
	switch {
	case strings.Trim(unit, " ") == "":
		return Quantity{}, noUnit(text)
	case unit[0] == ' ':
		return Quantity{}, spaceFault(text, at, "a second space")
	}
	if _, err := Parse(unit); err != nil {
		return Quantity{}, unitFault(text, at, err)
	}
	return Quantity{number, unit}, nil
}

// frontFault tells what is wrong with a text that does not begin with a number and a
// space. front is what stands before the first space.
func frontFault(text, front string) error {
	n := numberPrefix(front)
	tail := front[n:]
	switch {
	case n == 0 || n > longestNumber || len(tail) > 0 && strings.IndexByte(".,-+0123456789", tail[0]) >= 0:
		return numberFault(text, front)
	case tail == "":
		return noUnit(text)
	case hasExponent(tail):
		return &QuantityError{Text: text, Fault: FaultExponent, Offset: n, Found: "an exponent", Allowed: "the number written out, without an exponent", Err: ErrNumber}
	}
	var found finding.Text = "no space"
	if r, size := utf8.DecodeRuneInString(tail); r == '\t' || r > utf8.RuneSelf && strings.TrimSpace(tail[:size]) == "" {
		found = finding.Data(quote(tail[:size]))
	}
	return spaceFault(text, n, found)
}

func numberFault(text, front string) error {
	fault := &QuantityError{Text: text, Fault: FaultNumber, Found: "no number in front", Allowed: numberAllowed, Err: ErrNumber}
	var e *NumberError
	if errors.As(CheckNumber(front), &e) {
		fault.Err, fault.Offset, fault.Found, fault.Allowed = e, e.Offset, e.Found, e.Allowed
	}
	if text != "" && strings.IndexByte("+-.,0123456789", text[0]) < 0 {
		p := parser{code: text}
		fault.Offset, fault.Found = 0, finding.Say("{1} and no number in front", p.here(0))
	}
	return fault
}

func noUnit(text string) error {
	at := len(strings.TrimRight(text, " "))
	return &QuantityError{Text: text, Fault: FaultNoUnit, Offset: at, Found: "a number without a unit", Allowed: "one space and a UCUM unit behind the number (1 where it has none)", Err: ErrSyntax}
}

// spaceFault is also where a mistyped text can be put right, if its unit is sound.
func spaceFault(text string, at int, found finding.Text) error {
	fault := &QuantityError{Text: text, Fault: FaultSpace, Offset: at, Found: found, Allowed: "exactly one space between number and unit", Err: ErrSyntax}
	number, unit := text[:numberPrefix(text)], strings.TrimSpace(text[at:])
	if _, err := Parse(unit); err == nil {
		fault.Suggestion = number + " " + unit
	} else if e := (*UnitError)(nil); errors.As(err, &e) && e.Suggestion != "" {
		fault.Suggestion = number + " " + e.Suggestion
	}
	return fault
}

func unitFault(text string, at int, err error) error {
	fault := &QuantityError{Text: text, Fault: FaultUnit, Offset: at, Found: "a unit that cannot be read", Allowed: "a UCUM unit", Err: err}
	var e *UnitError
	if errors.As(err, &e) {
		fault.Offset, fault.Found, fault.Allowed = at+e.Offset, e.Found, e.Allowed
		if e.Suggestion != "" {
			fault.Suggestion = text[:at] + e.Suggestion
		}
	}
	return fault
}

// hasExponent tells whether tail begins as the exponent of a number does: e2, E-3.
func hasExponent(tail string) bool {
	if tail[0] != 'e' && tail[0] != 'E' {
		return false
	}
	digits := strings.TrimLeft(tail[1:], "+-")
	return digits != "" && isDigit(digits[0])
}
