package source_test

import (
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"saltmark/internal/source"
)

func zipped(t *testing.T, text string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if _, err := z.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestCompressedTextsAreReadOrRefused(t *testing.T) {
	whole := zipped(t, "some text")
	spoiled := bytes.Clone(whole)
	spoiled[len(spoiled)-6] ^= 1 // of the checksum
	for _, row := range []struct {
		name, want string
		in         []byte
	}{
		{"whole", "some text", whole},
		{"two, one behind the other", "some textmore", append(bytes.Clone(whole), zipped(t, "more")...)},
		{"nothing", "the compressed text is no gzip stream, or was damaged", nil},
		{"a text", "the compressed text is no gzip stream, or was damaged", []byte(`{"a":1}`)},
		{"cut off in its head", "the compressed text ends before its end", whole[:5]},
		{"cut off", "the compressed text ends before its end", whole[:len(whole)-3]},
		{"a wrong checksum", "the compressed text is no gzip stream, or was damaged", spoiled},
		{"something behind it", "the compressed text is no gzip stream, or was damaged", append(bytes.Clone(whole), "more than a head has"...)},
		{"zeros that grow", "the compressed text grows to more than 300 times its size", zipped(t, strings.Repeat("0", 32<<20))},
	} {
		text, err := io.ReadAll(source.Expand(bytes.NewReader(row.in)))
		got := string(text)
		if err != nil {
			got = err.Error()
			var refused *source.Refusal
			if !errors.As(err, &refused) || refused.Finding("f").Place.File != "f" || refused.Finding("f").Rule == "" {
				t.Errorf("%s: %v is no finding", row.name, err)
			}
		}
		if got != row.want {
			t.Errorf("%s: %.80q, want %q", row.name, got, row.want)
		}
	}
}

// A disk that fails is no fault of the data.
func TestAnErrorOfReadingIsNoFaultOfTheData(t *testing.T) {
	broken := errors.New("the disk is gone")
	_, err := io.ReadAll(source.Expand(io.MultiReader(bytes.NewReader(zipped(t, "text")[:12]), iotest.ErrReader(broken))))
	if refused := (*source.Refusal)(nil); !errors.Is(err, broken) || errors.As(err, &refused) {
		t.Errorf("error %v", err)
	}
}

func TestEmptyLinesAreCountedHoweverManyThereAre(t *testing.T) {
	text := strings.Repeat("\n", 200_000) + "{}\n\r\n\n{}\n"
	var numbers []int
	for line, err := range source.Lines("n", strings.NewReader(text), source.ResourceLimits()) {
		if err != nil {
			t.Fatal(err)
		}
		numbers = append(numbers, line.Number)
	}
	if len(numbers) != 2 || numbers[0] != 200_001 || numbers[1] != 200_004 {
		t.Error(numbers)
	}
}
