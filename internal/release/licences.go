package main

import (
	"bytes"
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// licences are those that a linked module may have: the words that NOTICE puts over
// them, the SPDX identifier, and what their text must hold.
var licences = []struct {
	heading, id string
	holds       []string
}{
	{"Apache License 2.0", "Apache-2.0", []string{"Apache License", "Version 2.0, January 2004"}},
	{"BSD 3-Clause License", "BSD-3-Clause", []string{"Redistribution and use in source and binary forms", "Neither the name"}},
	{"MIT License", "MIT", []string{"Permission is hereby granted, free of charge", "THE SOFTWARE IS PROVIDED"}},
	{"The Unlicense", "Unlicense", []string{"free and unencumbered software released into the public domain", "THE SOFTWARE IS PROVIDED"}},
}

// licenceFiles are the names of files that hold a licence or go with one.
var licenceFiles = regexp.MustCompile(`(?i)^((un)?licen[cs]e|copying|notice|patents)([-.].*)?$`)

// notice is what NOTICE says.
type notice struct {
	licence map[string]string // SPDX identifier by "path version" of a linked module
	data    []noticeData      // what the program carries that is no code
}

// noticeData is one part of NOTICE about data in the program.
type noticeData struct{ name, text string }

// The headings of NOTICE that are read here.
const (
	noticeOfData    = "Data in this repository and in the program"
	noticeOfModules = "Go modules that the program is built from"
)

func readNotice(top string) (*notice, error) {
	text, err := os.ReadFile(filepath.Join(top, "NOTICE"))
	if err != nil {
		return nil, err
	}
	n := &notice{licence: map[string]string{}}
	parts := noticeParts(string(text))
	for _, block := range blocks(parts[noticeOfData]) {
		n.data = append(n.data, noticeData{block[0], strings.Join(strings.Fields(strings.Join(block[1:], " ")), " ")})
	}
	for _, block := range blocks(parts[noticeOfModules]) {
		id := ""
		for _, l := range licences {
			if strings.HasPrefix(block[0], l.heading) {
				id = l.id
			}
		}
		if id == "" {
			return nil, fmt.Errorf("NOTICE: %q is no licence that a linked module may have", block[0])
		}
		for _, line := range block[1:] {
			// Two words, perhaps a remark in parentheses: a module and its version.
			if words := strings.Fields(line); len(words) > 1 && strings.HasPrefix(words[1], "v") && strings.Contains(words[0], "/") {
				n.licence[words[0]+" "+words[1]] = id
			}
		}
		if strings.Contains(strings.Join(block, "\n"), "the standard library of Go") {
			n.licence[standardLibrary] = id
		}
	}
	if len(n.data) == 0 || len(n.licence) == 0 {
		return nil, fmt.Errorf("NOTICE: nothing is under %q or under %q", noticeOfData, noticeOfModules)
	}
	return n, nil
}

// noticeParts gives the lines under each heading that is underlined with hyphens.
func noticeParts(text string) map[string][]string {
	parts := map[string][]string{}
	lines := strings.Split(text, "\n")
	heading := ""
	for i, line := range lines {
		switch {
		case i+1 < len(lines) && line != "" && lines[i+1] == strings.Repeat("-", len(line)):
			heading = line
		case line != strings.Repeat("-", len(heading)):
			parts[heading] = append(parts[heading], line)
		}
	}
	return parts
}

// blocks parts lines into those that begin at the margin, each with its indented lines.
func blocks(lines []string) [][]string {
	var all [][]string
	for _, line := range lines {
		switch {
		case strings.TrimSpace(line) == "":
		case !strings.HasPrefix(line, " "):
			all = append(all, []string{line})
		case len(all) > 0:
			all[len(all)-1] = append(all[len(all)-1], line)
		}
	}
	return all
}

// findLicence gives a module its licence, as NOTICE has it, and its texts, which must be
// there and be of that licence.
func (m *module) findLicence(n *notice) error {
	switch {
	case m.path == standardLibrary:
		m.licence = n.licence[standardLibrary]
	case m.sum == "":
		m.licence = licences[0].id // ours: LICENSE in the top folder
	default:
		m.licence = n.licence[m.path+" "+m.version]
	}
	if m.licence == "" {
		return fmt.Errorf("NOTICE does not name %s %s, which the program is linked from", m.path, m.version)
	}
	if err := m.findTexts(); err != nil {
		return err
	}
	for _, l := range licences {
		if l.id == m.licence && !slices.ContainsFunc(m.texts, func(t licenceText) bool { return t.holds(l.holds) }) {
			return fmt.Errorf("%s %s: no text of the licence %s lies in %s", m.path, m.version, l.id, m.dir)
		}
	}
	return nil
}

func (t licenceText) holds(words []string) bool {
	text := bytes.Join(bytes.Fields(t.text), []byte(" "))
	return !slices.ContainsFunc(words, func(w string) bool { return !bytes.Contains(text, []byte(w)) })
}

// findTexts looks in the folders of the linked packages and above them, up to the top
// of the module.
func (m *module) findTexts() error {
	folders := map[string]bool{m.dir: true}
	for _, folder := range m.folders {
		for len(folder) > len(m.dir) {
			folders[folder] = true
			folder = filepath.Dir(folder)
		}
	}
	for folder := range folders {
		entries, err := os.ReadDir(folder)
		if err != nil {
			return err
		}
		for _, e := range entries {
			if e.IsDir() || !licenceFiles.MatchString(e.Name()) {
				continue
			}
			text, err := os.ReadFile(filepath.Join(folder, e.Name()))
			if err != nil {
				return err
			}
			name, err := filepath.Rel(m.dir, filepath.Join(folder, e.Name()))
			if err != nil {
				return err
			}
			m.texts = append(m.texts, licenceText{filepath.ToSlash(name), text})
		}
	}
	slices.SortFunc(m.texts, func(a, b licenceText) int { return cmp.Compare(a.name, b.name) })
	return nil
}

// licenceTexts gives one text with the licences of all that is linked, ours but for the
// two that lie beside it.
func (m *materials) licenceTexts() []byte {
	var b bytes.Buffer
	b.WriteString("The licences of what this program is linked from and carries. Its own is in LICENSE,\nwho holds which rights in NOTICE.\n")
	for _, mod := range slices.Concat([]*module{m.ours, m.standard}, m.modules) {
		for _, t := range mod.texts {
			if mod == m.ours && (t.name == "LICENSE" || t.name == "NOTICE") {
				continue
			}
			fmt.Fprintf(&b, "\n%s\n%s %s (%s): %s\n%s\n\n", rule, mod.path, mod.version, mod.licence, t.name, rule)
			b.Write(bytes.TrimSpace(bytes.ReplaceAll(t.text, []byte("\r\n"), []byte("\n"))))
			b.WriteString("\n")
		}
	}
	return b.Bytes()
}

var rule = strings.Repeat("=", 80)
