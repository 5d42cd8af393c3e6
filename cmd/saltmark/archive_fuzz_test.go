package main

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"strings"
	"testing"
)

// tarOf makes a tar archive of names and texts in turn.
func tarOf(f *testing.F, namesAndTexts ...string) []byte {
	f.Helper()
	var out bytes.Buffer
	w := tar.NewWriter(&out)
	for i := 0; i < len(namesAndTexts); i += 2 {
		text := namesAndTexts[i+1]
		if err := w.WriteHeader(&tar.Header{Name: namesAndTexts[i], Mode: 0o644, Size: int64(len(text))}); err != nil {
			f.Fatal(err)
		}
		if _, err := w.Write([]byte(text)); err != nil {
			f.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		f.Fatal(err)
	}
	return out.Bytes()
}

// Whatever an archive holds, its documents are called by the archive and a way inside it,
// and each has a text or the reason why there is none. The archive is packed first when
// packed is true, so that what is tried reaches the list of files.
func FuzzArchive(f *testing.F) {
	f.Add(tarOf(f, "package/a.json", `{"resourceType":"Basic"}`, "package/b.ndjson", "{}\n{}\n", "package/package.json", "{}"), true)
	f.Add(tarOf(f, "../../a.json", "{}", "/etc/b.json", "{}", "c.json.gz", "\x1f\x8b"), true)
	f.Add([]byte("\x1f\x8b\x08\x00no archive"), false)
	f.Fuzz(func(t *testing.T, text []byte, packed bool) {
		if packed {
			var out bytes.Buffer
			w := gzip.NewWriter(&out)
			if _, err := w.Write(text); err != nil {
				t.Fatal(err)
			}
			if err := w.Close(); err != nil {
				t.Fatal(err)
			}
			text = out.Bytes()
		}
		in := &intake{workers: 1}
		in.archive(input{name: "p.tgz", path: "p.tgz"}, bytes.NewReader(text), func(d document) bool {
			inside, ok := strings.CutPrefix(d.name, "p.tgz/")
			if ok && (strings.HasPrefix(inside, "../") || strings.Contains(inside, "/../")) || !ok && d.name != "p.tgz" {
				t.Fatalf("a document is called %q", d.name)
			}
			return true
		})
	})
}
