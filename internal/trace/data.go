package trace

import (
	"fmt"
	"strings"

	"saltmark/internal/finding"
)

// ProblemKind tells what is wrong with the data of a SampledData.
type ProblemKind uint8

// The kinds of problem.
const (
	// DataEmpty: there is no sample.
	DataEmpty ProblemKind = iota + 1
	// DataSpace: a space too many, at an end or between two samples.
	DataSpace
	// DataSeparator: white space other than a space.
	DataSeparator
	// DataExponent: a decimal with an exponent.
	DataExponent
	// DataWord: neither a plain decimal nor E, L or U.
	DataWord
	// DataNoLower: L without a lower limit.
	DataNoLower
	// DataNoUpper: U without an upper limit.
	DataNoUpper
	// DataCount: a number of samples that the dimensions do not divide.
	DataCount
)

// maxProblems is how many problems CheckData tells.
const maxProblems = 20

// Problem is one thing wrong with the data of a SampledData.
type Problem struct {
	Kind   ProblemKind
	Offset int    // byte of data where it is
	Text   string // what stands there, where that says more
}

// Sentence gives what was found, in which "{}" stands for Text, and what is
// allowed.
func (p Problem) Sentence() (found, allowed finding.Text) {
	at := finding.Number(p.Offset)
	switch p.Kind {
	case DataEmpty:
		return "the data hold no sample", "decimals, E, L or U are wanted, with one space between"
	case DataSpace:
		return finding.Say("the data have a space too many at byte {1}", at), "one space is wanted between samples, none at the ends"
	case DataSeparator:
		return finding.Say("the data have white space other than a space at byte {1}", at), "one space is wanted between samples"
	case DataExponent:
		return finding.Say("sample {} at byte {1} has an exponent", at), "a plain decimal is wanted"
	case DataWord:
		return finding.Say("sample {} at byte {1} is no number", at), "a plain decimal, E, L or U is wanted"
	case DataNoLower:
		return finding.Say("the data hold L at byte {1}", at), "a lowerLimit is wanted beside it"
	case DataNoUpper:
		return finding.Say("the data hold U at byte {1}", at), "an upperLimit is wanted beside it"
	case DataCount:
		return "the data hold {} samples", "a multiple of the dimensions is wanted"
	}
	return finding.Say("the data have a problem at byte {1}", at), ""
}

// CheckData looks for what is wrong with the data of a SampledData: plain decimals
// or E, L, U with one space between them, L and U only where the limit is given,
// as many samples as dimensions divide. Dimensions below one, a fault of their
// own, are taken as one. At most the first twenty problems are told.
func CheckData(data string, dimensions int, hasLower, hasUpper bool) []Problem {
	if data == "" {
		return []Problem{{Kind: DataEmpty}}
	}
	c := dataCheck{lowerTold: hasLower, upperTold: hasUpper}
	samples, start := 0, 0
	for start <= len(data) && len(c.problems) < maxProblems {
		end := strings.IndexByte(data[start:], ' ')
		if end < 0 {
			end = len(data) - start
		}
		c.word(data[start:start+end], start)
		if end > 0 {
			samples++
		}
		start += end + 1
	}
	complete := start > len(data)
	if complete && dimensions > 1 && samples%dimensions != 0 && len(c.problems) < maxProblems {
		c.problems = append(c.problems, Problem{Kind: DataCount, Text: fmt.Sprint(samples)})
	}
	return c.problems
}

// dataCheck is the state of checking data.
type dataCheck struct {
	lowerTold, upperTold bool // the limit is there, or its absence was told
	problems             []Problem
}

// word checks what stands between two spaces.
func (c *dataCheck) word(word string, at int) {
	switch {
	case word == "":
		c.add(DataSpace, at, "")
	case afterDecimal(word) == "", word == "E":
	case word == "L":
		if !c.lowerTold {
			c.lowerTold = true
			c.add(DataNoLower, at, "")
		}
	case word == "U":
		if !c.upperTold {
			c.upperTold = true
			c.add(DataNoUpper, at, "")
		}
	case strings.ContainsAny(word, "\t\n\r\v\f\u00A0\u0085\u2028\u2029"):
		c.add(DataSeparator, at+strings.IndexAny(word, "\t\n\r\v\f\u00A0\u0085\u2028\u2029"), "")
	default:
		switch rest := afterDecimal(word); {
		case len(rest) < len(word) && (rest[0] == 'e' || rest[0] == 'E') && afterDigits(strings.TrimLeft(rest[1:], "+-")) == "":
			c.add(DataExponent, at, word)
		default:
			c.add(DataWord, at, word)
		}
	}
}

func (c *dataCheck) add(kind ProblemKind, at int, text string) {
	c.problems = append(c.problems, Problem{Kind: kind, Offset: at, Text: text})
}

// afterDecimal gives what follows a decimal as FHIR writes it, without an exponent
// (-?(0|[1-9][0-9]*)(\.[0-9]+)?), or the whole word where it begins with none.
func afterDecimal(word string) string {
	whole := strings.TrimPrefix(word, "-")
	rest := afterDigits(whole)
	digits := len(whole) - len(rest)
	if digits == 0 || digits > 1 && whole[0] == '0' {
		return word
	}
	if fraction, ok := strings.CutPrefix(rest, "."); ok {
		if after := afterDigits(fraction); len(after) < len(fraction) {
			return after
		}
	}
	return rest
}

func afterDigits(text string) string {
	i := 0
	for i < len(text) && '0' <= text[i] && text[i] <= '9' {
		i++
	}
	return text[i:]
}
