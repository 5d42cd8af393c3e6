package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

func TestVersionsAreThoseOfSemanticVersioning(t *testing.T) {
	for version, want := range map[string]bool{
		"0.1.0": true, "12.0.3": true, "0.1.0-try": true, "0.1.0-try.2": true,
		"v0.1.0": false, "0.1": false, "01.1.0": false, "0.1.0+x": false, "0.1.0 ": false, "0.1.0-": false, "../0.1.0": false, "0.1.0'": false,
	} {
		if _, err := versionOf(t.Context(), top, version); (err == nil) != want {
			t.Errorf("%q: %v", version, err)
		}
	}
}

func TestTargetsAreSixAndNoOthers(t *testing.T) {
	if got, err := parseTargets(allTargets); err != nil || len(got) != 6 {
		t.Errorf("%v, %v", got, err)
	}
	for _, list := range []string{"", "linux", "linux/386", "linux/amd64,", "linux/amd64, darwin/arm64"} {
		if _, err := parseTargets(list); err == nil {
			t.Errorf("%q passes", list)
		}
	}
}

func TestTheTimeOfFilesIsThatOfTheSource(t *testing.T) {
	for text, want := range map[string]string{"1935655200": "2031-05-04T10:00:00Z", "0": "", "-1": "", "today": "", "": ""} {
		t.Setenv("SOURCE_DATE_EPOCH", text)
		got, err := timeOf(t.Context(), top)
		if want == "" && err == nil || want != "" && (err != nil || got.Format(time.RFC3339) != want) {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
}

// repository makes one with a single commit.
func repository(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	for _, args := range [][]string{{"init", "-q"}, {"-c", "user.name=x", "-c", "user.email=x@example.org", "commit", "-q", "--allow-empty", "-m", "x"}} {
		cmd := exec.Command("git", args...)
		cmd.Dir = folder
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Skipf("git does not work here: %v: %s", err, out)
		}
	}
	return folder
}

func TestAReleaseIsMadeOfACommit(t *testing.T) {
	folder := repository(t)
	if _, err := versionOf(t.Context(), folder, ""); err == nil || !strings.Contains(err.Error(), "no tag") {
		t.Errorf("without a tag: %v", err)
	}
	if _, err := git(t.Context(), folder, "tag", "v0.3.0"); err != nil {
		t.Fatal(err)
	}
	if v, err := versionOf(t.Context(), folder, ""); err != nil || v != "0.3.0" {
		t.Errorf("with a tag: %q, %v", v, err)
	}
	commit, err := revisionOf(t.Context(), folder, "0.3.0")
	if err != nil || len(commit) < 40 {
		t.Errorf("clean: %q, %v", commit, err)
	}
	if err := os.WriteFile(filepath.Join(folder, "new"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := revisionOf(t.Context(), folder, "0.3.0"); err == nil || !strings.Contains(err.Error(), "0.3.0-try") {
		t.Errorf("a release of a changed source: %v", err)
	}
	if got, err := revisionOf(t.Context(), folder, "0.3.0-try"); err != nil || got != commit+", with changes" {
		t.Errorf("a try of a changed source: %q, %v", got, err)
	}
}

func TestArchivesHoldTheirFilesInOrderAndNothingOfTheMachine(t *testing.T) {
	at := time.Date(2031, 5, 4, 10, 0, 1, 0, time.UTC)
	files := map[string]packed{"b/c.txt": {text: []byte("text")}, "a": {[]byte("program"), true}, "B": {}}
	want := "f/B 0644 \"\"\nf/a 0755 \"program\"\nf/b/c.txt 0644 \"text\"\n"
	for name, pack := range map[string]func(string, map[string]packed, time.Time) ([]byte, error){"tar": tarGz, "zip": zipped} {
		one, err := pack("f", files, at)
		if err != nil {
			t.Fatal(err)
		}
		if two, err := pack("f", files, at); err != nil || !bytes.Equal(one, two) {
			t.Errorf("%s: packed twice it differs (%v)", name, err)
		}
		if got := listing(t, name, one, at); got != want {
			t.Errorf("%s holds\n%swant\n%s", name, got, want)
		}
	}
}

// listing unpacks an archive and tells of each file its name, mode and text.
func listing(t *testing.T, kind string, archive []byte, at time.Time) string {
	t.Helper()
	var b strings.Builder
	say := func(name string, mode os.FileMode, modified time.Time, from io.Reader) {
		text, err := io.ReadAll(from)
		if err != nil || !modified.Equal(at) {
			t.Errorf("%s: %v, of %v", name, err, modified)
		}
		fmt.Fprintf(&b, "%s %04o %q\n", name, mode, text)
	}
	if kind == "zip" {
		z, err := zip.NewReader(bytes.NewReader(archive), int64(len(archive)))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range z.File {
			r, err := f.Open()
			if err != nil {
				t.Fatal(err)
			}
			say(f.Name, f.Mode(), f.Modified, r)
		}
		return b.String()
	}
	z, err := gzip.NewReader(bytes.NewReader(archive))
	if err != nil {
		t.Fatal(err)
	}
	if !z.ModTime.IsZero() || z.Name != "" {
		t.Errorf("the gzip says %q of %v", z.Name, z.ModTime)
	}
	for r := tar.NewReader(z); ; {
		h, err := r.Next()
		if err == io.EOF {
			return b.String()
		}
		if err != nil {
			t.Fatal(err)
		}
		if h.Uid != 0 || h.Gid != 0 || h.Uname+h.Gname != "" {
			t.Errorf("%s is of %d %d %s %s", h.Name, h.Uid, h.Gid, h.Uname, h.Gname)
		}
		say(h.Name, h.FileInfo().Mode(), h.ModTime, r)
	}
}

func TestOnlyAnEarlierReleaseIsReplaced(t *testing.T) {
	folder := t.TempDir()
	if err := replaceable(filepath.Join(folder, "new", "dist")); err != nil {
		t.Errorf("a folder that is not there: %v", err)
	}
	if err := os.WriteFile(filepath.Join(folder, "letter.txt"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := replaceable(folder); err == nil {
		t.Error("a folder of somebody's letters would be replaced")
	}
	if err := os.WriteFile(filepath.Join(folder, sumsFile), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := replaceable(folder); err != nil {
		t.Errorf("an earlier release: %v", err)
	}
}

func TestSumsAreWhatTheFilesHave(t *testing.T) {
	folder := t.TempDir()
	for name, text := range map[string]string{"b": "abc", "a": ""} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := writeSums(folder); err != nil {
		t.Fatal(err)
	}
	// NIST FIPS 180-4, example values of SHA-256 for "abc" and for the empty message.
	const want = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855  a\nba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad  b\n"
	if got, err := os.ReadFile(filepath.Join(folder, sumsFile)); err != nil || string(got) != want {
		t.Errorf("%s, %v", got, err)
	}
}

func TestNotesAreOfTheChangesSinceTheReleaseBefore(t *testing.T) {
	tree := fstest.MapFS{
		"internal/changes/README.md":         {Data: []byte("# No change\n")},
		"internal/changes/0.1.0/0001-one.md": {Data: []byte("# One\n\nFirst.\n")},
		"internal/changes/0.2.0/0002-two.md": {Data: []byte("# Two\n")},
		"internal/changes/0003-three.md":     {Data: []byte("# Three\n")},
	}
	for version, want := range map[string]string{"0.1.0": "One\n\nFirst.\n", "0.2.0": "Two\n", "0.3.0": "Three\n"} {
		text, err := notes(tree, version)
		if err != nil {
			t.Error(err)
		}
		_, changes, _ := strings.Cut(string(text), "\n## ")
		if changes != want || !strings.HasPrefix(string(text), "# saltmark "+version+"\n") {
			t.Errorf("%s:\n%s", version, text)
		}
	}
	tree["internal/changes/0003-three.md"] = &fstest.MapFile{Data: []byte("no title\n")}
	if _, err := notes(tree, "0.3.0"); err == nil {
		t.Error("a change without a title passes")
	}
	tree["internal/changes/0003-three.md"] = &fstest.MapFile{Data: []byte("# Three\n")}
	tree["internal/changes/0003-third.md"] = &fstest.MapFile{Data: []byte("# Third\n")}
	if _, err := notes(tree, "0.3.0"); err == nil {
		t.Error("two changes with one number pass")
	}
	delete(tree, "internal/changes/0003-third.md")
	delete(tree, "internal/changes/0003-three.md")
	if _, err := notes(tree, "0.3.0"); err == nil {
		t.Error("a release without a change has notes")
	}
	if text, err := notes(tree, "0.3.0-try"); err != nil || !strings.HasSuffix(string(text), "\nNo change is noted since the release before.\n") {
		t.Errorf("a try right behind a release: %s, %v", text, err)
	}
}

func TestEveryNoteOfAChangeGoesIntoARelease(t *testing.T) {
	entries, err := os.ReadDir(filepath.Join(top, changesFolder))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if name := e.Name(); name != "README.md" && !changeFiles.MatchString(name) && !versions.MatchString(name) {
			t.Errorf("%s is named neither NNNN-words.md nor for a release", name)
		}
		version := "999.0.0"
		if e.IsDir() {
			version = e.Name()
		}
		if _, err := notes(os.DirFS(top), version); err != nil && !strings.Contains(err.Error(), "no change is noted") {
			t.Error(err)
		}
	}
}

// archived gives the names of the files of an archive beside the program and its bill.
func archived(t *testing.T, to target) []string {
	t.Helper()
	files, err := testPlan(t).files(to, &materials{ours: &module{}, standard: &module{}})
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for name := range files {
		names = append(names, name)
	}
	return append(names, to.program(), "saltmark.cdx.json")
}

func TestWhatTheReadmePointsToIsInTheArchive(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join(top, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	names := archived(t, plainTarget)
	pointed := regexp.MustCompile(`(?:testdata|internal)/[A-Za-z0-9_/.-]*[A-Za-z0-9_]`).FindAllString(string(readme), -1)
	if len(pointed) == 0 {
		t.Fatal("the README points to nothing")
	}
	for _, p := range pointed {
		if _, err := os.Stat(filepath.Join(top, p)); err != nil || strings.HasSuffix(p, ".go") {
			continue // made up, made by the command that is shown, or for those who have the source
		}
		if !slices.ContainsFunc(names, func(name string) bool { return name == p || strings.HasPrefix(name, p+"/") }) {
			t.Errorf("README.md points to %s, which is in no archive; it is for the list carried in build.go", p)
		}
	}
}

func TestTheContainerHasNoShellNoRootAndOnlyWhatTheArchiveHolds(t *testing.T) {
	text, err := os.ReadFile("Containerfile")
	if err != nil {
		t.Fatal(err)
	}
	names := archived(t, plainTarget)
	said := map[string]string{}
	for line := range strings.Lines(string(text)) {
		words := strings.Fields(line)
		if len(words) < 2 || words[0] != strings.ToUpper(words[0]) || words[0] == "#" {
			continue
		}
		said[words[0]] = strings.Join(words[1:], " ")
		if words[0] != "COPY" {
			continue
		}
		for _, from := range words[1 : len(words)-1] {
			if !slices.Contains(names, from) {
				t.Errorf("%s is in no archive for Linux", from)
			}
		}
	}
	if said["FROM"] != "scratch" || !regexp.MustCompile(`^[1-9][0-9]*:[1-9][0-9]*$`).MatchString(said["USER"]) || said["ENTRYPOINT"] != `["/saltmark"]` || said["RUN"] != "" {
		t.Errorf("the Containerfile says %v", said)
	}
	if slices.Contains(archived(t, target{"darwin", "arm64"}), "Containerfile") {
		t.Error("a Containerfile goes with a program that is not for Linux")
	}
}
