package report

import (
	"cmp"
	"maps"
	"slices"
)

// count is how often something was seen.
type count struct {
	documents int // in which it was seen
	values    int // together
	words     string
	places    []string // the first few
}

// mostPlaces is how many places a count keeps.
const mostPlaces = 3

// counts maps the code of what was seen to how often it was.
type counts map[string]*count

// of gives the count of a code, from nought on.
func (c counts) of(code string) *count {
	if c[code] == nil {
		c[code] = &count{}
	}
	return c[code]
}

// worstFirst gives the codes by how many documents they touch; of equal ones the
// first in the alphabet comes first.
func (c counts) worstFirst() []string {
	return slices.SortedFunc(maps.Keys(c), func(a, b string) int {
		return cmp.Or(cmp.Compare(c[b].documents, c[a].documents), cmp.Compare(a, b))
	})
}

// documents gives the number of documents for each code.
func (c counts) documents() map[string]int {
	n := map[string]int{}
	for code, one := range c {
		n[code] = one.documents
	}
	return n
}

// values gives the number of values for each code.
func (c counts) values() map[string]int {
	n := map[string]int{}
	for code, one := range c {
		n[code] = one.values
	}
	return n
}
