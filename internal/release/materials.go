package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// materials are what a program for one target is made of.
type materials struct {
	modules  []*module // those of others, by path
	standard *module   // the standard library
	ours     *module
}

// module is a module, as far as the program is linked from it.
type module struct {
	path, version string
	sum           string // as go.sum has it
	dir           string
	folders       []string        // of the packages that are linked
	needs         map[string]bool // paths of other modules
	licence       string          // SPDX identifier
	texts         []licenceText
}

// licenceText is one text that goes with a module.
type licenceText struct {
	name string // of its file
	text []byte
}

const standardLibrary = "std"

// listed is what go list says of a package.
type listed struct {
	ImportPath string
	Dir        string
	Standard   bool
	Imports    []string
	Module     *struct {
		Path, Version, Dir string
		Main               bool
		Replace            *struct{ Path string }
	}
}

// owner gives the path of the module that a package is of.
func (l *listed) owner() string {
	if l.Module == nil {
		return standardLibrary
	}
	return l.Module.Path
}

// materials asks the toolchain what is linked for a target, and gathers the licences.
func (p *plan) materials(ctx context.Context, t target) (*materials, error) {
	packages, err := p.list(ctx, t)
	if err != nil {
		return nil, err
	}
	m, err := materialsOf(packages)
	if err != nil {
		return nil, err
	}
	if err := p.describe(ctx, t, m); err != nil {
		return nil, err
	}
	return m, nil
}

// list gives the packages that the program is linked from.
func (p *plan) list(ctx context.Context, t target) (map[string]*listed, error) {
	cmd := exec.CommandContext(ctx, "go", "list", "-deps", "-json=ImportPath,Dir,Standard,Imports,Module", "./cmd/saltmark")
	cmd.Dir, cmd.Env, cmd.Stderr = p.top, t.environment(), os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	packages := map[string]*listed{}
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var l listed
		if err := d.Decode(&l); errors.Is(err, io.EOF) {
			return packages, nil
		} else if err != nil {
			return nil, fmt.Errorf("go list: %w", err)
		}
		packages[l.ImportPath] = &l
	}
}

// materialsOf gathers packages into modules, and what one module needs of another.
func materialsOf(packages map[string]*listed) (*materials, error) {
	modules := map[string]*module{}
	m := &materials{}
	for _, l := range packages {
		owner := l.owner()
		mod := modules[owner]
		if mod == nil {
			mod = &module{path: owner, needs: map[string]bool{}}
			modules[owner] = mod
			switch {
			case l.Module == nil:
				m.standard = mod
			case l.Module.Replace != nil:
				return nil, fmt.Errorf("%s is replaced by %s; a release is linked from what go.mod asks for", owner, l.Module.Replace.Path)
			case l.Module.Main:
				m.ours, mod.dir = mod, l.Module.Dir
			default:
				mod.version, mod.dir = l.Module.Version, l.Module.Dir
				m.modules = append(m.modules, mod)
			}
		}
		mod.folders = append(mod.folders, l.Dir)
		for _, imported := range l.Imports {
			if other := packages[imported]; other != nil && other.owner() != owner {
				mod.needs[other.owner()] = true
			}
		}
	}
	if m.ours == nil || m.standard == nil {
		return nil, errors.New("go list names no package of this module, or none of the standard library")
	}
	slices.SortFunc(m.modules, func(a, b *module) int { return cmp.Compare(a.path, b.path) })
	return m, nil
}

// describe fills in versions, sums and licences.
func (p *plan) describe(ctx context.Context, t target, m *materials) error {
	m.ours.version = p.version
	goVersion, root, err := p.toolchain(ctx, t)
	if err != nil {
		return err
	}
	m.standard.version, m.standard.dir = strings.TrimPrefix(goVersion, "go"), root
	sums, err := sumsOf(p.top)
	if err != nil {
		return err
	}
	notice, err := readNotice(p.top)
	if err != nil {
		return err
	}
	for _, mod := range slices.Concat(m.modules, []*module{m.standard, m.ours}) {
		mod.sum = sums[mod.path+" "+mod.version]
		if err := mod.findLicence(notice); err != nil {
			return err
		}
	}
	return nil
}

// toolchain gives the version of Go and its root.
func (p *plan) toolchain(ctx context.Context, t target) (version, root string, err error) {
	cmd := exec.CommandContext(ctx, "go", "env", "GOVERSION", "GOROOT")
	cmd.Dir, cmd.Env = p.top, t.environment()
	out, err := cmd.Output()
	words := strings.Split(strings.TrimSpace(string(out)), "\n")
	if err != nil || len(words) != 2 {
		return "", "", fmt.Errorf("go env: %q (%w)", out, err)
	}
	return words[0], words[1], nil
}

// sumsOf reads go.sum: the sum of each module's content.
func sumsOf(top string) (map[string]string, error) {
	text, err := os.ReadFile(filepath.Join(top, "go.sum"))
	if err != nil {
		return nil, err
	}
	sums := map[string]string{}
	for line := range strings.Lines(string(text)) {
		if words := strings.Fields(line); len(words) == 3 {
			sums[words[0]+" "+words[1]] = words[2]
		}
	}
	return sums, nil
}
