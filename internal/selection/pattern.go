package selection

// fits tells whether a text is what a pattern says: * is any characters, ? one, all else
// itself. It goes back to the last star alone, so that no pattern costs more than the
// lengths of both multiplied.
func fits(pattern, text string) bool {
	p, t := []rune(pattern), []rune(text)
	at, star, from := 0, -1, 0
	for i := 0; i < len(t); {
		switch {
		case at < len(p) && p[at] == '*':
			star, from = at, i
			at++
		case at < len(p) && (p[at] == '?' || p[at] == t[i]):
			at++
			i++
		case star >= 0:
			from++
			at, i = star+1, from
		default:
			return false
		}
	}
	for at < len(p) && p[at] == '*' {
		at++
	}
	return at == len(p)
}
