// Command protos reads FHIR R4 JSON with the unmarshaller of github.com/google/fhir/go,
// validation on, and tells of every text that it refuses.
//
//	go run . [-told FILE] [-counts FILE] DISAGREEMENTS FILE-OR-FOLDER...
//
// DISAGREEMENTS is a table of refusals that are known, each with who is right and why:
// a pattern (RE2) of the whole message, and the reason. A line that excuses nothing is
// red, and so is a refusal that no line excuses. Of lines (.ndjson) each is read alone.
// With -told nothing is decided: file and message are written as a table.
package main

import (
	"bytes"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/google/fhir/go/fhirversion"
	"github.com/google/fhir/go/jsonformat"
)

func main() {
	told := flag.String("told", "", "write what was refused to `FILE`, and decide nothing")
	counts := flag.String("counts", "", "write what does not differ from run to run to `FILE`")
	flag.Parse()
	if flag.NArg() < 2 {
		fmt.Fprintln(os.Stderr, "usage: protos [-told FILE] [-counts FILE] DISAGREEMENTS FILE-OR-FOLDER...")
		os.Exit(2)
	}
	good, err := run(*told, *counts, flag.Arg(0), flag.Args()[1:])
	if err != nil {
		fmt.Fprintln(os.Stderr, "protos:", err)
		os.Exit(2)
	}
	if !good {
		os.Exit(1)
	}
}

// text is a resource: a file, or a line of one.
type text struct {
	name  string
	bytes []byte
}

func run(told, counts, list string, paths []string) (good bool, err error) {
	known, err := readKnown(list)
	if err != nil {
		return false, err
	}
	texts, err := gather(paths)
	if err != nil {
		return false, err
	}
	// A zone is wanted for times without one; ours have one.
	reader, err := jsonformat.NewUnmarshaller("UTC", fhirversion.R4)
	if err != nil {
		return false, err
	}
	var lines []string
	refused, excused := 0, 0
	began := time.Now()
	for _, t := range texts {
		message := refusal(reader, t.bytes)
		lines = append(lines, t.name+"\t"+message+"\n")
		switch {
		case message == "" || told != "":
		case known.excuse(message):
			excused++
		default:
			refused++
			fmt.Printf("%s: %s\n", t.name, message)
		}
	}
	took := time.Since(began)
	if told != "" {
		return true, os.WriteFile(told, []byte(strings.Join(lines, "")), 0o644)
	}
	unused := known.unused()
	for _, line := range unused {
		fmt.Printf("%s: excuses nothing: %s\n", list, line)
	}
	pace := fmt.Sprintf("%d bundles and lines in %.1f s, %.2f ms each, on one core\n", len(texts), took.Seconds(), took.Seconds()*1000/float64(len(texts)))
	fmt.Print("google/fhir/go: ", pace)
	fmt.Printf("protos: %d passed, %d failed\n", len(texts)-refused-excused, refused+len(unused))
	fmt.Printf("disagreements listed: %d\n", excused)
	if counts != "" {
		lines := fmt.Sprintf("texts\t%d\nread\t%d\nlisted\t%d\n", len(texts), len(texts)-refused-excused, excused)
		if err := os.WriteFile(counts, []byte(lines), 0o644); err != nil {
			return false, err
		}
		if err := os.WriteFile(filepath.Join(filepath.Dir(counts), "times.txt"), []byte(pace), 0o644); err != nil {
			return false, err
		}
	}
	return refused == 0 && len(unused) == 0, nil
}

// refusal gives why a text is refused, on one line; "" where it is read. The library
// panics at some broken texts, which is a refusal too.
func refusal(reader *jsonformat.Unmarshaller, text []byte) (message string) {
	defer func() {
		if p := recover(); p != nil {
			message = "it panics"
		}
	}()
	if _, err := reader.Unmarshal(text); err != nil {
		return strings.Join(strings.Fields(err.Error()), " ")
	}
	return ""
}

// gather reads files, and those of folders.
func gather(paths []string) ([]text, error) {
	var texts []text
	for _, path := range paths {
		err := filepath.WalkDir(path, func(file string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			whole, err := os.ReadFile(file)
			if err != nil {
				return err
			}
			switch filepath.Ext(file) {
			case ".json":
				texts = append(texts, text{filepath.Base(file), whole})
			case ".ndjson":
				for i, line := range slices.Collect(bytes.Lines(whole)) {
					texts = append(texts, text{fmt.Sprintf("%s line %d", filepath.Base(file), i+1), line})
				}
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
	}
	if len(texts) == 0 {
		return nil, fmt.Errorf("no .json or .ndjson in %s", strings.Join(paths, ", "))
	}
	return texts, nil
}
