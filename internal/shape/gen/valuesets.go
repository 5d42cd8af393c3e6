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

// listed is a value set with its codes; nil codes where the package does not have them.
type listed struct {
	canonical string
	systems   []string
	codes     map[string][]string
}

// errNotThere tells that the codes of a value set are not in the package.
var errNotThere = errors.New("codes elsewhere")

// name gives the name of a value set, "" for one whose codes are not to be had.
func (b *bindings) name(canonical string) (string, error) {
	url, _, _ := strings.Cut(canonical, "|")
	name := url[strings.LastIndexByte(url, '/')+1:]
	if known := b.named[name]; known != nil {
		if known.canonical != url {
			return "", fmt.Errorf("two value sets are named %s", name)
		}
		if known.codes == nil {
			name = ""
		}
		return name, nil
	}
	s := &listed{canonical: url, codes: map[string][]string{}}
	b.named[name] = s
	if err := b.fill(s); errors.Is(err, errNotThere) {
		s.codes = nil
		return "", nil
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

// open names the value sets whose codes are not to be had.
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
		if s.codes == nil {
			continue
		}
		fmt.Fprintf(out, "set\t%s\n", name)
		for _, system := range s.systems {
			line := system + "\t" + strings.Join(s.codes[system], "\t")
			if strings.Contains(line, "\n") {
				return fmt.Errorf("%s: a line break in a code", name)
			}
			fmt.Fprintf(out, "\t%s\n", line)
		}
	}
	return nil
}
