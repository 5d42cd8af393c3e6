// Package ucum holds units of measure: the whole grammar of the Unified Code for
// Units of Measure (UCUM, case-sensitive codes), dimensions, exact conversion, the
// Quantity that every measured value travels as, and the one rule of rounding.
//
// It refuses to know what is measured, which unit a measure is charted in, how a
// message is worded for a reader, and every display name of a unit.
//
// Symbols and units. A unit u is a pair (factor, dimension): a reading r in it
// stands for r*factor in the base units m, s, g, rad, K, C, cd with the exponents of
// the dimension. On a scale whose zero lies elsewhere (Cel, [degF], [degRe]) it
// stands for r*factor + zero kelvin. Factors are rationals and exact; [pi] has the 65
// digits that the table of units gives it. A number is text as it was written and
// becomes a rational (math/big) or a decimal (apd) only to be computed with.
//
// Sources. The units are read at run time from ucum-essence.xml, version 2.2,
// embedded unmodified (see NOTICE). Grammar and semantics follow the specification:
// its Exhibit 1 (the grammar), clauses on special units (21 to 23) and arbitrary
// units (24 to 26). Where its prose and its grammar differ (a number with an
// exponent, as in 2+10), the grammar and the community's functional tests decide.
//
// Limits. A code has at most 500 bytes, 50 levels of parentheses, exponents within
// ±99, dimensions within ±999 and a factor of at most 8192 bits above and below the
// line: what is outside is an error in words. A number has at most 40 characters.
// Of the special units only the three temperatures convert. An arbitrary unit such
// as [iU] converts to nothing but the same code, not even with a prefix. A
// temperature in Cel is a point on the scale: for a difference write K.
package ucum
