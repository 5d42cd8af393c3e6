package source

import (
	"bufio"
	"compress/gzip"
	"errors"
	"io"

	"saltmark/internal/finding"
)

// What a compressed text may grow to. Bundles, which repeat themselves, shrink to a
// thirtieth (measured on those of this program), invented ones that are all alike to a
// hundredth; gzip can do a thousandth, which only a text that says nothing does.
const (
	freeGrowth  = 16 << 20 // bytes for which nothing is asked
	mostGrowing = 300      // times the compressed size, from there on
)

// Refusal is an error of reading that is a fault of the data: a finding once it is
// known which file it is about.
type Refusal struct {
	rule           string
	found, allowed finding.Text
}

func (r *Refusal) Error() string { return r.found.String() }

// Finding tells it of a file.
func (r *Refusal) Finding(file string) finding.Finding {
	return finding.New(r.rule, finding.Place{File: file}, r.found, "", r.allowed)
}

// IsGzip tells whether bytes begin as a gzip stream does (RFC 1952, section 2.3.1).
func IsGzip(text []byte) bool { return len(text) > 1 && text[0] == 0x1F && text[1] == 0x8B }

// Expand gives the text of a gzip stream, or of several one behind the other. Where it
// is broken, or grows as only a text does that was made to exhaust the reader, reading
// ends with a *Refusal.
func Expand(r io.Reader) io.Reader {
	in := &counted{from: r}
	return &expanded{in: in, compressed: bufio.NewReader(in)}
}

// BrokenArchive refuses an archive whose list of files cannot be followed.
func BrokenArchive() error {
	return &Refusal{"compressed-broken", "the archive is no tar archive, or was damaged", "a whole archive"}
}

type counted struct {
	from io.Reader
	n    int64
	err  error // of the source itself
}

func (c *counted) Read(b []byte) (int, error) {
	n, err := c.from.Read(b)
	c.n += int64(n)
	if err != nil && !errors.Is(err, io.EOF) {
		c.err = err
	}
	return n, err
}

type expanded struct {
	in         *counted
	compressed *bufio.Reader
	text       *gzip.Reader
	n          int64
}

func (e *expanded) Read(b []byte) (int, error) {
	if e.text == nil {
		if head, err := e.compressed.Peek(2); !IsGzip(head) && (err == nil || errors.Is(err, io.EOF)) {
			return 0, notGzip()
		}
		text, err := gzip.NewReader(e.compressed)
		if err != nil {
			return 0, e.refuse(err)
		}
		e.text = text
	}
	n, err := e.text.Read(b)
	if e.n += int64(n); e.n > freeGrowth && e.n > mostGrowing*e.in.n {
		return 0, &Refusal{
			rule:    "compressed-growth",
			found:   finding.Say("the compressed text grows to more than {1} times its size", finding.Number(mostGrowing)),
			allowed: finding.Say("up to {1} times, past the first {2} bytes", finding.Number(mostGrowing), finding.Number(freeGrowth)),
		}
	}
	if err != nil && !errors.Is(err, io.EOF) {
		return n, e.refuse(err)
	}
	return n, err
}

// refuse tells a fault of the data from one of the reading. The words of the library
// stay out.
func (e *expanded) refuse(err error) error {
	if e.in.err != nil {
		return e.in.err
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return &Refusal{"compressed-broken", "the compressed text ends before its end", "a whole gzip stream"}
	}
	return notGzip()
}

func notGzip() error {
	return &Refusal{"compressed-broken", "the compressed text is no gzip stream, or was damaged", "a whole gzip stream"}
}
