package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"maps"
	"slices"
	"time"
)

// packed is a file of an archive.
type packed struct {
	text       []byte
	executable bool
}

func (f packed) mode() int64 {
	if f.executable {
		return 0o755
	}
	return 0o644
}

// tarGz packs files into one folder: in the order of their names, of nobody, all of one
// time.
func tarGz(folder string, files map[string]packed, at time.Time) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	w := tar.NewWriter(z)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		f := files[name]
		header := &tar.Header{
			Typeflag: tar.TypeReg, Name: folder + "/" + name, Size: int64(len(f.text)), Mode: f.mode(), ModTime: at, Format: tar.FormatUSTAR,
		}
		if err := w.WriteHeader(header); err != nil {
			return nil, err
		}
		if _, err := w.Write(f.text); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// zipped does the same for systems that have no tar.
func zipped(folder string, files map[string]packed, at time.Time) ([]byte, error) {
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		f := files[name]
		header := &zip.FileHeader{Name: folder + "/" + name, Method: zip.Deflate, Modified: at}
		header.SetMode(0o644)
		if f.executable {
			header.SetMode(0o755)
		}
		part, err := w.CreateHeader(header)
		if err != nil {
			return nil, err
		}
		if _, err := part.Write(f.text); err != nil {
			return nil, err
		}
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
