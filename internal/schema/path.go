package schema

import "saltmark/internal/source"

// join gives the pointer of a path below a pointer.
func join(pointer string, path []string) string {
	for _, step := range path {
		pointer += source.Pointer(step)
	}
	return pointer
}
