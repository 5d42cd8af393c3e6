package outfile

import (
	"fmt"
	"io/fs"
	"syscall"
	"testing"
)

func TestADiskThatIsFullIsKnownThroughWrapping(t *testing.T) {
	for code, want := range map[syscall.Errno]bool{syscall.ENOSPC: true, syscall.EDQUOT: true, syscall.EACCES: false, syscall.EIO: false} {
		err := fmt.Errorf("chart: %w", failure("write", "out.json", &fs.PathError{Op: "write", Path: "x", Err: code}))
		if got := NoRoom(err); got != want {
			t.Errorf("%v: %v", err, got)
		}
	}
	if NoRoom(nil) || NoRoom(fs.ErrExist) {
		t.Error("an error that is none of a disk")
	}
}
