package main

import (
	"errors"
	"slices"

	"saltmark/internal/finding"
	"saltmark/internal/language"
	"saltmark/internal/report"
	"saltmark/internal/site"
	"saltmark/internal/source"
)

// loadSite reads the settings of a site, or gives the demo settings where no file is
// named. What stands against them is told in the form that the findings of the work
// would have, in a language.
func loadSite(e *env, path string, format report.Format, l language.Language) (*site.Settings, error) {
	if path == "" {
		return site.Demo(), nil
	}
	text, err := input{name: path, path: path}.read(e, source.SheetLimits().Bytes)
	if err != nil {
		return nil, err
	}
	doc, found := source.Read(path, text, source.SheetLimits())
	var settings *site.Settings
	if !found.HasErrors() {
		var more finding.List
		settings, more = site.Read(doc)
		found = append(slices.Clip(found), more...)
	}
	if !found.HasErrors() {
		return settings, nil
	}
	if err := report.Write(e.Stderr, format, found, report.Options{Language: l}); err != nil {
		return nil, err
	}
	return nil, errors.New("the settings of the site cannot be used; nothing was charted")
}
