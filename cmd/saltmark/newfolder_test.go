package main

import (
	"os"
	"path/filepath"
	"testing"

	"saltmark/internal/guide"
)

func TestAFolderIsFilledWholeOrNotAtAll(t *testing.T) {
	good := []guide.File{{Name: "b.tgz", Text: []byte("x")}, {Name: "pages/de/a.html", Text: []byte("x")}, {Name: "pages/a.html", Text: []byte("x")}}
	bad := append(good[:3:3], guide.File{Name: "b.tgz/c", Text: []byte("x")}) // a file is in the way
	for _, made := range []bool{false, true} {
		folder := newFolder(filepath.Join(t.TempDir(), "guide"))
		if made {
			if err := os.Mkdir(string(folder), 0o700); err != nil {
				t.Fatal(err)
			}
		}
		if err := folder.fill(bad); err == nil {
			t.Fatal("what cannot be written is written")
		}
		inside, err := os.ReadDir(string(folder))
		if len(inside) > 0 || os.IsNotExist(err) == made {
			t.Errorf("folder there before: %v; holds %v, error %v", made, inside, err)
		}
		if err := folder.fill(good); err != nil {
			t.Error(err)
		}
		if text, err := os.ReadFile(filepath.Join(string(folder), "pages", "de", "a.html")); err != nil || string(text) != "x" {
			t.Error(err)
		}
	}
}

func TestALinkToNothingIsNoNewFolder(t *testing.T) {
	link := filepath.Join(t.TempDir(), "link")
	if err := os.Symlink("nowhere", link); err != nil {
		t.Skip(err)
	}
	if err := newFolder(link).check(); err == nil {
		t.Error("it is taken for a new folder")
	}
}
