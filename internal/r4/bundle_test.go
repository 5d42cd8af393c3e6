package r4_test

import (
	"strings"
	"testing"

	"github.com/samply/golang-fhir-models/fhir-models/fhir"

	"saltmark/internal/r4"
)

func TestBundleIsWrittenAsIfEntriesWereEncodedOneByOne(t *testing.T) {
	name := "a < b"
	device := fhir.Device{LotNumber: &name}
	request := &fhir.BundleEntryRequest{Method: fhir.HTTPVerbPOST, Url: "Device"}
	text, err := r4.Encode(device)
	if err != nil {
		t.Fatal(err)
	}
	url := "urn:uuid:1"
	want, err := r4.Encode(fhir.Bundle{Type: fhir.BundleTypeTransaction, Entry: []fhir.BundleEntry{{FullUrl: &url, Resource: text, Request: request}}})
	if err != nil {
		t.Fatal(err)
	}
	got, err := r4.EncodeBundle(fhir.Bundle{Type: fhir.BundleTypeTransaction}, []r4.Entry{{FullURL: url, Resource: device, Request: request}})
	if err != nil || string(got) != string(want) {
		t.Errorf("EncodeBundle gives %s, %v; want %s", got, err, want)
	}
}

func TestBundleRefusesAnEntryThatIsNoResource(t *testing.T) {
	_, err := r4.EncodeBundle(fhir.Bundle{Type: fhir.BundleTypeTransaction}, []r4.Entry{{Resource: "text"}})
	if err == nil || !strings.Contains(err.Error(), "entry 0") {
		t.Errorf("the error is %v", err)
	}
}
