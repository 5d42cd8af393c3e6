package main

import (
	"context"
	"crypto/sha256"
	"debug/buildinfo"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// release makes the whole release and puts it at out when all of it is there.
func (p *plan) release(ctx context.Context, out string) error {
	if err := replaceable(out); err != nil {
		return err
	}
	text, err := notes(os.DirFS(p.top), p.version)
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp(filepath.Dir(filepath.Clean(out)), ".release-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	for _, t := range p.targets {
		fmt.Fprintf(os.Stderr, "release: %s\n", t)
		if err := p.releaseFor(ctx, t, dir); err != nil {
			return fmt.Errorf("%s: %w", t, err)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "RELEASE-NOTES.md"), text, 0o644); err != nil {
		return err
	}
	if err := writeSums(dir); err != nil {
		return err
	}
	if err := os.Chmod(dir, 0o755); err != nil {
		return err
	}
	if err := os.RemoveAll(out); err != nil {
		return err
	}
	return os.Rename(dir, out)
}

// sumsFile holds the checksums, and shows that a folder is a release.
const sumsFile = "SHA256SUMS"

// replaceable tells whether a folder is not there, empty, or an earlier release.
func replaceable(out string) error {
	entries, err := os.ReadDir(out)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return os.MkdirAll(filepath.Dir(filepath.Clean(out)), 0o755)
	case err != nil:
		return err
	case len(entries) > 0 && !slices.ContainsFunc(entries, func(e fs.DirEntry) bool { return e.Name() == sumsFile }):
		return fmt.Errorf("%s holds something else than a release; name another folder", out)
	}
	return nil
}

// releaseFor makes what is of one target: the archive and the bill of materials.
func (p *plan) releaseFor(ctx context.Context, t target, dir string) error {
	program, err := p.build(ctx, t)
	if err != nil {
		return err
	}
	parts, err := p.materials(ctx, t)
	if err != nil {
		return err
	}
	if err := sameModules(program, parts); err != nil {
		return err
	}
	bill, err := p.bill(t, program, parts)
	if err != nil {
		return err
	}
	files, err := p.files(t, parts)
	if err != nil {
		return err
	}
	files[t.program()] = packed{program, true}
	files["saltmark.cdx.json"] = packed{text: bill}
	name := "saltmark_" + p.version + "_" + t.system + "_" + t.architecture
	pack, suffix := tarGz, ".tar.gz"
	if t.system == "windows" {
		pack, suffix = zipped, ".zip"
	}
	archive, err := pack(name, files, p.time)
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dir, name+suffix), archive, 0o644); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, name+".cdx.json"), bill, 0o644)
}

// build gives the bytes of the program.
func (p *plan) build(ctx context.Context, t target) ([]byte, error) {
	dir, err := os.MkdirTemp("", "saltmark-build-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, t.program())
	set := "-s -w -X 'main.version=" + p.version + "' -X 'main.sourceRevision=" + p.revision + "'"
	cmd := exec.CommandContext(ctx, "go", "build", "-ldflags", set, "-o", file, "./cmd/saltmark")
	cmd.Dir, cmd.Env, cmd.Stderr = p.top, t.environment(), os.Stderr
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("go build: %w", err)
	}
	return os.ReadFile(file)
}

// sameModules holds what the toolchain wrote into the program against the modules that
// the bill and the licences name.
func sameModules(program []byte, m *materials) error {
	info, err := buildinfo.Read(strings.NewReader(string(program)))
	if err != nil {
		return err
	}
	var linked, named []string
	for _, d := range info.Deps {
		linked = append(linked, d.Path+" "+d.Version)
	}
	for _, mod := range m.modules {
		named = append(named, mod.path+" "+mod.version)
	}
	if slices.Sort(linked); !slices.Equal(linked, named) {
		return fmt.Errorf("the program is linked from %v, the list of modules is %v", linked, named)
	}
	return nil
}

// carried are the files and folders of the repository that go along, at the same paths,
// so that what the README says of them holds in an unpacked release too.
var carried = []string{
	"README.md", "LICENSE", "NOTICE", "internal/finding/rules.md", "internal/sheet/sheet.schema.json", "internal/site/demo.yaml", "internal/site/site.schema.json",
	"internal/audit/EVIDENCE.md", "internal/audit/HAZARDS.md", "internal/selection/selection.schema.json",
	"testdata/sheets", "testdata/bad", "testdata/conclusions.md",
}

// files gives what goes into an archive beside the program and its bill.
func (p *plan) files(t target, m *materials) (map[string]packed, error) {
	files := map[string]packed{"LICENCES.txt": {text: m.licenceTexts()}}
	top := os.DirFS(p.top)
	for _, from := range carried {
		err := fs.WalkDir(top, from, func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			text, err := fs.ReadFile(top, name)
			files[name] = packed{text: text}
			return err
		})
		if err != nil {
			return nil, err
		}
	}
	if t.system == "linux" {
		text, err := fs.ReadFile(top, "internal/release/Containerfile")
		if err != nil {
			return nil, err
		}
		files["Containerfile"] = packed{text: []byte(strings.NewReplacer("@VERSION@", p.version, "@REVISION@", p.revision).Replace(string(text)))}
	}
	return files, nil
}

// writeSums writes the checksum of each file of a folder, in the form that sha256sum -c
// reads.
func writeSums(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	var b strings.Builder
	for _, e := range entries {
		text, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			return err
		}
		b.WriteString(sum(text) + "  " + path.Base(e.Name()) + "\n")
	}
	return os.WriteFile(filepath.Join(dir, sumsFile), []byte(b.String()), 0o644)
}

func sum(text []byte) string {
	s := sha256.Sum256(text)
	return hex.EncodeToString(s[:])
}
