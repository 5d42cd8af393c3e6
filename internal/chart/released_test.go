package chart_test

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/internal/finding"
	"saltmark/internal/site"
	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

// What a release could read and write, this program still can: each folder of
// testdata/released holds the sheets, the settings and, but for what was before the
// first release, the bundles of a version.

// releasedFaults charts each sheet and audits each bundle of a release. It tells what
// came of it that is an error, and how many of each there were.
func releasedFaults(release fs.FS) (faults []string, sheets, bundles int, err error) {
	settings, list, err := releasedSettings(release)
	if err != nil {
		return nil, 0, 0, err
	}
	if faults = errorsIn(list); len(faults) > 0 {
		return faults, 0, 0, nil
	}
	paths, err := filesOf(release, "sheets", ".yaml", ".yml", ".json")
	if err != nil {
		return nil, 0, 0, err
	}
	series := slices.DeleteFunc(slices.Clone(paths), func(name string) bool { return !inSeries(name) })
	paths = slices.DeleteFunc(paths, inSeries)
	var previous *record.Session
	for i, name := range append(paths, series...) {
		if i <= len(paths) { // no revision, or the first of the series
			previous = nil
		}
		text, err := fs.ReadFile(release, name)
		if err != nil {
			return nil, 0, 0, err
		}
		r := chart.Sheet(name, text, chart.Options{
			Site: settings, Software: mapping.Software{Name: "saltmark", Version: "of today"}, Curves: true,
			Previous: func(string) (*record.Session, error) { return previous, nil },
			Open:     func(trace string) ([]byte, error) { return fs.ReadFile(release, path.Join(path.Dir(name), trace)) },
		})
		if faults = append(faults, errorsIn(r.Findings)...); r.Bundle == nil {
			faults = append(faults, name+" is not charted")
			continue
		}
		// The record has what the release wrote; the next revision is charted against it.
		written := r.Bundle
		if kept, err := fs.ReadFile(release, "bundles/series-"+strings.TrimSuffix(path.Base(name), ".yaml")+".json"); err == nil {
			written = kept
		}
		previous, list = mapping.Read(name, written)
		faults = append(faults, errorsIn(list)...)
	}
	read, err := filesOf(release, "bundles", ".json")
	if err != nil {
		return nil, 0, 0, err
	}
	inForms, err := filesOf(release, "forms", ".json", ".ndjson")
	for _, name := range append(read, inForms...) {
		text, err := fs.ReadFile(release, name)
		if err != nil {
			return nil, 0, 0, err
		}
		if session, list := mapping.Read(name, text); session == nil || len(session.Facts) == 0 {
			faults = append(faults, name+" is read as nothing")
		} else {
			faults = append(faults, errorsIn(list)...)
		}
		form := mapping.Collection // whatever one document of JSON is
		if path.Ext(name) == ".ndjson" {
			form = mapping.NDJSON
		}
		faults = append(faults, errorsIn(audit.CheckText(name, text, form, audit.Options{}))...)
	}
	return faults, len(paths) + len(series), len(read) + len(inForms), err
}

// inSeries tells that a sheet is a revision of the one before.
func inSeries(name string) bool { return strings.HasPrefix(name, "sheets/series/") }

// filesOf gives the files below a folder that have one of these endings, in order; none
// where there is no such folder.
func filesOf(release fs.FS, folder string, endings ...string) ([]string, error) {
	var names []string
	err := fs.WalkDir(release, folder, func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && slices.Contains(endings, path.Ext(name)) {
			names = append(names, name)
		}
		return err
	})
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	return names, err
}

func releasedSettings(release fs.FS) (*site.Settings, finding.List, error) {
	text, err := fs.ReadFile(release, "site.yaml")
	if err != nil {
		return nil, nil, err
	}
	doc, list := source.ReadYAML("site.yaml", text, source.SheetLimits())
	if list.HasErrors() {
		return nil, nil, fmt.Errorf("%s", list[0].Text(true))
	}
	settings, found := site.Read(doc)
	return settings, found, nil
}

func errorsIn(list finding.List) []string {
	var texts []string
	for _, f := range list {
		if f.Severity == finding.Error {
			texts = append(texts, f.Text(true))
		}
	}
	return texts
}

const releasedFolder = "../../testdata/released"

func TestWhatWasReleasedIsStillReadAndCharted(t *testing.T) {
	entries, err := os.ReadDir(releasedFolder)
	if err != nil {
		t.Fatal(err)
	}
	releases := 0
	for _, e := range entries {
		if !e.IsDir() {
			continue
		}
		releases++
		t.Run(e.Name(), func(t *testing.T) {
			faults, sheets, bundles, err := releasedFaults(os.DirFS(path.Join(releasedFolder, e.Name())))
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range faults {
				t.Error(f)
			}
			if first := e.Name() == "0.0.0"; sheets < 30 || bundles < 30 && !first {
				t.Errorf("%d sheets and %d bundles are kept", sheets, bundles)
			}
		})
	}
	if releases == 0 {
		t.Error("nothing is kept of any release")
	}
}

// partOfToday is what is enough to see that something is missed.
var partOfToday = regexp.MustCompile(`^(01-|02-|27-|traces/|series)`)

// today is a part of a release as it would be cut now.
func today(t *testing.T) fstest.MapFS {
	t.Helper()
	release := fstest.MapFS{}
	add := func(from, to string) {
		text, err := os.ReadFile(from)
		if err != nil {
			t.Fatal(err)
		}
		release[to] = &fstest.MapFile{Data: text}
	}
	add("../site/demo.yaml", "site.yaml")
	for to, from := range map[string]string{"sheets": sheetFolder, "bundles": bundleFolder, "forms": formFolder} {
		top := os.DirFS(from)
		err := fs.WalkDir(top, ".", func(name string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() && partOfToday.MatchString(name) {
				add(path.Join(from, name), path.Join(to, name))
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return release
}

func TestWhatIsNoLongerReadIsSeen(t *testing.T) {
	change := func(name, old, new string) func(fstest.MapFS) {
		return func(release fstest.MapFS) {
			text := string(release[name].Data)
			if !strings.Contains(text, old) {
				t.Fatalf("%s has no %q", name, old)
			}
			release[name] = &fstest.MapFile{Data: []byte(strings.ReplaceAll(text, old, new))}
		}
	}
	for name, c := range map[string]struct {
		spoil func(fstest.MapFS)
		want  string
	}{
		"nothing":          {func(fstest.MapFS) {}, ""},
		"a key of a sheet": {change("sheets/01-plain-infant.yaml", "operator:", "operater:"), "sheets/01-plain-infant.yaml is not charted"},
		"a trace": {func(r fstest.MapFS) {
			maps.DeleteFunc(r, func(name string, _ *fstest.MapFile) bool { return path.Ext(name) == ".csv" })
		}, "trace-not-read"},
		"a revision": {func(r fstest.MapFS) {
			delete(r, "sheets/series/2-final.yaml")
			delete(r, "sheets/series/1-preliminary.yaml")
		}, "sheets/series/3-corrected.yaml is not charted"},
		"a code of a bundle": {change("bundles/01-plain-infant.json", `"code": "Qs-LVO-RVO-Qp"`, `"code": "Qs-and-all"`), "bundles/01-plain-infant.json"},
		"a line of NDJSON":   {change("forms/01-plain-infant.ndjson", `"code":"Qs-LVO-RVO-Qp"`, `"code":"Qs-and-all"`), "forms/01-plain-infant.ndjson"},
		"a measure":          {change("bundles/02-minimal.json", "/blood-flow/", "/blood-flaw/"), "identity-unknown"},
		"a key of settings":  {change("site.yaml", "\nbase:", "\nbasis:"), "site.yaml"},
	} {
		t.Run(name, func(t *testing.T) {
			release := today(t)
			c.spoil(release)
			faults, _, _, err := releasedFaults(release)
			if err != nil {
				t.Fatal(err)
			}
			if c.want == "" && len(faults) > 0 || c.want != "" && !slices.ContainsFunc(faults, func(f string) bool { return strings.Contains(f, c.want) }) {
				t.Errorf("wanted is %q, told is:\n%s", c.want, strings.Join(faults, "\n"))
			}
		})
	}
}
