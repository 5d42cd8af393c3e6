package main

import (
	"archive/tar"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"hash"
	"io"
	"path"
	"strings"

	"saltmark/internal/finding"
	"saltmark/internal/report"
	"saltmark/internal/source"
)

// archiveEndings are those of compressed archives, such as FHIR packages.
var archiveEndings = []string{".tgz", ".tar.gz"}

func isArchive(name string) bool {
	for _, ending := range archiveEndings {
		if hasEnding(name, ending) {
			return true
		}
	}
	return false
}

// archive gives the documents of the files of an archive, in their order in it. Left
// out, and counted, are files without an ending of resources, hidden ones and the
// manifest of a FHIR package. Nothing is unpacked to the disk.
func (t *intake) archive(in input, r io.Reader, yield func(document) bool) bool {
	files := tar.NewReader(source.Expand(r))
	empty := true
	for {
		head, err := files.Next()
		switch {
		case errors.Is(err, io.EOF) && empty:
			return yield(document{name: in.name, err: &fileError{says: "the archive {1} holds no file that ends in {2}", name: in.name, why: finding.Or(finding.Datas(documentEndings)...)}})
		case errors.Is(err, io.EOF):
			return true
		case err != nil:
			return yield(document{name: in.name, err: in.failed(brokenArchive(err))})
		case head.Typeflag != tar.TypeReg:
			continue
		}
		name := path.Clean("/" + head.Name)
		if !isResourceFile(name) {
			t.leftOut++
			continue
		}
		empty = false
		one := input{name: in.name + name, path: in.path}
		if !t.file(one, name, files, head.Size, yield) {
			return false
		}
	}
}

// isResourceFile tells whether a file of an archive may hold resources.
func isResourceFile(name string) bool {
	if strings.HasPrefix(path.Base(name), ".") || name == "/package/package.json" || isArchive(name) {
		return false
	}
	for _, ending := range documentEndings {
		if hasEnding(name, ending) {
			return true
		}
	}
	return false
}

// brokenArchive makes a fault of the archive itself one of the data.
func brokenArchive(err error) error {
	if _, known := refusalIn(err); known || !errors.Is(err, tar.ErrHeader) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return err
	}
	return source.BrokenArchive()
}

// hashing passes on what is read and makes the SHA-256 of it.
type hashing struct {
	from  io.Reader
	hash  hash.Hash
	n     int64
	ended bool
}

func newHashing(r io.Reader) *hashing { return &hashing{from: r, hash: sha256.New()} }

func (h *hashing) Read(b []byte) (int, error) {
	n, err := h.from.Read(b)
	h.hash.Write(b[:n])
	h.n += int64(n)
	h.ended = h.ended || errors.Is(err, io.EOF)
	return n, err
}

// padding is how much may follow the last document of an input: an archive ends in
// blocks of nought.
const padding = 1 << 20

// sum tells the SHA-256 of an input, if it was read to its end.
func (h *hashing) sum(name string) (report.Input, bool) {
	if !h.ended {
		_, _ = io.CopyN(io.Discard, h, padding) // an error leaves ended as it is
	}
	return report.Input{Name: name, Bytes: h.n, SHA256: hex.EncodeToString(h.hash.Sum(nil))}, h.ended
}
