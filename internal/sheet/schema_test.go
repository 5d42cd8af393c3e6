package sheet_test

import (
	"bytes"
	"flag"
	"os"
	"testing"

	"saltmark/internal/schema"
	"saltmark/internal/sheet"
)

var update = flag.Bool("update", false, "write files that are made by tests")

const published = "sheet.schema.json"

func TestThePublishedSchemaIsCurrent(t *testing.T) {
	want := sheet.Schema()
	if *update {
		if err := os.WriteFile(published, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(published)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not what the tables give; go generate makes it anew", published)
	}
	if _, err := schema.Compile(published, got); err != nil {
		t.Error(err)
	}
}
