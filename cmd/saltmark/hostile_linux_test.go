package main

import (
	"archive/tar"
	"bufio"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
)

// What a hostile document may cost, as a process of its own. The program alone takes
// less than a second of CPU and 100 MB (`make measure` holds it to that); the binary of
// the tests is larger, and a busy machine slower.
const (
	hostileCPU  = 4 * time.Second
	hostilePeak = 140 << 10 // KiB
)

// hostile is a document that was made to hurt a reader, and the rule that names it.
type hostile struct {
	name string // of the file
	rule string // "" where there is nothing to find, and only the cost counts
	make func(w io.Writer)
}

// text writes parts one after the other.
func text(parts ...string) func(io.Writer) {
	return func(w io.Writer) {
		for _, part := range parts {
			_, _ = io.WriteString(w, part) // a file that cannot be written to is seen when it is closed
		}
	}
}

// times writes a part n times, "§" in it being the number, with a mark between.
func times(n int, part, between string) func(io.Writer) {
	before, after, counted := strings.Cut(part, "§")
	return func(w io.Writer) {
		for i := range n {
			if i > 0 {
				_, _ = io.WriteString(w, between)
			}
			if counted {
				fmt.Fprint(w, before, i, after)
			} else {
				_, _ = io.WriteString(w, part)
			}
		}
	}
}

// all writes several one after the other.
func all(parts ...func(io.Writer)) func(io.Writer) {
	return func(w io.Writer) {
		for _, part := range parts {
			part(w)
		}
	}
}

// packed is gzip of what is written.
func packed(inner func(io.Writer)) func(io.Writer) {
	return func(w io.Writer) {
		z := gzip.NewWriter(w)
		inner(z)
		_ = z.Close() // see text
	}
}

// observation puts members into an Observation that is right without them.
func observation(inner func(io.Writer)) func(io.Writer) {
	return all(text(`{"resourceType":"Observation","status":"final","code":{"text":"x"},`), inner, text(`}`))
}

// inBundle puts entries into a bundle.
func inBundle(kind string, inner func(io.Writer)) func(io.Writer) {
	return all(text(`{"resourceType":"Bundle","type":"`+kind+`","entry":[`), inner, text(`]}`))
}

// hostileTexts are bombs and broken texts.
func hostileTexts() []hostile {
	patient := func(inner string) func(io.Writer) { return text(`{"resourceType":"Patient",` + inner + `}`) }
	return []hostile{
		{"nothing.json", "text-empty", text("")},
		{"blank.json", "text-empty", times(1_000_000, " \n", "")},
		{"zeros.json", "null-character", times(1_000_000, "\x00", "")},
		{"zero-in-text.json", "null-character", patient("\"id\":\"a\x00b\"")},
		{"zero-escaped.json", "null-character", patient(`"id":"a\u0000b"`)},
		{"zeros-escaped.json", "null-character", patient(`"id":"` + strings.Repeat(`\u0000`, 100_000) + `"`)},
		{"bom.json", "text-bom", text("\uFEFF{\"resourceType\":\"Patient\"}")},
		{"boms.json", "text-bom", times(100_000, "\uFEFF", "")},
		{"bom-in-lines.ndjson", "text-bom", text("{\"resourceType\":\"Patient\"}\n\uFEFF{\"resourceType\":\"Patient\"}\n")},
		{"utf16-little.json", "text-encoding", text("\xff\xfe{\x00}\x00")},
		{"utf16-big.json", "text-encoding", text("\xfe\xff\x00{\x00}")},
		{"utf32.json", "text-encoding", text("\xff\xfe\x00\x00{\x00\x00\x00")},
		{"utf16-unmarked.json", "null-character", text("{\x00\"\x00a\x00\"\x00:\x001\x00}\x00")},
		{"latin1.json", "text-encoding", patient("\"id\":\"\xe4\"")},
		{"overlong.json", "text-encoding", patient("\"id\":\"\xc0\xaf\"")},
		{"surrogate-raw.json", "text-encoding", patient("\"id\":\"\xed\xa0\x80\"")},
		{"beyond-unicode.json", "text-encoding", patient("\"id\":\"\xf5\x80\x80\x80\"")},
		{"cut-in-a-character.json", "text-encoding", text("{\"resourceType\":\"Patient\",\"id\":\"\xf0\x9f")},
		{"all-of-255.json", "text-encoding", times(1_000_000, "\xff", "")},
		{"half-a-pair.json", "escape", patient(`"id":"\ud800"`)},
		{"pair-turned.json", "escape", patient(`"id":"\udc00\ud800"`)},
		{"many-half-pairs.json", "escape", patient(`"id":"` + strings.Repeat(`\ud800`, 100_000) + `"`)},
		{"no-escape.json", "escape", patient(`"id":"\x41"`)},
		{"escape-cut.json", "escape", patient(`"id":"\u12"`)},
		{"line-break.json", "unclosed-text", patient("\"id\":\"a\nb\"")},
		{"control.json", "control-character", patient("\"id\":\"a\x01b\"")},
		{"carriage-returns.json", "line-end", times(1_000_000, "\r", "")},
		{"cut-object.json", "syntax", text(`{"resourceType":"Patient"`)},
		{"cut-text.json", "unclosed-text", text(`{"resourceType":"Pat`)},
		{"cut-list.json", "syntax", text(`{"resourceType":"Patient","name":[{`)},
		{"cut-number.json", "syntax", text(`{"resourceType":"Patient","x":1e`)},
		{"cut-name.json", "syntax", text(`{"resourceType"`)},
		{"cut-word.json", "syntax", text(`{"resourceType":"Patient","active":tru`)},
		{"two.json", "one-document", text(`{"resourceType":"Patient"}{"resourceType":"Patient"}`)},
		{"trailing.json", "one-document", text(`{"resourceType":"Patient"}]`)},
		{"trailing-zeros.json", "one-document", all(text(`{"resourceType":"Patient"}`), times(1_000_000, "\x00", ""))},
		{"comma.json", "syntax", text(`{"resourceType":"Patient",}`)},
		{"commas.json", "too-many-values", times(1_000_000, ",", "")},
		{"colons.json", "syntax", times(1_000_000, ":", "")},
		{"quotes.json", "one-document", times(1_000_000, `"`, "")},
		{"backslashes.json", "syntax", times(1_000_000, `\`, "")},
		{"single-quotes.json", "syntax", text(`{'resourceType':'Patient'}`)},
		{"comment.json", "syntax", text(`/* a */{"resourceType":"Patient"}`)},
		{"not-a-number.json", "number-form", patient(`"x":NaN`)},
		{"infinity.json", "number-form", patient(`"x":-Infinity`)},
		{"hexadecimal.json", "number-form", patient(`"x":0x10`)},
		{"leading-nought.json", "number-form", patient(`"x":01`)},
		{"plus.json", "number-form", patient(`"x":+1`)},
		{"point.json", "number-form", patient(`"x":.5`)},
		{"markup.json", "syntax", text(`<?xml version="1.0"?><Patient xmlns="http://hl7.org/fhir"/>`)},
		{"billion-laughs.json", "syntax", text(`<!DOCTYPE a [<!ENTITY b "b"><!ENTITY c "&b;&b;&b;&b;">]><a>&c;</a>`)},
		{"exponent.json", "number-size", patient(`"x":1e1000000`)},
		{"exponent-long.json", "number-size", patient(`"x":1e` + strings.Repeat("9", 1000))},
		{"exponent-small.json", "number-size", patient(`"x":1e-1000000`)},
		{"digits.json", "number-size", all(text(`{"resourceType":"Patient","x":`), times(5_000_000, "9", ""), text("}"))},
		{"decimals.json", "number-size", all(text(`{"resourceType":"Patient","x":0.`), times(5_000_000, "0", ""), text("1}"))},
		{"many-exponents.json", "number-size", all(text(`{"resourceType":"Patient","x":[`), times(100_000, "1e999999", ","), text("]}"))},
		{"open-lists.json", "nesting", times(10_000_000, "[", "")},
		{"open-objects.json", "nesting", times(2_000_000, `{"a":`, "")},
		{"lists.json", "nesting", all(times(1_000_000, "[", ""), times(1_000_000, "]", ""))},
		{"contained-deep.json", "nesting", all(text(`{"resourceType":"Patient","contained":`), times(10_000, `[{"resourceType":"Patient","contained":`, ""))},
		{"extensions-deep.json", "nesting", all(text(`{"resourceType":"Patient",`), times(10_000, `"extension":[{"url":"x",`, ""))},
		{"numbers.json", "too-many-values", all(text(`{"resourceType":"Patient","x":[`), times(10_000_000, "1", ","), text("]}"))},
		{"empty-objects.json", "too-many-values", inBundle("collection", times(2_000_000, "{}", ","))},
		{"empty-lists.json", "too-many-values", inBundle("collection", times(2_000_000, "[]", ","))},
		{"nulls.json", "too-many-values", inBundle("collection", times(2_000_000, "null", ","))},
		{"empty-texts.json", "too-many-values", inBundle("collection", times(2_000_000, `""`, ","))},
		{"a-million-names.json", "too-many-values", all(text(`{"resourceType":"Patient"`), times(1_000_000, `,"a§":1`, ""), text("}"))},
		{"a-million-names-alike.json", "too-many-values", all(text(`{"resourceType":"Patient"`), times(1_000_000, `,"a":1`, ""), text("}"))},
		{"names-alike.json", "duplicate-key", all(text(`{"resourceType":"Patient"`), times(900, `,"a":1`, ""), text("}"))},
		{"type-twice.json", "duplicate-key", text(`{"resourceType":"Patient","resourceType":"Device"}`)},
		{"name-escaped-twice.json", "duplicate-key", text(`{"resourceType":"Patient","id":"a","\u0069d":"b"}`)},
		{"a-long-name.json", "key-size", all(text(`{"resourceType":"Patient","`), times(5_000_000, "a", ""), text(`":1}`))},
		{"a-long-text.json", "schema-length", observation(all(text(`"note":[{"text":"`), times(33_000_000, "a", ""), text(`"}]`)))},
		{"too-long.json", "text-size", all(text(`{"resourceType":"Patient","id":"`), times(60_000_000, "a", ""), text(`"}`))},
		{"a-long-line.ndjson", "text-size", all(text("{\"resourceType\":\"Patient\"}\n{\"resourceType\":\""), times(60_000_000, "a", ""), text("\"}\n"))},
		{"endless-line.ndjson", "text-size", times(80_000_000, "[", "")},
		{"empty-lines.ndjson", "", times(20_000_000, "\n", "")},
		{"broken-lines.ndjson", "syntax", times(20_000, "{\n", "")},
		{"lines-alike.ndjson", "line-twice", times(5_000, "{\"resourceType\":\"Patient\",\"id\":\"a\"}\n", "")},
		{"list.json", "schema-type", text(`[{"resourceType":"Patient"}]`)},
		{"number.json", "schema-type", text(`1`)},
		{"null.json", "schema-null", text(`null`)},
		{"word.json", "schema-type", text(`"Patient"`)},
	}
}

// hostileArchives are compressed.
func hostileArchives() []hostile {
	return []hostile{
		{"no-gzip.json.gz", "compressed-broken", text("no gzip at all")},
		{"nothing.json.gz", "compressed-broken", text("")},
		{"head-alone.json.gz", "compressed-broken", text("\x1f\x8b\x08\x00\x00")},
		{"wrong-method.json.gz", "compressed-broken", text("\x1f\x8b\x07\x00\x00\x00\x00\x00\x00\xff\x00\x00\x00\x00")},
		{"garbage.json.gz", "compressed-broken", text("\x1f\x8b\x08\x00\x00\x00\x00\x00\x00\xff", strings.Repeat("\xaa", 1000))},
		{"bomb.json.gz", "compressed-growth", packed(times(2_000_000, strings.Repeat("0", 100), ""))},
		{"bomb-of-lines.ndjson.gz", "compressed-growth", packed(times(200_000_000, "\n", ""))},
		{"bomb-of-blanks.ndjson.gz", "compressed-growth", packed(times(2_000_000, strings.Repeat(" ", 100), ""))},
		{"bomb.tgz", "compressed-growth", packed(inArchive("a.json", 200<<20, times(2<<20, strings.Repeat("0", 100), "")))},
		{"bomb-in-bomb.json.gz", "text-encoding", packed(packed(times(2_000_000, "00000000", "")))},
		{"long-inside.json.gz", "text-size", packed(func(w io.Writer) { noise(w, 40<<20) })},
		{"no-archive.tgz", "compressed-broken", packed(text("no archive at all, but long enough for a block of one: ", strings.Repeat("x", 600)))},
		{"cut-archive.tgz", "compressed-broken", packed(text("a.json" + strings.Repeat("\x00", 94) + "0000600\x00"))},
	}
}

// inArchive is an archive of one file of a size.
func inArchive(name string, size int64, inner func(io.Writer)) func(io.Writer) {
	return func(w io.Writer) {
		a := tar.NewWriter(w)
		_ = a.WriteHeader(&tar.Header{Name: name, Mode: 0o600, Size: size, Typeflag: tar.TypeReg}) // see text
		inner(a)
		_ = a.Close()
	}
}

// noise writes digits that hardly shrink.
func noise(w io.Writer, n int) {
	x := uint32(1)
	line := make([]byte, 0, 4096)
	for n > 0 {
		line = line[:0]
		for range 4096 {
			x = x*1664525 + 1013904223
			line = append(line, '0'+byte(x>>28)%10)
		}
		_, _ = w.Write(line) // see text
		n -= len(line)
	}
}

// hostileShapes have wrong kinds of values everywhere, or far too many of them.
func hostileShapes() []hostile {
	ours := `{"resource":{"resourceType":"Observation","identifier":[{"system":"s","value":"a/injection-§/blood-flow/reported"}],"status":"final","code":{"coding":[{"system":"b/CodeSystem/measures","code":"blood-flow"}]}}}`
	list := []hostile{
		{"many-members.json", "more-findings", inBundle("collection", all(times(300, `{"resource":{"resourceType":"Patient","x":1}}`, ",")))},
		{"many-names-each.json", "", inBundle("collection", times(300, `{"resource":{"resourceType":"Device"`+manyMembers(900)+`}}`, ","))},
		{"many-entries.json", "too-many-values", inBundle("collection", times(200_000, "{}", ","))},
		{"many-contained.json", "more-findings", observation(all(text(`"contained":[`), times(20_000, `{"resourceType":"Device","id":"d§"}`, ","), text(`]`)))},
		{"contained-alike.json", "more-findings", observation(all(text(`"contained":[`), times(20_000, `{"resourceType":"Device","id":"d"}`, ","), text(`]`)))},
		{"many-units.json", "more-findings", observation(all(text(`"component":[`), times(10_000, `{"code":{"text":"x"},"valueQuantity":{"value":1,"system":"http://unitsofmeasure.org","code":"m§/mnu"}}`, ","), text(`]`)))},
		{"deep-unit.json", "unit-not-ucum", observation(text(`"valueQuantity":{"value":1,"system":"http://unitsofmeasure.org","code":"` + strings.Repeat("(", 100_000) + `"}`))},
		{"long-unit.json", "unit-not-ucum", observation(text(`"valueQuantity":{"value":1,"system":"http://unitsofmeasure.org","code":"` + strings.Repeat("m.", 100_000) + `"}`))},
		{"codes.json", "more-findings", observation(all(text(`"category":[{"coding":[`), times(50_000, `{"system":"http://loinc.org","code":"§-9"}`, ","), text(`]}]`)))},
		{"circle.json", "reference-cycle", inBundle("collection", times(5_000, `{"fullUrl":"urn:uuid:§","resource":{"resourceType":"Observation","status":"final","code":{"text":"x"},"derivedFrom":[{"reference":"urn:uuid:1"}]}}`, ","))},
		{"of-ours.json", "", inBundle("transaction", times(5_000, ours, ","))},
		{"narrative-wide.json", "", observation(all(text(`"text":{"status":"generated","div":"<div xmlns=\"http://www.w3.org/1999/xhtml\">`), times(200_000, "<b>x</b>", ""), text(`</div>"}`)))},
		{"narrative-deep.json", "narrative-unsafe", observation(all(text(`"text":{"status":"generated","div":"<div xmlns=\"http://www.w3.org/1999/xhtml\">`), times(200_000, "<b>", ""), text(`"}`)))},
		{"narrative-script.json", "narrative-unsafe", observation(text(`"text":{"status":"generated","div":"<div xmlns=\"http://www.w3.org/1999/xhtml\"><script>x</script></div>"}`))},
		{"narrative-entities.json", "narrative-unsafe", observation(all(text(`"text":{"status":"generated","div":"<div xmlns=\"http://www.w3.org/1999/xhtml\">`), times(100_000, "&a§;", ""), text(`</div>"}`)))},
		{"recording.json", "sampled-data-text", observation(all(text(`"valueSampledData":{"origin":{"value":0},"period":1,"dimensions":1,"data":"`), times(2_000_000, "X", " "), text(`"}`)))},
		{"recording-of-noise.json", "schema-length", observation(all(text(`"valueSampledData":{"origin":{"value":0},"period":1,"dimensions":1,"data":"`), func(w io.Writer) { noise(w, 5<<20) }, text(`"}`)))},
		{"bundles-in-bundles.json", "", text(strings.Repeat(`{"resourceType":"Bundle","type":"collection","entry":[{"resource":`, 15) + `{"resourceType":"Device"}` + strings.Repeat(`}]}`, 15))},
		{"unknown-type.json", "schema-resource-type", text(`{"resourceType":"` + strings.Repeat("A", 1_000_000) + `"}`)},
		{"type-of-number.json", "schema-resource-type", text(`{"resourceType":1}`)},
		{"no-type.json", "schema-resource-type", text(`{}`)},
		{"long-dates.json", "", observation(text(`"effectiveDateTime":"2031-02-30T` + strings.Repeat("0", 100_000) + `"`))},
	}
	for at, elements := range map[string][]string{
		"Patient":     {"id", "meta", "text", "identifier", "active", "name", "telecom", "gender", "birthDate", "deceasedBoolean", "address", "contact", "extension", "contained"},
		"Observation": {"status", "code", "subject", "effectiveDateTime", "valueQuantity", "component", "referenceRange", "hasMember"},
		"Bundle":      {"type", "entry", "link", "total", "timestamp", "signature"},
	} {
		for _, element := range elements {
			for kind, value := range map[string]string{"number": "1e20", "list": "[[]]", "object": `{"x":{}}`} {
				list = append(list, hostile{at + "-" + element + "-" + kind + ".json", "schema-", text(`{"resourceType":"` + at + `","` + element + `":` + value + `}`)})
			}
		}
	}
	return list
}

// manyMembers gives many members of an object.
func manyMembers(n int) string {
	var b strings.Builder
	times(n, `,"a§":1`, "")(&b)
	return b.String()
}

// costLine is what one run of the program cost, as the command "costof" prints it.
type costLine struct {
	File    string
	Exit    int
	CPU     time.Duration
	PeakKiB int64
}

// commandsOfTests are the commands that the binary of the tests has beside the program.
func commandsOfTests() map[string]func() { return map[string]func(){"costof": costOfEach} }

// costOfEach runs the audit on each file and prints the cost. It is a process of its own,
// for a process begins with the peak of the one that started it.
func costOfEach() {
	program := os.Args[1]
	for _, file := range os.Args[2:] {
		out, err := os.Create(file + ".out")
		if err != nil {
			panic(err)
		}
		cmd := exec.Command(program, "audit", "--findings", "json-lines", file)
		cmd.Stdout, cmd.Stderr = out, out
		_ = cmd.Run() // how it ended is in its state
		line := costLine{File: file, Exit: cmd.ProcessState.ExitCode(), CPU: cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()}
		line.PeakKiB = cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss
		_ = json.NewEncoder(os.Stdout).Encode(line)
		_ = out.Close()
	}
}

// hostileCorpus gives all of them by name.
func hostileCorpus() []hostile {
	corpus := slices.Concat(hostileTexts(), hostileArchives(), hostileShapes())
	slices.SortFunc(corpus, func(a, b hostile) int { return strings.Compare(a.name, b.name) })
	return corpus
}

// TestHostileDocumentsAreNamedSoonAndSmall runs the program on each.
func TestHostileDocumentsAreNamedSoonAndSmall(t *testing.T) {
	corpus := hostileCorpus()
	if len(corpus) < 100 {
		t.Fatalf("%d documents", len(corpus))
	}
	if testing.Short() { // some of each kind
		var some []hostile
		for i := 0; i < len(corpus); i += 20 {
			some = append(some, corpus[i])
		}
		corpus = some
	}
	own, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	checkHostile(t, corpus, linked(t, own, "saltmark"), linked(t, own, "costof"), hostileCPU, hostilePeak)
}

// linked gives the binary of the tests under the name of a command.
func linked(t *testing.T, program, name string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.Symlink(program, path); err != nil {
		t.Fatal(err)
	}
	return path
}

// checkHostile writes the corpus, runs the program on it, and looks at findings and cost.
func checkHostile(t *testing.T, corpus []hostile, program, costof string, mostCPU time.Duration, mostKiB int64) {
	t.Helper()
	folder := t.TempDir()
	args := []string{program}
	for _, h := range corpus {
		path := filepath.Join(folder, h.name)
		file, err := os.Create(path)
		if err != nil {
			t.Fatal(err)
		}
		w := bufio.NewWriter(file)
		h.make(w)
		if err := w.Flush(); err != nil {
			t.Fatal(err)
		}
		if err := file.Close(); err != nil {
			t.Fatal(err)
		}
		args = append(args, path)
	}
	out, err := exec.Command(costof, args...).Output()
	if err != nil {
		t.Fatal(err)
	}
	decoder := json.NewDecoder(strings.NewReader(string(out)))
	var slowest, largest costLine
	for _, h := range corpus {
		var cost costLine
		if err := decoder.Decode(&cost); err != nil {
			t.Fatal(err)
		}
		rules := rulesIn(t, cost.File+".out")
		if h.rule != "" && !slices.ContainsFunc(rules, func(rule string) bool {
			return rule == h.rule || strings.HasSuffix(h.rule, "-") && strings.HasPrefix(rule, h.rule)
		}) {
			t.Errorf("%s: %q are found, %s is wanted", h.name, rules[:min(len(rules), 6)], h.rule)
		}
		if slices.Contains(rules, "audit-stopped") || cost.Exit != 0 && cost.Exit != 1 {
			t.Errorf("%s: exit code %d, %q", h.name, cost.Exit, rules[:min(len(rules), 6)])
		}
		if cost.CPU > mostCPU || cost.PeakKiB > mostKiB {
			t.Errorf("%s: %v of CPU, %d MB", h.name, cost.CPU, cost.PeakKiB>>10)
		}
		if cost.CPU > slowest.CPU {
			slowest = cost
		}
		if cost.PeakKiB > largest.PeakKiB {
			largest = cost
		}
	}
	t.Logf("%d documents; the slowest %s: %v of CPU; the largest %s: %d MB",
		len(corpus), filepath.Base(slowest.File), slowest.CPU, filepath.Base(largest.File), largest.PeakKiB>>10)
}

// rulesIn gives the rules of findings in JSON lines.
func rulesIn(t *testing.T, file string) []string {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var rules []string
	for decoder := json.NewDecoder(f); ; {
		var one struct{ Rule string }
		if err := decoder.Decode(&one); err != nil {
			return rules // its end, or words that are no finding
		}
		rules = append(rules, one.Rule)
	}
}
