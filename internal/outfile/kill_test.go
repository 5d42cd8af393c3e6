package outfile_test

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"saltmark/internal/outfile"
)

// The test program is also the program that gets killed: it is told so by the
// environment.
const (
	victimTask = "OUTFILE_TEST_TASK"
	victimPath = "OUTFILE_TEST_PATH"
	// size is that of a file of the victim, which writes one letter all through.
	size = 1 << 20
)

func TestMain(m *testing.M) {
	switch os.Getenv(victimTask) {
	case "half":
		writeHalf(os.Getenv(victimPath))
	case "again":
		writeAgain(os.Getenv(victimPath))
	default:
		os.Exit(m.Run())
	}
}

// writeHalf writes without committing, says so, and waits to be killed.
func writeHalf(path string) {
	f, err := outfile.Create(path)
	if err != nil {
		fmt.Println(err)
		return
	}
	if _, err := f.Write(bytes.Repeat([]byte("n"), size)); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("ready")
	io.Copy(io.Discard, os.Stdin)
}

// writeAgain replaces the file until killed.
func writeAgain(path string) {
	for i := 0; ; i++ {
		if err := outfile.Write(path, bytes.Repeat([]byte{'a' + byte(i%26)}, size)); err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println("ready")
	}
}

// kill starts the victim and kills it when it has said ready so many times.
func kill(t *testing.T, task, path string, after int) {
	t.Helper()
	victim := exec.Command(os.Args[0])
	victim.Env = append(os.Environ(), victimTask+"="+task, victimPath+"="+path)
	if _, err := victim.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	out, err := victim.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := victim.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	said := 0
	for said < after && lines.Scan() && lines.Text() == "ready" {
		said++
	}
	if err := victim.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	victim.Wait() // its error is that it was killed
	if said < after {
		t.Fatalf("the victim said %q", lines.Text())
	}
}

func TestAProgramKilledInTheMiddleLeavesNoFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "out.json")
	kill(t, "half", path, 1)
	if _, err := os.Lstat(path); !os.IsNotExist(err) {
		t.Errorf("a file under the final name: %v", err)
	}
}

func TestAProgramKilledInTheMiddleLeavesTheOldFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "out.json")
	if err := outfile.Write(path, []byte("old")); err != nil {
		t.Fatal(err)
	}
	kill(t, "half", path, 1)
	content(t, path, "old")
}

func TestAProgramKilledWhileReplacingLeavesAWholeFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "out.json")
	for after := 1; after <= 4; after++ {
		kill(t, "again", path, after)
		got, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if len(got) != size || bytes.Count(got, got[:1]) != size {
			t.Errorf("killed after %d: %d bytes, %d of the first letter", after, len(got), bytes.Count(got, got[:1]))
		}
	}
}
