package mapping_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"saltmark/internal/source"
	"saltmark/mapping"
	"saltmark/mapping/record"
)

var asLines = everything.In(mapping.NDJSON)

// numbered gives the plain session under another identifier.
func numbered(t *testing.T, n int) *record.Session {
	s := plain()
	s.ID = fmt.Sprintf("demo-2031-%04d", n)
	return settled(t, s, nil)
}

// sessionsIn reads a stream and gives what each reading is: the session, or the rules
// of its findings.
func sessionsIn(t *testing.T, stream string) []string {
	t.Helper()
	var all []string
	for reading, err := range mapping.ReadStream("stream.ndjson", strings.NewReader(stream)) {
		if err != nil {
			t.Fatal(err)
		}
		one := "none"
		if reading.Session != nil {
			one = reading.Session.ID
		}
		for _, f := range reading.Findings {
			one += " " + f.Rule
		}
		all = append(all, one)
	}
	return all
}

const foreignLine = `{"resourceType":"Observation","id":"x","status":"final","code":{"text":"x"}}`

func TestAStreamGivesEachOfItsSessions(t *testing.T) {
	one, two := string(write(t, numbered(t, 1), asLines)), string(write(t, numbered(t, 2), asLines))
	bundle := string(write(t, numbered(t, 3), everything))
	withoutProvenance := one[:strings.LastIndex(one, "\n")]
	broken := strings.Replace(one, `"status":"final"`, `"status":final`, 1)
	for _, test := range []struct {
		name, stream string
		want         []string
	}{
		{"nothing", "", nil},
		{"nothing of ours", foreignLine + "\n\n" + foreignLine, nil},
		{"one", one, []string{"demo-2031-0001"}},
		{"two, and blank lines", one + "\n\n" + two + "\n", []string{"demo-2031-0001", "demo-2031-0002"}},
		{"a bundle between", one + "\n" + bundle + "\n" + two, []string{"demo-2031-0001", "demo-2031-0003", "demo-2031-0002"}},
		{"others between", foreignLine + "\n" + one + "\n" + foreignLine, []string{"demo-2031-0001"}},
		{"an end without Provenance", withoutProvenance, []string{"demo-2031-0001 session-incomplete"}},
		{"a line that cannot be read", broken, []string{"demo-2031-0001 syntax"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			got := sessionsIn(t, test.stream)
			for i := range got { // of a broken session only the first rules are of interest
				if fields := strings.Fields(got[i]); len(fields) > 2 {
					slices.Sort(fields[1:])
					got[i] = fields[0] + " " + strings.Join(slices.Compact(slices.DeleteFunc(fields[1:], func(r string) bool {
						return !strings.Contains(test.want[min(i, len(test.want)-1)], r)
					})), " ")
				}
			}
			if diff := cmp.Diff(test.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// The places of findings are lines of the stream.
func TestWhatIsWrongInALineIsToldAtItsLine(t *testing.T) {
	text := "\n" + strings.Replace(string(write(t, numbered(t, 1), asLines)), `"status":"final"`, `"status":"registered"`, 1)
	line := 1 + strings.Count(text[:strings.Index(text, `"registered"`)], "\n")
	_, findings := mapping.Read("s.ndjson", []byte(text))
	if len(findings) == 0 || findings[0].Rule != "status-unknown" || findings[0].Place.Line != line || findings[0].Place.Pointer != "/status" {
		t.Errorf("%v, want one at line %d", findings, line)
	}
}

func TestReadWantsOneSession(t *testing.T) {
	one, two := write(t, numbered(t, 1), asLines), write(t, numbered(t, 2), asLines)
	if _, findings := mapping.Read("two.ndjson", slices.Concat(one, []byte("\n"), two)); len(findings) != 1 || findings[0].Rule != "session-several" {
		t.Error(findings)
	}
	if s, findings := mapping.Read("none.ndjson", []byte(foreignLine+"\n"+foreignLine)); s != nil || len(findings) != 1 || findings[0].Rule != "session-missing" {
		t.Error(s, findings)
	}
}

// Lines that never end, all of one session, are not held.
func TestASessionOfLinesWithoutEndIsCutOff(t *testing.T) {
	line := `{"resourceType":"Observation","identifier":[{"system":"s","value":"a/session/weight/stated"}],"x":"` + strings.Repeat("x", 1000) + `"}` + "\n"
	groups := 0
	for group, err := range mapping.Gather(source.Lines("s", io.LimitReader(endless(line), 100_000), source.ResourceLimits()), 5000) {
		if err != nil {
			t.Fatal(err)
		}
		if groups++; len(group) > 6 {
			t.Fatalf("%d lines are held", len(group))
		}
	}
	if groups < 10 {
		t.Errorf("%d groups", groups)
	}
}

type endless string

func (e endless) Read(p []byte) (int, error) { return copy(p, e), nil }

func TestAStreamThatBreaksOffSaysSo(t *testing.T) {
	text := write(t, numbered(t, 1), asLines)
	failing := io.MultiReader(bytes.NewReader(text[:len(text)-10]), failure{})
	var last error
	for _, err := range mapping.ReadStream("s.ndjson", failing) {
		last = err
	}
	if !errors.Is(last, errCable) {
		t.Errorf("the error is %v", last)
	}
}

var errCable = errors.New("somebody pulled the cable")

type failure struct{}

func (failure) Read([]byte) (int, error) { return 0, errCable }
