package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode/utf8"
	"unsafe"
)

// newTerminal gives the two ends of a pseudo-terminal of 24 lines: what a program
// writes to the inner one is read from the outer one.
func newTerminal(t *testing.T, columns uint16) (outer, inner *os.File) {
	t.Helper()
	outer, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	t.Cleanup(func() { outer.Close() })
	control := func(request uintptr, argument unsafe.Pointer) {
		if _, _, no := syscall.Syscall(syscall.SYS_IOCTL, outer.Fd(), request, uintptr(argument)); no != 0 {
			t.Skipf("no pseudo-terminal here: %v", no)
		}
	}
	var unlock, number int32
	control(syscall.TIOCSPTLCK, unsafe.Pointer(&unlock))
	control(syscall.TIOCGPTN, unsafe.Pointer(&number))
	control(syscall.TIOCSWINSZ, unsafe.Pointer(&[4]uint16{24, columns, 0, 0}))
	inner, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	t.Cleanup(func() { inner.Close() })
	return outer, inner
}

// screen is what somebody sees at a terminal: it knows the few movements that the bar
// makes, and fails on any other.
type screen struct {
	lines  [][]rune
	row    int
	column int
}

var movement = regexp.MustCompile(`^\x1b\[(\d*)([AJ])`)

func (s *screen) show(t *testing.T, text string) {
	t.Helper()
	for text != "" {
		if text[0] == '\x1b' {
			m := movement.FindStringSubmatch(text)
			if m == nil {
				t.Fatalf("the terminal does not know %q", text[:min(len(text), 12)])
			}
			s.move(m[1], m[2])
			text = text[len(m[0]):]
			continue
		}
		r, size := utf8.DecodeRuneInString(text)
		s.put(r)
		text = text[size:]
	}
}

func (s *screen) move(n, how string) {
	switch how {
	case "A":
		up, _ := strconv.Atoi(n)
		s.row = max(0, s.row-up)
	case "J":
		if s.row < len(s.lines) {
			s.lines[s.row] = s.lines[s.row][:min(s.column, len(s.lines[s.row]))]
			s.lines = s.lines[:s.row+1]
		}
	}
}

func (s *screen) put(r rune) {
	switch r {
	case '\r':
		s.column = 0
		return
	case '\n':
		s.row++
		return
	}
	for len(s.lines) <= s.row {
		s.lines = append(s.lines, nil)
	}
	for len(s.lines[s.row]) <= s.column {
		s.lines[s.row] = append(s.lines[s.row], ' ')
	}
	s.lines[s.row][s.column] = r
	s.column++
}

func (s *screen) String() string {
	var b strings.Builder
	for _, line := range s.lines {
		b.WriteString(strings.TrimRight(string(line), " ") + "\n")
	}
	return strings.TrimRight(b.String(), "\n") + "\n"
}

// atTerminal runs the program at a terminal and gives its exit code, all that came out
// and what is seen in the end. Where out is not nil, standard output goes there.
func atTerminal(t *testing.T, columns uint16, out io.Writer, cmd *exec.Cmd) (code int, raw, seen string) {
	t.Helper()
	outer, inner := newTerminal(t, columns)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = inner, inner, inner
	if out != nil {
		cmd.Stdout = out
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	inner.Close()
	late := time.AfterFunc(patience, func() { cmd.Process.Kill() })
	defer late.Stop()
	var b bytes.Buffer
	if _, err := io.Copy(&b, outer); err != nil && !errors.Is(err, syscall.EIO) { // the end of a terminal on Linux
		t.Fatal(err)
	}
	err := cmd.Wait()
	if ended := (*exec.ExitError)(nil); err != nil && !errors.As(err, &ended) {
		t.Fatal(err)
	}
	var s screen
	s.show(t, b.String())
	return cmd.ProcessState.ExitCode(), b.String(), s.String()
}

// wardOf gives a folder of many sheets, in which each hundredth has a fault.
func wardOf(t testing.TB, n int) string {
	t.Helper()
	folder := manySheets(t, n)
	for i := 50; i < n; i += 100 {
		path := filepath.Join(folder, fmt.Sprintf("%06d.yaml", i))
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, bytes.Replace(text, []byte("patient:"), []byte("pateint:"), 1), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return folder
}

func TestATerminalShowsABarAndKeepsTheFindings(t *testing.T) {
	const n = 120
	folder, charted := wardOf(t, n), t.TempDir()
	code, raw, seen := atTerminal(t, 80, nil, program(t, "chart", "--out", charted, folder))
	if bar := regexp.MustCompile(fmt.Sprintf(`\d+ of %d sheets \[=*>? *\] \d+ with errors, \d+/s, \S+ left`, n)); code != exitFinding || !bar.MatchString(raw) {
		t.Errorf("exit code %d, no bar in %q", code, raw[:min(len(raw), 2000)])
	}
	// What is left in the end are the words that stand there without a terminal.
	cmd := program(t, "chart", "--out", charted, folder)
	var words bytes.Buffer
	cmd.Stderr = &words
	if err := cmd.Run(); cmd.ProcessState.ExitCode() != exitFinding {
		t.Fatal(err)
	}
	if strings.Contains(words.String(), "\x1b") {
		t.Errorf("movements of a terminal where there is none: %q", words.String())
	}
	changing := regexp.MustCompile(`(?m)^(Files: .*|\d+ sheets in .*)$`)
	want := changing.ReplaceAllString(words.String(), "")
	if got := changing.ReplaceAllString(seen, ""); got != want {
		t.Errorf("seen:\n%s\nwant:\n%s", got, want)
	}
}

func TestABarIsDrawnWhereItDisturbsNothing(t *testing.T) {
	folder := wardOf(t, 60)
	charted := t.TempDir()
	if code, _, seen := atTerminal(t, 80, nil, program(t, "chart", "--out", charted, folder)); code != exitFinding {
		t.Fatalf("exit code %d: %s", code, seen)
	}
	var out bytes.Buffer
	for _, c := range []struct {
		name string
		args []string
		out  io.Writer
		bar  bool
	}{
		{"files", []string{"chart", "--out", charted, folder}, nil, true},
		{"quiet", []string{"chart", "--quiet", "--out", charted, folder}, nil, false},
		{"findings for programs", []string{"chart", "--findings", "json", "--out", charted, folder}, nil, false},
		{"bundles on the terminal", []string{"chart", "--lines", folder}, nil, false},
		{"bundles elsewhere", []string{"chart", "--lines", folder}, &out, true},
		{"the list of a dry run", []string{"chart", "--dry-run", "--out", charted, folder}, nil, false},
		{"few sheets", []string{"chart", "--out", charted, plainSheet}, nil, false},
		{"an audit", []string{"audit", charted}, nil, true},
		{"a quiet audit", []string{"audit", "-q", charted}, nil, false},
	} {
		_, raw, _ := atTerminal(t, 80, c.out, program(t, c.args...))
		if got := strings.Contains(raw, "\x1b["); got != c.bar {
			t.Errorf("%s: a bar is %v, want %v", c.name, got, c.bar)
		}
	}
}

// A narrow terminal, and one that tells no size.
func TestABarFitsEveryTerminal(t *testing.T) {
	folder := wardOf(t, 60)
	for _, columns := range []uint16{0, 1, 20, 40} {
		code, raw, seen := atTerminal(t, columns, nil, program(t, "chart", "--out", t.TempDir(), folder))
		if code != exitFinding || !strings.Contains(seen, "60 sheets: 59 charted, 1 refused, 0 not read or written\n") || !strings.Contains(seen, "000050.yaml:") {
			t.Errorf("%d columns: exit code %d, seen: %s", columns, code, seen)
		}
		for line := range strings.SplitSeq(raw, "\n") {
			if _, bar, ok := strings.Cut(line, "of 60 sheets"); ok && columns >= 20 && len(line) > int(columns)+20 {
				t.Errorf("%d columns: %q", columns, bar)
			}
		}
	}
}

func TestATerminalIsShownPrivateValuesWhenItAsks(t *testing.T) {
	sheet := filepath.Join(t.TempDir(), "bad.yaml")
	text, err := os.ReadFile(plainSheet)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(sheet, bytes.Replace(text, []byte("value: 3.00 kg"), []byte("value: 3.00"), 1), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args  []string
		shown bool
	}{{[]string{"chart", sheet}, false}, {[]string{"chart", "--show-values", sheet}, true}} {
		code, _, seen := atTerminal(t, 200, nil, program(t, c.args...))
		if got := strings.Contains(seen, `value is "3.00"`); code != exitFinding || got != c.shown || strings.Contains(seen, "(value not shown)") == c.shown {
			t.Errorf("%q: exit code %d, seen: %s", c.args, code, seen)
		}
	}
	cmd := program(t, "chart", "--show-values", sheet)
	words, err := cmd.CombinedOutput()
	if cmd.ProcessState.ExitCode() != exitFinding || !bytes.Contains(words, []byte("(value not shown)")) {
		t.Errorf("without a terminal: %v, %s", err, words)
	}
}

// Ctrl-C at a terminal, amid 1,000 sheets: what is written is whole, the words say how
// far it came, the report names what was not reached.
func TestControlCAmidAThousandSheetsLeavesAllWhole(t *testing.T) {
	const sheets = 1000
	folder, charted := manySheets(t, sheets), filepath.Join(t.TempDir(), "charted")
	run := filepath.Join(t.TempDir(), "run.json")
	outer, inner := newTerminal(t, 80)
	cmd := program(t, "chart", "--report", run, "--out", charted, folder)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = inner, inner, inner
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	inner.Close()
	late := time.AfterFunc(patience, func() { cmd.Process.Kill() })
	defer late.Stop()
	go func() {
		for begun := time.Now(); time.Since(begun) < patience; time.Sleep(time.Millisecond) {
			if files, _ := os.ReadDir(charted); len(files) > 5 {
				break
			}
		}
		outer.Write([]byte{3}) // Ctrl-C; a failure shows in the exit code
	}()
	var b bytes.Buffer
	io.Copy(&b, outer)
	cmd.Wait()
	var s screen
	s.show(t, b.String())
	files, err := os.ReadDir(charted)
	if err != nil || len(files) == 0 || len(files) == sheets {
		t.Fatalf("%d files, error %v", len(files), err)
	}
	said := fmt.Sprintf("%d of 1000 sheets: %d charted, 0 refused, 0 not read or written\n", len(files), len(files))
	if code := cmd.ProcessState.ExitCode(); code != exitFailed || !strings.Contains(s.String(), said) || !strings.HasSuffix(s.String(), "\nsaltmark: interrupted\n") {
		t.Errorf("exit code %d, %d files, seen: %s", code, len(files), s.String())
	}
	for _, file := range files {
		text, err := os.ReadFile(filepath.Join(charted, file.Name()))
		if err != nil || !json.Valid(text) || !strings.HasPrefix(file.Name(), "demo-2031-") {
			t.Errorf("%s is no whole bundle, error %v", file.Name(), err)
		}
	}
	text, err := os.ReadFile(run)
	var got struct {
		Stopped string
		Counts  struct{ Documents, NotReached int }
	}
	if err := errors.Join(err, json.Unmarshal(text, &got)); err != nil || got.Stopped != "interrupted" || got.Counts.Documents != sheets || got.Counts.NotReached != sheets-len(files) {
		t.Errorf("%+v, %v", got, err)
	}
}
