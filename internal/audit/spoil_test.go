package audit_test

import (
	"maps"
	"slices"
	"strconv"
	"testing"

	"saltmark/internal/audit"
)

// spoiler is one change, which gives how to undo it.
type spoiler struct {
	path string
	do   func() (undo func())
}

// spoilers gives changes of every member and item of a tree: taken away, or of
// another kind.
func spoilers(v any, path string, all *[]spoiler) {
	switch v := v.(type) {
	case node:
		for _, k := range slices.Sorted(maps.Keys(v)) {
			was := v[k]
			for _, now := range []any{nil, "x", node{}, []any{1}} {
				*all = append(*all, spoiler{path + "/" + k, func() func() {
					if now == nil {
						delete(v, k)
					} else {
						v[k] = now
					}
					return func() { v[k] = was }
				}})
			}
			spoilers(was, path+"/"+k, all)
		}
	case []any:
		for i := range v {
			was := v[i]
			at := path + "/" + strconv.Itoa(i)
			*all = append(*all, spoiler{at, func() func() { v[i] = nil; return func() { v[i] = was } }})
			spoilers(was, at, all)
		}
	}
}

// Whatever is taken away or replaced, the audit comes to its end, and has something to
// say.
func TestWhateverIsSpoiledTheAuditEnds(t *testing.T) {
	b := parse(t, golden(t, "27-with-traces"))
	var all []spoiler
	spoilers(b, "", &all)
	step := len(all) / inShort(400, 40)
	for i := 0; i < len(all); i += step {
		undo := all[i].do()
		found := audit.Check("b.json", format(t, b), audit.Options{})
		undo()
		if has(found, "audit-stopped") {
			t.Errorf("change %d, of %s, stopped the audit", i, all[i].path)
		}
		if !found.HasErrors() && all[i].path != "/entry" { // without any, it is no session
			t.Errorf("change %d, of %s, is not noticed", i, all[i].path)
		}
	}
}
