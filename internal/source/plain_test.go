package source

import (
	"testing"

	"pgregory.net/rapid"
)

func TestPlainCharactersEndAtTheFirstOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		some := rapid.SampledFrom([]byte("\x00\x1f !\"#[\\]~\x7f\x80\xa2\xdc\xffa0"))
		text := string(rapid.SliceOfN(rapid.OneOf(some, rapid.Just(byte('x')), rapid.Byte()), 0, 40).Draw(t, "text"))
		for from := range len(text) + 1 {
			want := from
			for want < len(text) && isPlain(text[want]) {
				want++
			}
			if got := EndOfPlain(text, from); got != want {
				t.Fatalf("from %d: %d, want %d", from, got, want)
			}
		}
	})
}

func TestEachByteIsPlainOrNotWhereverItStands(t *testing.T) {
	for c := range 256 {
		for at := range 16 {
			text := []byte("0123456789abcdef")
			text[at] = byte(c)
			want := len(text)
			if !isPlain(byte(c)) {
				want = at
			}
			if got := EndOfPlain(string(text), 0); got != want {
				t.Errorf("byte %#x at %d: the run ends at %d", c, at, got)
			}
		}
	}
}
