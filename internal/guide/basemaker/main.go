// Command basemaker writes base.json.gz, on which the snapshots of our profiles are made:
// the elements of the definitions of FHIR R4 that they constrain, without their mappings
// to other standards. It reads the unpacked package hl7.fhir.r4.core 4.0.1 (npm; CC0).
//
//	go run ./internal/guide/basemaker PACKAGE internal/guide/base.json.gz
package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
)

// constrained are the types that our profiles and extensions constrain.
var constrained = []string{"Observation", "DiagnosticReport", "Extension"}

func main() {
	if len(os.Args) != 3 {
		fmt.Fprintln(os.Stderr, "usage: basemaker PACKAGE FILE")
		os.Exit(2)
	}
	if err := write(os.Args[1], os.Args[2]); err != nil {
		fmt.Fprintln(os.Stderr, "basemaker:", err)
		os.Exit(1)
	}
}

// base is what the file holds: for each type its elements, and the SHA-256 of the
// definition that they are from.
type base struct {
	Source   string
	SHA256   map[string]string
	Elements map[string][]json.RawMessage
}

func write(folder, file string) error {
	b := base{Source: "hl7.fhir.r4.core 4.0.1", SHA256: map[string]string{}, Elements: map[string][]json.RawMessage{}}
	for _, name := range constrained {
		text, err := os.ReadFile(filepath.Join(folder, "StructureDefinition-"+name+".json"))
		if err != nil {
			return err
		}
		var definition struct {
			Snapshot struct{ Element []map[string]json.RawMessage }
		}
		if err := json.Unmarshal(text, &definition); err != nil {
			return err
		}
		sum := sha256.Sum256(text)
		b.SHA256[name] = hex.EncodeToString(sum[:])
		for _, element := range definition.Snapshot.Element {
			delete(element, "mapping")
			var plain bytes.Buffer // as it was written: decimals and signs too
			encoder := json.NewEncoder(&plain)
			encoder.SetEscapeHTML(false)
			if err := encoder.Encode(element); err != nil {
				return err
			}
			b.Elements[name] = append(b.Elements[name], bytes.TrimSpace(plain.Bytes()))
		}
	}
	var plain, packed bytes.Buffer
	encoder := json.NewEncoder(&plain)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(b); err != nil {
		return err
	}
	z, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return err
	}
	if _, err := z.Write(plain.Bytes()); err != nil {
		return err
	}
	if err := z.Close(); err != nil {
		return err
	}
	return os.WriteFile(file, packed.Bytes(), 0o644)
}
