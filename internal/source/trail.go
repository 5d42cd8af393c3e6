package source

import (
	"strconv"
	"strings"
)

// Trail is the way from a node down to what is visited: the steps of a JSON pointer.
type Trail []Step

// Step is the name of a member, or with an empty one the index of an item.
type Step struct {
	Name  string
	Index int
}

// Enter goes to a member, Item to an item, and Leave back.
func (t *Trail) Enter(name string) { *t = append(*t, Step{Name: name}) }

// Item goes to an item: see Enter.
func (t *Trail) Item(i int) { *t = append(*t, Step{Index: i}) }

// Leave goes back by one step.
func (t *Trail) Leave() { *t = (*t)[:len(*t)-1] }

// Pointer gives the JSON pointer from where the trail begins.
func (t Trail) Pointer() string {
	var b strings.Builder
	for _, s := range t {
		if s.Name == "" {
			b.WriteString("/" + strconv.Itoa(s.Index))
		} else {
			b.WriteString(Pointer(s.Name))
		}
	}
	return b.String()
}

// Holder gives the trail of the object that holds the member which is visited.
func (t Trail) Holder() Trail {
	for len(t) > 0 && t[len(t)-1].Name == "" {
		t = t[:len(t)-1]
	}
	return t[:max(len(t)-1, 0)]
}
