package source_test

import (
	"bytes"
	"errors"
	"io"
	"runtime"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/source"
)

func TestLinesAreReadOneByOneWithTheirNumbers(t *testing.T) {
	lim := source.ResourceLimits()
	lim.Bytes = 20
	text := "{\"a\":1}\r\n\n \t\n{\"b\":\"ü\" x}\n" + strings.Repeat("[", 21) + "\n" + `["0123456789abcdef"]` + "\r\n\xEF\xBB\xBF[1]\n{} {}\n[2]"
	var got []string
	for line, err := range source.Lines("in.ndjson", iotest.OneByteReader(strings.NewReader(text)), lim) {
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, told(line.Findings)...)
		if line.Document.Root != nil {
			got = append(got, line.Document.Place(line.Document.Root, "").String()+" "+string(line.Document.Text))
		}
	}
	if diff := cmp.Diff([]string{
		`in.ndjson:1:1 {"a":1}`,
		`in.ndjson:4:10 syntax error: a word without quotes stands here; a comma or "}" is wanted`,
		`in.ndjson:5 text-size error: the line has 21 bytes; at most 20 bytes are read`,
		`in.ndjson:6:1 ["0123456789abcdef"]`,
		`in.ndjson:7:1 text-bom error: the text begins with a byte order mark; JSON begins with its value`,
		`in.ndjson:8:4 one-document error: the text goes on after its value; one value in one text`,
		`in.ndjson:9:1 [2]`,
	}, got); diff != "" {
		t.Error(diff)
	}
}

func TestLinesGiveTheErrorOfTheStreamLast(t *testing.T) {
	broken := errors.New("broken")
	in := io.MultiReader(strings.NewReader("[1]\n[2"), iotest.ErrReader(broken))
	read, failed := 0, 0
	for line, err := range source.Lines("in", in, source.ResourceLimits()) {
		switch {
		case err == nil:
			read++
		case errors.Is(err, broken) && line.Number == 2:
			failed++
		default:
			t.Error(err)
		}
	}
	if read != 1 || failed != 1 {
		t.Errorf("%d lines, %d failures", read, failed)
	}
}

func TestLinesStopWhenTheReaderHasEnough(t *testing.T) {
	for line := range source.Lines("in", strings.NewReader("[1]\n[2]\n"), source.ResourceLimits()) {
		if line.Number != 1 {
			t.Fatal("went on")
		}
		break
	}
}

// endless gives one line over and over.
type endless struct {
	line []byte
	left int
}

func (e *endless) Read(p []byte) (int, error) {
	if e.left -= len(p); e.left < 0 {
		return 0, io.EOF
	}
	for at := 0; at < len(p); {
		at += copy(p[at:], e.line)
	}
	return len(p), nil
}

func TestLinesNeedTheMemoryOfOneLine(t *testing.T) {
	const total, allowed = 16 << 20, 8 << 20
	lim := source.ResourceLimits()
	for name, in := range map[string]*endless{
		"many lines":    {line: []byte(`["0123456789abc"]` + "\n"), left: total},
		"one long line": {line: []byte("[[[["), left: total},
	} {
		lim.Bytes = 1 << 20
		runtime.GC()
		var before, now runtime.MemStats
		runtime.ReadMemStats(&before)
		count := 0
		for range source.Lines("in", in, lim) {
			if count++; count%200_000 == 0 {
				runtime.GC()
				runtime.ReadMemStats(&now)
				if now.HeapAlloc > before.HeapAlloc+allowed {
					t.Errorf("%s: %d bytes after %d lines", name, now.HeapAlloc-before.HeapAlloc, count)
				}
			}
		}
		runtime.ReadMemStats(&now)
		if name == "one long line" && (count != 1 || now.TotalAlloc-before.TotalAlloc > allowed) {
			t.Errorf("%s: %d lines, %d bytes", name, count, now.TotalAlloc-before.TotalAlloc)
		}
	}
}

func TestALineKeepsItsTextAfterTheNext(t *testing.T) {
	var texts [][]byte
	for line := range source.Lines("in", strings.NewReader("[1]\n[2]\n"), source.ResourceLimits()) {
		texts = append(texts, line.Document.Text)
	}
	if got := string(bytes.Join(texts, nil)); got != "[1][2]" {
		t.Error(got)
	}
}
