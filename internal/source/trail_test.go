package source

import "testing"

func TestATrailIsAPointerAndKnowsItsHolder(t *testing.T) {
	var trail Trail
	for _, step := range []struct {
		move            func()
		pointer, holder string
	}{
		{func() {}, "", ""},
		{func() { trail.Enter("entry") }, "/entry", ""},
		{func() { trail.Item(3) }, "/entry/3", ""},
		{func() { trail.Enter("a/b~c") }, "/entry/3/a~1b~0c", "/entry/3"},
		{func() { trail.Item(0) }, "/entry/3/a~1b~0c/0", "/entry/3"},
		{func() { trail.Leave(); trail.Leave() }, "/entry/3", ""},
	} {
		step.move()
		if got := trail.Pointer(); got != step.pointer {
			t.Errorf("pointer %q, want %q", got, step.pointer)
		}
		if got := trail.Holder().Pointer(); got != step.holder {
			t.Errorf("the holder of %q is %q, want %q", step.pointer, got, step.holder)
		}
	}
}
