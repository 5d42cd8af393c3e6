package source

import "math/bits"

// EndOfPlain gives where the run of plain characters of a text ends that begins at an
// offset: the place of the first quote, backslash, control character or byte beyond ASCII
// from there on, or the length of the text. It looks at eight bytes at once: most of a
// bundle lies within such runs, and reading and writing look at each of its bytes.
func EndOfPlain(text string, from int) int {
	const (
		ones  = 0x0101010101010101
		highs = ones * 0x80
	)
	for ; from+8 <= len(text); from += 8 {
		w := text[from : from+8]
		x := uint64(w[0]) | uint64(w[1])<<8 | uint64(w[2])<<16 | uint64(w[3])<<24 |
			uint64(w[4])<<32 | uint64(w[5])<<40 | uint64(w[6])<<48 | uint64(w[7])<<56
		// The high bit of a byte is set, or is borrowed, where the byte is beyond ASCII,
		// below the space, a quote or a backslash; a borrow reaches bytes behind it alone.
		if found := (x | (x - ones*' ') | ((x ^ ones*'"') - ones) | ((x ^ ones*'\\') - ones)) & highs; found != 0 {
			return from + bits.TrailingZeros64(found)/8
		}
	}
	for from < len(text) && isPlain(text[from]) {
		from++
	}
	return from
}

func isPlain(c byte) bool { return ' ' <= c && c < 0x80 && c != '"' && c != '\\' }
