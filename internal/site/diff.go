package site

import (
	"cmp"
	"slices"
)

// Change is a decision that two settings do not share: Old and New are what each has
// in force, nil where one does not decide it at all.
type Change struct {
	Path     string
	Old, New *Decision
}

// Diff gives what changes from one site's settings to others, sorted by path: values
// and sources, also of what goes without saying. The versions of the files take no
// part, nor who approved them.
func Diff(from, to *Settings) []Change {
	byPath := map[string]*Change{}
	at := func(path string) *Change {
		if byPath[path] == nil {
			byPath[path] = &Change{Path: path}
		}
		return byPath[path]
	}
	for _, d := range from.Decisions() {
		at(d.Path).Old = &d
	}
	for _, d := range to.Decisions() {
		at(d.Path).New = &d
	}
	var changes []Change
	for _, c := range byPath {
		if c.Old == nil || c.New == nil || c.Old.Value != c.New.Value || c.Old.Source != c.New.Source {
			changes = append(changes, *c)
		}
	}
	slices.SortFunc(changes, func(a, b Change) int { return cmp.Compare(a.Path, b.Path) })
	return changes
}
