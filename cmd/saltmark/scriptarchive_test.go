package main

import (
	"archive/tar"
	"compress/gzip"
	"os"

	"github.com/rogpeppe/go-internal/testscript"
)

// compress makes a gzip file.
func compress(ts *testscript.TestScript, name string, write func(*gzip.Writer) error) {
	file, err := os.Create(ts.MkAbs(name))
	ts.Check(err)
	defer file.Close()
	z := gzip.NewWriter(file)
	ts.Check(write(z))
	ts.Check(z.Close())
}

// gzipped is the command "gzip OUT FILE": a file, compressed.
func gzipped(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: gzip OUT FILE")
	}
	text := ts.ReadFile(args[1])
	compress(ts, args[0], func(z *gzip.Writer) error {
		_, err := z.Write([]byte(text))
		return err
	})
}

// archived is the command "tgz OUT FILE...": an archive of files under their names.
func archived(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: tgz OUT FILE...")
	}
	compress(ts, args[0], func(z *gzip.Writer) error {
		w := tar.NewWriter(z)
		for _, name := range args[1:] {
			text := ts.ReadFile(name)
			if err := w.WriteHeader(&tar.Header{Name: name, Mode: 0o600, Size: int64(len(text)), Typeflag: tar.TypeReg}); err != nil {
				return err
			}
			if _, err := w.Write([]byte(text)); err != nil {
				return err
			}
		}
		return w.Close()
	})
}
