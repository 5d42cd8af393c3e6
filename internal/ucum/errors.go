package ucum

import (
	"errors"
	"strconv"
	"strings"

	"saltmark/internal/finding"
)

// What can be wrong, for errors.Is.
var (
	ErrSyntax        = errors.New("not a UCUM code")
	ErrNumber        = errors.New("not a decimal number")
	ErrDimension     = errors.New("units of different dimensions")
	ErrArbitraryUnit = errors.New("a unit defined by its assay converts to nothing else")
	ErrSpecialUnit   = errors.New("a special unit that is not converted")
	ErrUnitsDiffer   = errors.New("values in different units")
	ErrNoValues      = errors.New("no values")
	ErrZeroDivisor   = errors.New("division by zero")
)

// UnitError tells where a unit code is wrong.
type UnitError struct {
	Code    string
	Offset  int          // byte in Code
	Found   finding.Text // part of a sentence
	Allowed finding.Text // part of a sentence
	// Suggestion is a valid code that was perhaps meant, or empty. It is for a
	// person to judge and never used in place of what was written.
	Suggestion string
}

// Error gives one sentence.
func (e *UnitError) Error() string {
	s := "unit " + quote(e.Code) + ": found " + e.Found.String() + " at byte " + strconv.Itoa(e.Offset+1) + "; allowed: " + e.Allowed.String()
	if e.Suggestion != "" {
		s += "; perhaps " + quote(e.Suggestion) + " is meant"
	}
	return s
}

// Unwrap gives ErrSyntax.
func (e *UnitError) Unwrap() error { return ErrSyntax }

// NumberError tells where a number is wrong.
type NumberError struct {
	Text    string
	Offset  int // byte in Text
	Found   finding.Text
	Allowed finding.Text
}

// Error gives one sentence.
func (e *NumberError) Error() string {
	return "number " + quote(e.Text) + ": found " + e.Found.String() + " at byte " + strconv.Itoa(e.Offset+1) + "; allowed: " + e.Allowed.String()
}

// Unwrap gives ErrNumber.
func (e *NumberError) Unwrap() error { return ErrNumber }

// Fault names the part of a quantity that is wrong.
type Fault uint8

// The faults of a quantity; zero is none of them.
const (
	FaultNumber   Fault = iota + 1 // no decimal number in front
	FaultExponent                  // a number with an exponent, 6.1e2
	FaultSpace                     // not exactly one space between number and unit
	FaultNoUnit                    // a number alone
	FaultUnit                      // not a UCUM code behind the space
)

// String gives the part in words.
func (f Fault) String() string {
	switch f {
	case FaultNumber:
		return "number"
	case FaultExponent:
		return "exponent"
	case FaultSpace:
		return "space"
	case FaultNoUnit:
		return "missing unit"
	case FaultUnit:
		return "unit"
	}
	return "none"
}

// QuantityError tells which part of a quantity is wrong, and where.
type QuantityError struct {
	Text    string
	Fault   Fault
	Offset  int // byte in Text
	Found   finding.Text
	Allowed finding.Text
	// Suggestion is a valid quantity that was perhaps meant, or empty; see UnitError.
	Suggestion string
	// Err is the *NumberError or *UnitError of the part, ErrNumber or ErrSyntax.
	Err error
}

// Error gives one sentence.
func (e *QuantityError) Error() string {
	s := "quantity " + quote(e.Text) + ": found " + e.Found.String() + " at byte " + strconv.Itoa(e.Offset+1) + "; allowed: " + e.Allowed.String()
	if e.Suggestion != "" {
		s += "; perhaps " + quote(e.Suggestion) + " is meant"
	}
	return s
}

// Unwrap gives the error of the part.
func (e *QuantityError) Unwrap() error { return e.Err }

// ConversionError tells why one unit does not go over to another.
type ConversionError struct {
	From, To                   string
	FromDimension, ToDimension Dimension
	Err                        error // ErrDimension, ErrArbitraryUnit or ErrSpecialUnit
}

// Error gives one sentence.
func (e *ConversionError) Error() string {
	s := quote(e.From) + " to " + quote(e.To) + ": " + e.Err.Error()
	if e.Err == ErrDimension {
		s += " (" + e.FromDimension.Words().String() + ", " + e.ToDimension.Words().String() + ")"
	}
	return s
}

// Unwrap gives the reason.
func (e *ConversionError) Unwrap() error { return e.Err }

// shown is how many characters of the input a message shows.
const shown = 60

// quote puts a piece of the input into double quotes, control and bidirectional
// characters escaped and the rest cut off.
func quote(s string) string {
	n := 0
	for i := range s {
		if n == shown {
			return strings.TrimSuffix(strconv.Quote(s[:i]), `"`) + `..."`
		}
		n++
	}
	return strconv.Quote(s)
}
