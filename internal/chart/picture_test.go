package chart_test

import (
	"bytes"
	"crypto/sha1"
	"encoding/base64"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/audit"
	"saltmark/internal/chart"
	"saltmark/mapping"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// form is a form of a report, as it stands in a bundle.
type form struct {
	ContentType, Title, Data, Hash, Language string
	Size                                     int
}

// formsOf gives the forms of the report of a bundle in any form but lines.
func formsOf(t *testing.T, bundle []byte) (forms []form, conclusion string) {
	t.Helper()
	var b struct {
		Entry []struct {
			Resource struct {
				ResourceType, Conclusion string
				PresentedForm            []form
			}
		}
	}
	if err := json.Unmarshal(bundle, &b); err != nil {
		t.Fatal(err)
	}
	for _, e := range b.Entry {
		if e.Resource.ResourceType == "DiagnosticReport" {
			return e.Resource.PresentedForm, e.Resource.Conclusion
		}
	}
	t.Fatal("no report")
	return nil, ""
}

func chartedWithPictures(t *testing.T, l measure.Language, sheet string, change func(*chart.Options)) chart.Result {
	t.Helper()
	path := filepath.Join(sheetFolder, sheet+".yaml")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	o := optionsIn(l, sheetFolder, nil)
	o.Pictures = true
	if change != nil {
		change(&o)
	}
	r := chart.Sheet(path, text, o)
	if r.Bundle == nil {
		t.Fatal(r.Findings)
	}
	return r
}

func TestAPictureIsAFurtherFormOfTheReport(t *testing.T) {
	for _, l := range measure.Languages() {
		r := chartedWithPictures(t, l, "27-with-traces", nil)
		forms, conclusion := formsOf(t, r.Bundle)
		if len(forms) != 2 || forms[0].ContentType != "text/plain; charset=utf-8" || forms[1].ContentType != "image/svg+xml" {
			t.Fatalf("%s: %d forms", l.Code(), len(forms))
		}
		svg, err := base64.StdEncoding.DecodeString(forms[1].Data)
		if err != nil {
			t.Fatal(err)
		}
		sum := sha1.Sum(svg)
		if f := forms[1]; f.Size != len(svg) || f.Hash != base64.StdEncoding.EncodeToString(sum[:]) || f.Language != l.Code() || f.Title == "" {
			t.Errorf("%s: size %d, hash %s, language %s, title %q", l.Code(), f.Size, f.Hash, f.Language, f.Title)
		}
		if !bytes.HasPrefix(svg, []byte("<svg ")) || !strings.Contains(string(svg), conclusion[:40]) {
			t.Errorf("%s: the picture does not say the conclusion", l.Code())
		}
	}
}

func TestAPictureChangesNothingElseOfABundle(t *testing.T) {
	with := chartedWithPictures(t, measure.English, "27-with-traces", nil)
	without := chartedWithPictures(t, measure.English, "27-with-traces", func(o *chart.Options) { o.Pictures = false })
	forms, _ := formsOf(t, with.Bundle)
	text, err := json.Marshal(forms[1].Data)
	if err != nil {
		t.Fatal(err)
	}
	if at := bytes.Index(with.Bundle, text); at < 0 {
		t.Fatal("no picture")
	}
	a, found := mapping.Read("with", with.Bundle)
	b, more := mapping.Read("without", without.Bundle)
	if len(found)+len(more) > 0 {
		t.Fatal(found, more)
	}
	a.Places, b.Places = record.Places{}, record.Places{}
	if diff := cmp.Diff(a, b); diff != "" {
		t.Errorf("with (-) and without (+) a picture:\n%s", diff)
	}
	again := chartedWithPictures(t, measure.English, "27-with-traces", nil)
	if !bytes.Equal(with.Bundle, again.Bundle) {
		t.Error("charted twice the bundle differs")
	}
}

func TestAReportWithAPicturePassesTheAuditInEveryForm(t *testing.T) {
	for _, w := range everyWay {
		r := chartedWithPictures(t, measure.English, "22-full", func(o *chart.Options) { o.Form, o.Mode, o.Curves = w.form, w.mode, true })
		name := "bundle.json"
		if w.form == mapping.NDJSON {
			name = "bundle.ndjson"
		}
		if !bytes.Contains(r.Bundle, []byte("image/svg+xml")) {
			t.Errorf("%s: no picture", w.name)
		}
		for _, f := range audit.CheckText(name, r.Bundle, w.form, audit.Options{}) {
			t.Errorf("%s: %s", w.name, f.Text(true))
		}
	}
}

func TestASessionWithoutRecordingsHasNoPicture(t *testing.T) {
	r := chartedWithPictures(t, measure.English, "01-plain-infant", nil)
	if forms, _ := formsOf(t, r.Bundle); len(forms) != 1 {
		t.Errorf("%d forms", len(forms))
	}
}
