package ucum

import (
	"math/big"
	"strconv"
	"unicode/utf8"

	"saltmark/internal/finding"
)

// Bounds of a code; outside them it is refused in words.
const (
	longestCode = 500
	deepest     = 50
	steepest    = 99 // exponent, either way
)

// evaluate reads a code by the grammar of the specification's Exhibit 1:
//
//	main-term   = ["/"] term
//	term        = component { ("." | "/") component }      from left to right
//	component   = symbol [exponent] [annotation] | number [annotation] | annotation | "(" term ")"
//	exponent    = ["+" | "-"] digits
//	annotation  = "{" characters "}"
//
// A number with an annotation is in no rule of the exhibit and valid in the
// functional tests (1{c}).
func (t *table) evaluate(code string) (magnitude, *UnitError) {
	p := parser{table: t, code: code}
	switch {
	case code == "":
		return magnitude{}, p.fault(0, "no code", "a unit, or 1 for a plain number")
	case len(code) > longestCode:
		return magnitude{}, p.fault(longestCode, finding.Say("a code of {1} bytes", finding.Number(len(code))), finding.Say("at most {1}", finding.Number(longestCode)))
	}
	inverted := p.accept('/')
	m, err := p.component()
	if err != nil {
		return m, err
	}
	if inverted {
		m = m.inverse()
	}
	if m, err = p.rest(m); err != nil {
		return m, err
	}
	if p.pos < len(code) {
		return m, p.fault(p.pos, `")" without its "("`, "parentheses in pairs")
	}
	return m, nil
}

type parser struct {
	table *table
	code  string
	pos   int
	depth int
}

func (p *parser) fault(offset int, found, allowed finding.Text) *UnitError {
	return &UnitError{Code: p.code, Offset: offset, Found: found, Allowed: allowed}
}

// next gives the byte at hand, 0 at the end: no valid code contains a zero byte.
func (p *parser) next() byte {
	if p.pos < len(p.code) {
		return p.code[p.pos]
	}
	return 0
}

func (p *parser) accept(c byte) bool {
	if p.next() != c {
		return false
	}
	p.pos++
	return true
}

// here names what stands at a place, for a message.
func (p *parser) here(at int) finding.Text {
	if at >= len(p.code) {
		return "the end of the code"
	}
	_, size := utf8.DecodeRuneInString(p.code[at:])
	return finding.Data(quote(p.code[at : at+size]))
}

// rest reads the operators and components that follow the first one, until the end
// or a closing parenthesis.
func (p *parser) rest(m magnitude) (magnitude, *UnitError) {
	for {
		at := p.pos
		switch {
		case p.next() == ')' || at == len(p.code):
			return m, nil
		case p.next() != '.' && p.next() != '/':
			return m, p.fault(at, finding.Say("{1} after a complete unit", p.here(at)), `"." (times), "/" (per) or the end`)
		}
		inverted := p.next() == '/'
		p.pos++
		n, err := p.component()
		if err != nil {
			return m, err
		}
		if inverted {
			n = n.inverse()
		}
		m = m.times(n)
		if words := m.fault(); words != "" {
			return m, p.fault(at, words, "a unit of measurement")
		}
	}
}

func (p *parser) component() (magnitude, *UnitError) {
	at, c := p.pos, p.next()
	switch {
	case c == '(':
		return p.nested()
	case c == '{':
		return magnitude{factor: one}, p.annotation()
	case isDigit(c) && !p.atPowerOfTen():
		return p.number()
	case isSymbol(c) || c == '[' || isDigit(c):
		return p.unit()
	}
	return magnitude{}, p.fault(at, p.here(at), `a unit, a number, "(" or "{"`)
}

func (p *parser) nested() (magnitude, *UnitError) {
	open := p.pos
	if p.depth == deepest {
		return magnitude{}, p.fault(open, finding.Say("parentheses more than {1} deep", finding.Number(deepest)), "fewer of them")
	}
	p.depth++
	p.pos++
	m, err := p.component()
	if err != nil {
		return m, err
	}
	if m, err = p.rest(m); err != nil {
		return m, err
	}
	if !p.accept(')') {
		return m, p.fault(open, `"(" without its ")"`, "parentheses in pairs")
	}
	p.depth--
	return m, nil
}

// annotation skips what stands in braces: it has no meaning, by definition.
func (p *parser) annotation() *UnitError {
	open := p.pos
	for p.pos++; p.pos < len(p.code); p.pos++ {
		switch c := p.code[p.pos]; {
		case c == '}':
			p.pos++
			return nil
		case c == '{' || !isVisible(c):
			return p.fault(p.pos, finding.Say("{1} inside braces", p.here(p.pos)), "visible ASCII characters without another brace")
		}
	}
	return p.fault(open, `"{" without its "}"`, "braces in pairs")
}

func (p *parser) optionalAnnotation() *UnitError {
	if p.next() != '{' {
		return nil
	}
	return p.annotation()
}

func (p *parser) digits() string {
	from := p.pos
	for isDigit(p.next()) {
		p.pos++
	}
	return p.code[from:p.pos]
}

func (p *parser) number() (magnitude, *UnitError) {
	at := p.pos
	digits := p.digits()
	n, _ := new(big.Int).SetString(digits, 10)
	if n.Sign() == 0 {
		return magnitude{}, p.fault(at, finding.Say("the number {1}", finding.Data(quote(digits))), "a whole number above zero")
	}
	if c := p.next(); isSymbol(c) || c == '[' {
		return magnitude{}, p.fault(p.pos, finding.Say("{1} straight after the number {2}", p.here(p.pos), finding.Data(quote(digits))), `"." or "/" between a number and a unit`)
	}
	return magnitude{factor: new(big.Rat).SetInt(n)}, p.optionalAnnotation()
}

// atPowerOfTen tells whether the symbols 10* or 10^ stand at hand, the only ones
// that begin with a digit.
func (p *parser) atPowerOfTen() bool {
	s := p.code[p.pos:]
	return len(s) > 2 && s[:2] == "10" && (s[2] == '*' || s[2] == '^') || s == "10*" || s == "10^"
}

// unit reads a symbol with its exponent and annotation. Prefix and unit are both
// raised to the power.
func (p *parser) unit() (magnitude, *UnitError) {
	at := p.pos
	symbol, fault := p.symbol()
	if fault != nil {
		return magnitude{}, fault
	}
	prefix, atom, ok := p.table.lookup(symbol)
	switch {
	case !ok && atom != nil:
		return magnitude{}, p.fault(at, finding.Say("the prefix {1} on {2}", finding.Data(quote(prefix.code)), finding.Data(quote(atom.code))), finding.Say("{1} without a prefix", finding.Data(quote(atom.code))))
	case !ok:
		return magnitude{}, p.fault(at, finding.Say("the symbol {1}", finding.Data(quote(symbol))), "a unit of UCUM, with upper and lower case as it has them")
	}
	m, err := p.table.resolve(atom)
	if err != nil {
		return m, p.fault(at, finding.Say("the symbol {1}, which the table of units does not define soundly", finding.Data(quote(symbol))), "another unit")
	}
	if prefix != nil {
		m = magnitude{factor: prefix.factor}.times(m)
	}
	if m, fault = p.exponent(m); fault != nil {
		return m, fault
	}
	return m, p.optionalAnnotation()
}

func (p *parser) symbol() (string, *UnitError) {
	from := p.pos
	if p.atPowerOfTen() {
		p.pos += len("10*")
		return p.code[from:p.pos], nil
	}
	for isSymbol(p.next()) || p.next() == '[' {
		if !p.accept('[') {
			p.pos++
			continue
		}
		open := p.pos - 1
		for !p.accept(']') {
			switch c := p.next(); {
			case p.pos == len(p.code):
				return "", p.fault(open, `"[" without its "]"`, "brackets in pairs")
			case c == '[' || !isVisible(c):
				return "", p.fault(p.pos, finding.Say("{1} inside brackets", p.here(p.pos)), "visible ASCII characters without another bracket")
			}
			p.pos++
		}
	}
	return p.code[from:p.pos], nil
}

func (p *parser) exponent(m magnitude) (magnitude, *UnitError) {
	at := p.pos
	negative := p.next() == '-'
	signed := negative || p.next() == '+'
	if signed {
		p.pos++
	}
	digits := p.digits()
	if digits == "" {
		if signed {
			return m, p.fault(p.pos, finding.Say("{1} after a sign", p.here(p.pos)), "digits of an exponent")
		}
		return m, nil
	}
	n, err := strconv.Atoi(digits)
	if err != nil || n > steepest {
		return m, p.fault(at, finding.Say("the exponent {1}", finding.Data(quote(p.code[at:p.pos]))), finding.Say("at most {1} either way", finding.Number(steepest)))
	}
	if negative {
		n = -n
	}
	raised, ok := m.power(n)
	if !ok {
		return m, p.fault(at, finding.Say("the exponent {1}, which makes a unit too large or too small to compute with", finding.Data(quote(p.code[at:p.pos]))), "a smaller one")
	}
	return raised, nil
}

func isDigit(c byte) bool   { return c >= '0' && c <= '9' }
func isVisible(c byte) bool { return c >= 33 && c <= 126 }

// isSymbol tells the characters of symbols outside brackets.
func isSymbol(c byte) bool {
	if !isVisible(c) || isDigit(c) {
		return false
	}
	switch c {
	case '"', '(', ')', '+', '-', '.', '/', '=', '[', ']', '{', '}':
		return false
	}
	return true
}
