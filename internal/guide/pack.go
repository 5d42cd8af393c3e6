package guide

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"fmt"
	"slices"
	"strings"
	"time"

	"saltmark/internal/source"
)

// pack gives the guide as a FHIR package: definitions, and the examples in a folder of
// their own. All times in it are that of the guide.
func (m *maker) pack(definitions []object) ([]byte, error) {
	files := []File{
		{"package/package.json", m.manifest().encode()},
		{"package/.index.json", index(definitions).encode()},
	}
	for _, r := range definitions {
		files = append(files, File{"package/" + fileName(r), r.encode()})
	}
	var examples []object
	for _, e := range m.examples {
		doc, found := source.ReadJSON(e.ID, e.Text, source.ResourceLimits())
		if found.HasErrors() {
			return nil, fmt.Errorf("example %s: %s", e.ID, found[0].Text(false))
		}
		examples = append(examples, objectOf(doc.Root))
		files = append(files, File{"package/example/" + e.Type + "-" + e.ID + ".json", e.Text})
	}
	if examples != nil {
		files = append(files, File{"package/example/.index.json", index(examples).encode()})
	}
	slices.SortStableFunc(files[2:], func(a, b File) int { return strings.Compare(a.Name, b.Name) })
	return tarred(files)
}

// manifest describes the package.
func (m *maker) manifest() object {
	return obj(
		"name", m.packageName(), "version", Version, "type", "fhir.ig", "canonical", m.base, "url", m.base,
		"title", "Measurement sessions by indicator dilution",
		"description", "Profiles, extensions and codes of sessions in which cardiac output was measured by indicator dilution.",
		"date", strings.ReplaceAll(Date, "-", "")+"000000", "license", "Apache-2.0", "author", "saltmark",
		"fhirVersions", []string{"4.0.1"},
		"dependencies", obj("hl7.fhir.r4.core", "4.0.1"),
		"directories", obj("lib", "package", "example", "example"),
	)
}

// index lists resources, so that a tool need not read them all.
func index(resources []object) object {
	var files []object
	for _, r := range resources {
		files = append(files, obj(
			"filename", fileName(r), "resourceType", r.text("resourceType"), "id", r.text("id"),
			"url", r.text("url"), "version", r.text("version"), "kind", r.text("kind"), "type", r.text("type"),
		))
	}
	slices.SortFunc(files, func(a, b object) int { return strings.Compare(a.text("filename"), b.text("filename")) })
	return obj("index-version", 2, "files", files)
}

func tarred(files []File) ([]byte, error) {
	day, err := time.Parse(time.DateOnly, Date)
	if err != nil {
		return nil, err
	}
	var packed bytes.Buffer
	z, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	t := tar.NewWriter(z)
	for _, f := range files {
		h := tar.Header{Typeflag: tar.TypeReg, Name: f.Name, Mode: 0o644, Size: int64(len(f.Text)), ModTime: day, Format: tar.FormatUSTAR}
		if err := t.WriteHeader(&h); err != nil {
			return nil, err
		}
		if _, err := t.Write(f.Text); err != nil {
			return nil, err
		}
	}
	if err := t.Close(); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return packed.Bytes(), nil
}
