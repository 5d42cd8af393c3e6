package main

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// bindings gathers the value sets that elements are bound to.
type bindings struct {
	*input
	named map[string]*listed // by the last part of the canonical
}

// listed is a value set with its codes: none of a system that is bound as a whole and kept
// by others, nil where the package does not have the set.
type listed struct {
	canonical string
	systems   []string
	codes     map[string][]string
}

// errNotThere tells that a value set is not in the package.
var errNotThere = errors.New("a value set of others")

// kept are the systems that others keep, of which R4 binds all codes; package shape has a
// grammar or a table of each.
var kept = []string{"http://unitsofmeasure.org", "urn:ietf:bcp:13", "urn:ietf:bcp:47", "urn:iso:std:iso:4217"}

// bcp13 is named as the value set of a binding in place of the value set of its codes.
const bcp13 = "http://www.rfc-editor.org/bcp/bcp13.txt"

// name gives the name of a value set.
func (b *bindings) name(canonical string) (string, error) {
	url, _, _ := strings.Cut(canonical, "|")
	if url == bcp13 {
		url = "http://hl7.org/fhir/ValueSet/mimetypes"
	}
	name := url[strings.LastIndexByte(url, '/')+1:]
	if known := b.named[name]; known != nil {
		if known.canonical != url {
			return "", fmt.Errorf("two value sets are named %s", name)
		}
		return name, nil
	}
	s := &listed{canonical: url, codes: map[string][]string{}}
	b.named[name] = s
	if err := b.fill(s); errors.Is(err, errNotThere) {
		s.codes = nil
	} else if err != nil {
		return "", fmt.Errorf("%s: %w", canonical, err)
	}
	return name, nil
}

func (b *bindings) fill(s *listed) error {
	v := b.sets[s.canonical]
	if v == nil {
		return errNotThere
	}
	if len(v.Compose.Exclude) > 0 || len(v.Compose.Include) == 0 {
		return errors.New("an exclusion, or nothing at all")
	}
	for _, part := range v.Compose.Include {
		if len(part.Filter) > 0 || len(part.ValueSet) > 0 {
			return errors.New("a filter, or another value set")
		}
		if s.codes[part.System] == nil {
			s.systems = append(s.systems, part.System)
		}
		concepts := part.Concept
		if len(concepts) == 0 && slices.Contains(kept, part.System) {
			s.codes[part.System] = []string{}
			continue
		}
		if len(concepts) == 0 {
			system := b.systems[part.System]
			if system == nil {
				return errNotThere
			}
			if system.Content != "complete" {
				return fmt.Errorf("%s is %s", part.System, system.Content)
			}
			concepts = system.Concept
		}
		s.add(part.System, concepts)
	}
	return nil
}

// add takes concepts and those below them.
func (s *listed) add(system string, concepts []concept) {
	for _, c := range concepts {
		if !slices.Contains(s.codes[system], c.Code) {
			s.codes[system] = append(s.codes[system], c.Code)
		}
		s.add(system, c.Concept)
	}
}

// open names the value sets that are not to be had.
func (b *bindings) open() []string {
	var names []string
	for _, name := range slices.Sorted(maps.Keys(b.named)) {
		if b.named[name].codes == nil {
			names = append(names, name)
		}
	}
	return names
}

func (b *bindings) write(out *bytes.Buffer) error {
	for _, name := range slices.Sorted(maps.Keys(b.named)) {
		s := b.named[name]
		fmt.Fprintf(out, "set\t%s\n", name)
		for _, system := range s.systems {
			line := strings.Join(append([]string{system}, s.codes[system]...), "\t")
			if strings.Contains(line, "\n") {
				return fmt.Errorf("%s: a line break in a code", name)
			}
			fmt.Fprintf(out, "\t%s\n", line)
		}
	}
	return nil
}
