package main

import (
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/pflag"

	"saltmark/internal/finding"
	"saltmark/internal/language"
	"saltmark/internal/report"
	"saltmark/internal/site"
	"saltmark/internal/source"
)

// siteVariable names the settings where the flag --site does not.
const siteVariable = "SALTMARK_SITE"

// siteFlag is the flag --site: the file of a site's settings.
type siteFlag struct {
	path  string
	given bool
}

func (f *siteFlag) addTo(flags *pflag.FlagSet) {
	flags.Var(f, "site", "file of the site's settings (default: what "+siteVariable+" names, else the demo settings)")
}

// Set, String and Type make it a value of a flag.

func (f *siteFlag) Set(path string) error {
	f.path, f.given = path, true
	return nil
}

func (f *siteFlag) String() string { return f.path }

func (f *siteFlag) Type() string { return "file" }

// file gives the path of the settings that are in force, "" for the demo settings,
// and who named it.
func (f *siteFlag) file(e *env) (path, namedBy string) {
	if f.given || e.Getenv == nil {
		return f.path, "--site"
	}
	return e.Getenv(siteVariable), siteVariable
}

// load gives the settings that are in force. What stands against them is told in the
// form that the findings of the work would have, in a language.
func (f *siteFlag) load(e *env, format report.Format, l language.Language) (*site.Settings, error) {
	path, namedBy := f.file(e)
	if path == "" {
		return site.Demo(), nil
	}
	settings, found, err := readSite(e, path)
	if err != nil {
		return nil, fmt.Errorf("%w (named by %s)", err, namedBy)
	}
	return settings, refuseSite(e, format, l, found)
}

// loadApproved gives the settings where patients, or test data, may be charted under
// them.
func (f *siteFlag) loadApproved(e *env, format report.Format, l language.Language) (*site.Settings, error) {
	settings, err := f.load(e, format, l)
	if err != nil {
		return nil, err
	}
	return settings, refuseSite(e, format, l, settings.Approved())
}

// readSite reads settings; they are nil where a finding is an error.
func readSite(e *env, path string) (*site.Settings, finding.List, error) {
	text, err := input{name: path, path: path}.read(e, source.SheetLimits().Bytes)
	if err != nil {
		return nil, nil, err
	}
	doc, found := source.Read(path, text, source.SheetLimits())
	if found.HasErrors() {
		return nil, found, nil
	}
	settings, more := site.Read(doc)
	return settings, append(slices.Clip(found), more...), nil
}

// refuseSite tells the findings where one of them is an error.
func refuseSite(e *env, format report.Format, l language.Language, found finding.List) error {
	if !found.HasErrors() {
		return nil
	}
	if err := report.Write(e.Stderr, format, found, report.Options{Language: l}); err != nil {
		return err
	}
	return errors.New("the settings of the site cannot be used; nothing was done")
}
