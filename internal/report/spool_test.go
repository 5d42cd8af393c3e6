package report

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"
)

// However much is kept, it comes back as it was, and nothing is left behind.
func TestWhatIsKeptComesBack(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	for _, n := range []int{0, 1, 3, 3 * mostInMemory / 1000} {
		s := spool{between: ","}
		var want []string
		for i := range n {
			item := fmt.Sprint(i, strings.Repeat("x", 1000))
			want = append(want, item)
			if err := s.add([]byte(item)); err != nil {
				t.Fatal(err)
			}
			if err := s.add(nil); err != nil {
				t.Fatal(err)
			}
		}
		if s.memory.Len() > mostInMemory {
			t.Errorf("%d bytes are in memory", s.memory.Len())
		}
		var got bytes.Buffer
		if err := s.copyTo(&got); err != nil || got.String() != strings.Join(want, ",") {
			t.Errorf("%d items: %d bytes come back, error %v", n, got.Len(), err)
		}
		s.drop()
	}
	left, err := os.ReadDir(os.TempDir())
	if err != nil || len(left) > 0 {
		t.Errorf("%d files are left, error %v", len(left), err)
	}
}
