package source

// slabSize is how many nodes are allocated at once: fewer in a short text, such
// as a line of NDJSON. FHIR takes 30 to 40 bytes a value (measured).
func (r *jsonReader) slabSize() int {
	return min(max(len(r.text)/32, 4), 512)
}

func (r *jsonReader) node() *Node {
	if len(r.nodeSlab) == cap(r.nodeSlab) {
		r.nodeSlab = make([]Node, 0, r.slabSize())
	}
	r.nodeSlab = r.nodeSlab[:len(r.nodeSlab)+1]
	return &r.nodeSlab[len(r.nodeSlab)-1]
}

func (r *jsonReader) keptMembers(members []Member) []Member {
	if len(members) == 0 {
		return nil
	}
	r.memberSlab = room(r.memberSlab, len(members), r.slabSize())
	start := len(r.memberSlab)
	r.memberSlab = append(r.memberSlab, members...)
	return r.memberSlab[start:len(r.memberSlab):len(r.memberSlab)]
}

func (r *jsonReader) keptItems(items []*Node) []*Node {
	if len(items) == 0 {
		return nil
	}
	r.itemSlab = room(r.itemSlab, len(items), r.slabSize())
	start := len(r.itemSlab)
	r.itemSlab = append(r.itemSlab, items...)
	return r.itemSlab[start:len(r.itemSlab):len(r.itemSlab)]
}

// room gives a slab that takes n more without moving what it holds.
func room[T any](slab []T, n, size int) []T {
	if len(slab)+n <= cap(slab) {
		return slab
	}
	return make([]T, 0, max(n, size))
}
