package source

import (
	"strings"

	"saltmark/internal/finding"
)

// readsAsNumber tells whether a text is a number in the notation of RFC 8259,
// section 6.
func readsAsNumber(s string) bool {
	s = strings.TrimPrefix(s, "-")
	whole, rest := digits(s)
	if whole == 0 || whole > 1 && s[0] == '0' {
		return false
	}
	if strings.HasPrefix(rest, ".") {
		n, after := digits(rest[1:])
		if n == 0 {
			return false
		}
		rest = after
	}
	if rest == "" {
		return true
	}
	if rest[0] != 'e' && rest[0] != 'E' {
		return false
	}
	rest = rest[1:]
	if rest != "" && (rest[0] == '-' || rest[0] == '+') {
		rest = rest[1:]
	}
	n, rest := digits(rest)
	return n > 0 && rest == ""
}

// digits counts the digits that a text begins with and gives what follows them.
func digits(s string) (int, string) {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n, s[n:]
}

// numberTooBig judges a number by its characters alone; its value is never
// computed. The fault is false when there is none.
func (l Limits) numberTooBig(s string) (fault, bool) {
	if len(s) > l.NumberChars {
		return fault{
			rule:    "number-size",
			found:   finding.Say("a number has {1} characters", finding.Number(len(s))),
			allowed: finding.Say("at most {1} characters", finding.Number(l.NumberChars)),
		}, true
	}
	if e := strings.IndexAny(s, "eE"); e >= 0 && exponentOver(s[e+1:], l.Exponent) {
		return fault{
			rule:    "number-size",
			found:   finding.Say("a number has an exponent beyond {1}", finding.Number(l.Exponent)),
			allowed: finding.Say("exponents from -{1} to {2}", finding.Number(l.Exponent), finding.Number(l.Exponent)),
		}, true
	}
	return fault{}, false
}

func exponentOver(s string, limit int) bool {
	n := 0
	for _, c := range strings.TrimLeft(s, "+-") {
		if n = n*10 + int(c-'0'); n > limit {
			return true
		}
	}
	return false
}

// foreignNumber tells what kind of number some reader of YAML or of a programming
// language would take a text for that is not a number here; "" when it is none.
//
// Times of day (12:30), which YAML 1.1 read to the base of 60, are texts.
func foreignNumber(s string) finding.Text {
	if readsAsNumber(s) {
		return ""
	}
	signed := strings.TrimLeft(s, "+-")
	if len(s)-len(signed) > 1 {
		return ""
	}
	switch strings.ToLower(signed) {
	case ".inf":
		return "an infinity"
	case ".nan":
		return "a not-a-number"
	}
	for _, base := range []struct {
		prefix, digits string
		name           finding.Text
	}{
		{"0x", "0123456789abcdef_", "a hexadecimal number"},
		{"0o", "01234567_", "an octal number"},
		{"0b", "01_", "a binary number"},
	} {
		digits, ok := strings.CutPrefix(strings.ToLower(signed), base.prefix)
		if ok && digits != "" && strings.Trim(digits, base.digits) == "" {
			return base.name
		}
	}
	return foreignDecimal(s, signed)
}

func foreignDecimal(s, signed string) finding.Text {
	plain := strings.ReplaceAll(signed, "_", "")
	mantissa, _, scaled := strings.Cut(strings.ToLower(plain), "e")
	whole, fraction, pointed := strings.Cut(mantissa, ".")
	switch {
	case signed == "" || signed[0] == '_' || whole+fraction == "" || strings.Trim(whole+fraction, "0123456789") != "":
		return ""
	case scaled && !readsAsNumber("1"+plain[len(mantissa):]):
		return ""
	case len(plain) < len(signed):
		return "a number with underscores"
	case len(whole) > 1 && whole[0] == '0':
		return "a number with a leading zero"
	case whole == "" || pointed && fraction == "":
		return "a number with no digit before or after the point"
	case s[0] == '+':
		return "a number with a plus sign"
	}
	return ""
}

func foreignNumberFault(kind finding.Text) fault {
	return fault{
		rule:    "number-form",
		found:   finding.Say("{1} stands here", kind),
		allowed: `numbers are written as in 0.61, -3 or 1e5; quotes make it a text`,
	}
}
