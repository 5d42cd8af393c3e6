package report

import (
	"bytes"
	"fmt"
	"io"
	"os"
)

// spool keeps what a report tells of each document until the counts, which stand before
// it, are known: in memory, and past mostInMemory in a temporary file that only the
// user can read. So a report of any number of documents needs the same memory.
type spool struct {
	between string // two items
	n       int
	memory  bytes.Buffer
	file    *os.File
}

const mostInMemory = 8 << 20

// add takes an item; an empty one is none.
func (s *spool) add(item []byte) error {
	if len(item) == 0 {
		return nil
	}
	if s.n > 0 {
		s.memory.WriteString(s.between)
	}
	s.n++
	s.memory.Write(item)
	if s.memory.Len() < mostInMemory {
		return nil
	}
	if s.file == nil {
		file, err := os.CreateTemp("", "saltmark-report-*")
		if err != nil {
			return fmt.Errorf("keep the report: %w", err)
		}
		s.file = file
	}
	if _, err := s.memory.WriteTo(s.file); err != nil {
		return fmt.Errorf("keep the report: %w", err)
	}
	return nil
}

// copyTo gives all items in their order.
func (s *spool) copyTo(w io.Writer) error {
	if s.file != nil {
		if _, err := s.file.Seek(0, io.SeekStart); err != nil {
			return fmt.Errorf("read what was kept of the report: %w", err)
		}
		if _, err := io.Copy(w, s.file); err != nil {
			return err
		}
	}
	_, err := w.Write(s.memory.Bytes())
	return err
}

// drop forgets all items.
func (s *spool) drop() {
	s.memory = bytes.Buffer{}
	if s.file != nil {
		_ = s.file.Close() // nobody reads it any more
		_ = os.Remove(s.file.Name())
		s.file = nil
	}
}
