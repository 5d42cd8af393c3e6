package main

import (
	"crypto/sha512"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"strings"

	"saltmark/internal/shape/archive"
)

// input is what is read of the package.
type input struct {
	name, version, sha512 string
	structures            map[string]*structureDefinition // by id
	sets                  map[string]*valueSet            // by canonical
	systems               map[string]*codeSystem          // by canonical
	extensions            map[string]*structureDefinition // by canonical
}

type structureDefinition struct {
	ID, URL, Type  string
	Kind           string
	Derivation     string
	Abstract       bool
	BaseDefinition string
	Snapshot       struct{ Element []element }
}

type element struct {
	Path, SliceName  string
	Min              int
	Max              string
	ContentReference string
	Representation   []string
	Type             []struct {
		Code          string
		Profile       []string
		TargetProfile []string
	}
	Binding *binding
}

type binding struct {
	Strength  string
	ValueSet  string
	Extension []struct{ URL, ValueCanonical string }
}

type valueSet struct {
	URL     string
	Compose struct{ Include, Exclude []compose }
}

type compose struct {
	System   string
	Concept  []concept
	Filter   []json.RawMessage
	ValueSet []string
}

type codeSystem struct {
	URL     string
	Content string
	Concept []concept
}

type concept struct {
	Code    string
	Concept []concept
}

// read takes the definitions out of the package: differences from a base (profiles)
// and models that no resource is made of are left out.
func read(file string) (*input, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	sum := sha512.Sum512(text)
	in := &input{sha512: hex.EncodeToString(sum[:]), structures: map[string]*structureDefinition{}, sets: map[string]*valueSet{}, systems: map[string]*codeSystem{}, extensions: map[string]*structureDefinition{}}
	return in, archive.Each(file, in.take)
}

func (in *input) take(name string, text []byte) error {
	kind, _, _ := strings.Cut(name, "-")
	switch kind {
	case "package.json":
		var p struct{ Name, Version string }
		err := json.Unmarshal(text, &p)
		in.name, in.version = p.Name, p.Version
		return err
	case "StructureDefinition":
		return in.takeStructure(text)
	case "ValueSet":
		v := &valueSet{}
		return known(json.Unmarshal(text, v), in.sets, v.URL, v)
	case "CodeSystem":
		c := &codeSystem{}
		return known(json.Unmarshal(text, c), in.systems, c.URL, c)
	}
	return nil
}

func (in *input) takeStructure(text []byte) error {
	d := &structureDefinition{}
	if err := json.Unmarshal(text, d); err != nil {
		return err
	}
	switch {
	case d.Derivation == "constraint" && d.Type == "Extension" && strings.HasPrefix(d.URL, canonical):
		return known(nil, in.extensions, d.URL, d)
	case d.Derivation == "constraint" || d.Kind == "logical":
		return nil
	}
	return known(nil, in.structures, d.ID, d)
}

// known puts a definition under its name. The package has some code systems and value
// sets without an address of their own; nothing binds to them.
func known[T any](err error, all map[string]T, name string, definition T) error {
	if err != nil || name == "" {
		return err
	}
	if _, twice := all[name]; twice {
		return fmt.Errorf("%s is there twice", name)
	}
	all[name] = definition
	return nil
}
