package ucum

import (
	"strings"
	"unicode"
)

// longestGuess is the longest code that a suggestion is looked for.
const longestGuess = 60

// suggest gives a valid code that a mistyped one perhaps stood for, or "".
func (t *table) suggest(code string) string {
	if len(code) > longestGuess {
		return ""
	}
	plain := respell.Replace(strings.TrimSpace(code))
	if whole, ok := wholeCodes[strings.ToLower(plain)]; ok {
		return whole
	}
	repaired := t.repair(plain)
	for _, guess := range []string{plain, strings.ToLower(plain), repaired} {
		if guess == code {
			continue
		}
		if _, fault := t.evaluate(guess); fault == nil {
			return guess
		}
	}
	return ""
}

// respell puts what keyboards and word processors make of a code into its ASCII
// spelling. Of two patterns that fit at one place the earlier in the list wins.
var respell = strings.NewReplacer(
	"10*", "10*", "10^", "10^",
	"µ", "u", "μ", "u", "Ω", "Ohm", "Å", "Ao", "℃", "Cel", "℉", "[degF]", "°C", "Cel", "°F", "[degF]", "°", "deg",
	"⁰", "0", "¹", "1", "²", "2", "³", "3", "⁴", "4", "⁵", "5", "⁶", "6", "⁷", "7", "⁸", "8", "⁹", "9", "⁻", "-", "⁺", "", "−", "-",
	"·", ".", "⋅", ".", "×", ".", "**", "", "*", ".", "^", "", "÷", "/", "∕", "/",
	" per ", "/", " / ", "/", " . ", ".", " ", "", "\u00a0", "", "\t", "",
	"cmH2O", "cm[H2O]", "cmH20", "cm[H2O]", "cm[H20]", "cm[H2O]", "cmh2o", "cm[H2O]", "mmH2O", "mm[H2O]",
)

// wholeCodes are abbreviations that stand for a whole unit. Keys are in lower case.
// Common practice, no source.
var wholeCodes = map[string]string{
	"lpm":         "L/min",
	"l/m":         "L/min",
	"bpm":         "/min",
	"brpm":        "/min",
	"beats/min":   "/min",
	"beat/min":    "/min",
	"breaths/min": "/min",
	"breath/min":  "/min",
	"cc":          "mL",
	"ccm":         "mL",
	"sqm":         "m2",
	"ccs":         "mL",
	"wu":          "[wood'U]",
	"wood":        "[wood'U]",
	"woodunits":   "[wood'U]",
	"woodunit":    "[wood'U]",
	"wu.m2":       "[wood'U].m2",
	"i.u.":        "[iU]",
}

// symbols are abbreviations and names that stand where a symbol should. Keys are in
// lower case. Common practice, no source. Names of units that are symbols of other
// units (ft, femtotonne) cannot be here, nor "units", which may be of any kind.
var symbols = map[string]string{
	"mmhg": "mm[Hg]", "torr": "mm[Hg]", "cmhg": "cm[Hg]",
	"cc": "mL", "mls": "mL", "millilitre": "mL", "milliliter": "mL", "millilitres": "mL", "milliliters": "mL",
	"ltr": "L", "ltrs": "L", "litre": "L", "liter": "L", "litres": "L", "liters": "L",
	"sec": "s", "secs": "s", "second": "s", "seconds": "s", "msec": "ms", "msecs": "ms",
	"mins": "min", "minute": "min", "minutes": "min", "mn": "min",
	"hr": "h", "hrs": "h", "hour": "h", "hours": "h", "day": "d", "days": "d",
	"week": "wk", "weeks": "wk", "wks": "wk", "month": "mo", "months": "mo", "yr": "a", "yrs": "a", "year": "a", "years": "a",
	"gm": "g", "gms": "g", "gram": "g", "grams": "g", "gr": "g",
	"kgs": "kg", "kilo": "kg", "kilos": "kg", "kilogram": "kg", "kilograms": "kg",
	"mcg": "ug", "mcl": "uL", "mcmol": "umol", "mosmol": "mosm", "mval": "meq",
	"celsius": "Cel", "degc": "Cel", "fahrenheit": "[degF]", "degf": "[degF]", "kelvin": "K",
	"lb": "[lb_av]", "lbs": "[lb_av]", "pound": "[lb_av]", "pounds": "[lb_av]", "oz": "[oz_av]",
	"in": "[in_i]", "inch": "[in_i]", "inches": "[in_i]", "foot": "[ft_i]", "feet": "[ft_i]",
	"meter": "m", "metre": "m", "meters": "m", "metres": "m", "centimeter": "cm", "centimetre": "cm",
	"percent": "%", "pct": "%", "vol%": "%", "ppm": "[ppm]",
	"iu": "[iU]", "miu": "m[iU]", "kiu": "k[iU]", "dyne": "dyn", "dynes": "dyn", "ohms": "Ohm", "joule": "J", "watt": "W",
	"drop": "[drp]", "drops": "[drp]", "gtt": "[drp]", "fr": "[Ch]", "french": "[Ch]",
}

// repair replaces each symbol of a code that is none by one that is, where the tables
// above, brackets around it or another case give exactly one.
func (t *table) repair(code string) string {
	var b strings.Builder
	for code != "" {
		n := symbolRun(code)
		if n == 0 {
			b.WriteByte(code[0])
			code = code[1:]
			continue
		}
		b.WriteString(t.repairSymbol(code[:n]))
		code = code[n:]
	}
	return b.String()
}

// symbolRun gives the length of what a code begins with that is part of one symbol:
// letters of any script and what stands in brackets or, whole, in braces.
func symbolRun(code string) int {
	var closing rune
	for i, r := range code {
		switch {
		case closing != 0:
			if r == closing {
				closing = 0
			}
		case r == '[':
			closing = ']'
		case r == '{' && i == 0:
			if end := strings.IndexByte(code, '}'); end > 0 {
				return end + 1
			}
			return len(code)
		case r < unicode.MaxASCII && !isSymbol(byte(r)):
			return i
		}
	}
	return len(code)
}

func (t *table) repairSymbol(symbol string) string {
	if _, _, ok := t.lookup(symbol); ok || symbol[0] == '{' {
		return symbol
	}
	if s, ok := symbols[strings.ToLower(symbol)]; ok {
		return s
	}
	if _, _, ok := t.lookup("[" + symbol + "]"); ok {
		return "[" + symbol + "]"
	}
	if s := t.otherCase(symbol); s != "" {
		return s
	}
	return symbol
}

// otherCase gives the one symbol that differs from a given one in case only, or "".
func (t *table) otherCase(symbol string) string {
	var only string
	add := func(found string) {
		if found != only {
			if only != "" {
				found = symbol // two of them: none
			}
			only = found
		}
	}
	for code, a := range t.atoms {
		if strings.EqualFold(code, symbol) {
			add(code)
		}
		if !a.metric || len(code) >= len(symbol) || !strings.EqualFold(symbol[len(symbol)-len(code):], code) {
			continue
		}
		for _, p := range t.prefixes {
			binary := strings.HasSuffix(p.code, "i") // of computing, which nobody means here
			if !binary && strings.EqualFold(p.code, symbol[:len(symbol)-len(code)]) {
				add(p.code + code)
			}
		}
	}
	if only == symbol {
		return ""
	}
	return only
}
