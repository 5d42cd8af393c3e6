package shape

import (
	"slices"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// elementID: by its id an element is found, so it stands in a resource once, without white
// space. The elements of a StructureDefinition are there twice, in snapshot and in
// differential. Source: FHIR R4 4.0.1, Element.id.
func (c *checker) elementID(n *source.Node) {
	switch {
	case hasSpace(n.Text):
		c.hide("element-id", n, finding.Say("{1} has white space in it", c.words()), "", "any text without white space")
	case c.ids.known(n.Text) && textOf(c.container, "resourceType") != "StructureDefinition":
		c.hide("element-id", n, "a second element of the resource has this id", "", "each id once in a resource")
	}
}

// elementIDs are the ids of the elements of the resource that is visited, and behind them
// in the list those of the resources around it.
type elementIDs struct {
	list  []string
	first int             // of this resource
	many  map[string]bool // the same, of a resource with many
}

// manyIDs is from how many ids on a list is too long to be looked through.
const manyIDs = 32

// known tells whether an id was there before, and keeps it.
func (ids *elementIDs) known(id string) bool {
	if ids.many != nil {
		was := ids.many[id]
		ids.many[id] = true
		return was
	}
	own := ids.list[ids.first:]
	if slices.Contains(own, id) {
		return true
	}
	if ids.list == nil {
		ids.list = make([]string, 0, 2*manyIDs)
	}
	if ids.list = append(ids.list, id); len(own) >= manyIDs {
		ids.many = make(map[string]bool, 4*manyIDs)
		for _, id := range ids.list[ids.first:] {
			ids.many[id] = true
		}
	}
	return false
}

// enter begins with the ids of a resource inside the one that is visited, and gives what
// leave wants.
func (ids *elementIDs) enter() elementIDs {
	outer := *ids
	ids.first, ids.many = len(ids.list), nil
	return outer
}

// leave goes back to the resource around. The list may have grown elsewhere since.
func (ids *elementIDs) leave(outer elementIDs) {
	ids.list, ids.first, ids.many = ids.list[:ids.first], outer.first, outer.many
}
