package report

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"strings"

	"saltmark/internal/finding"
)

// The report of a run as JUnit XML, which build servers read. It has no published
// standard; the elements and attributes here are those that the common readers share.
// A document is a test case: a failure where findings stand against it, an error
// where it could not be worked on, skipped where the run did not come to it. Times
// are left out.

func (r *Run) testcase(i Item) ([]byte, error) {
	var b bytes.Buffer
	name := i.Name
	if i.Line > 0 {
		name = fmt.Sprintf("%s:%d", name, i.Line)
	}
	fmt.Fprintf(&b, "  <testcase classname=%s name=%s>\n", quoted("saltmark "+r.head.Command), quoted(name))
	switch {
	case i.Failure != nil:
		fmt.Fprintf(&b, "   <error type=\"failed\" message=%s/>\n", quoted(finding.Of(i.Failure).In(r.head.Language)))
	case r.fails(i):
		r.failure(&b, i)
	}
	if said := r.saidOf(i); said != "" {
		fmt.Fprintf(&b, "   <system-out>%s</system-out>\n", plain(said))
	}
	b.WriteString("  </testcase>\n")
	return b.Bytes(), nil
}

// failure holds the findings that count; its type is the rule of the first one.
func (r *Run) failure(b *bytes.Buffer, i Item) {
	var lines []string
	rule, message := "", ""
	for n, f := range i.Findings {
		if !r.isFailure(i, n) {
			continue
		}
		if rule == "" {
			rule, message = f.Rule, f.SentenceIn(r.head.Language, false)
		}
		lines = append(lines, f.TextIn(r.head.Language, false))
	}
	fmt.Fprintf(b, "   <failure type=%s message=%s>%s</failure>\n", quoted(rule), quoted(message), plain(strings.Join(lines, "\n")))
}

// isFailure tells whether a finding, by its number, makes a failure of its document.
func (r *Run) isFailure(i Item, n int) bool {
	return i.Findings[n].Severity >= r.head.FailOn && (!r.head.NewOnly || i.state(n) != Remaining)
}

// saidOf tells the rest: the session, its standing, and findings that do not count.
func (r *Run) saidOf(i Item) string {
	var lines []string
	if i.Session != "" {
		lines = append(lines, "session "+i.Session)
	}
	if i.Status != "" {
		lines = append(lines, "status "+string(i.Status))
	}
	if i.Flow != "" {
		lines = append(lines, "flow "+i.Flow)
	}
	for _, reason := range i.Held {
		lines = append(lines, "held "+codeAndWords(reason.Code, reason.Words))
	}
	if i.Written != "" {
		lines = append(lines, "file "+string(i.Written))
	}
	for n, f := range i.Findings {
		if !r.isFailure(i, n) {
			lines = append(lines, f.TextIn(r.head.Language, false))
		}
	}
	for _, a := range i.Accepted {
		lines = append(lines, fmt.Sprintf("%s (accepted by %s: %s)", a.Finding.TextIn(r.head.Language, false), a.By, a.Reason))
	}
	return strings.Join(lines, "\n")
}

func (r *Run) writeJUnit(w io.Writer, end End) error {
	var b bytes.Buffer
	name := quoted("saltmark " + r.head.Command)
	tests := r.tally.Documents() + len(end.Missed)
	b.WriteString(xml.Header)
	fmt.Fprintf(&b, "<testsuites name=%s tests=\"%d\" failures=\"%d\" errors=\"%d\">\n", name, tests, r.failed, r.tally.Count(Failed))
	fmt.Fprintf(&b, " <testsuite name=%s tests=\"%d\" failures=\"%d\" errors=\"%d\" skipped=\"%d\">\n", name, tests, r.failed, r.tally.Count(Failed), len(end.Missed))
	b.WriteString("  <properties>\n")
	for _, p := range [][2]string{
		{"version", r.head.Version}, {"measures-sha256", r.head.MeasuresHash}, {"settings-sha256", r.head.SettingsHash},
		{"fail-on", r.head.FailOn.String()}, {"stopped", end.Stopped.In(r.head.Language)},
	} {
		if p[1] != "" {
			fmt.Fprintf(&b, "   <property name=%s value=%s/>\n", quoted(p[0]), quoted(p[1]))
		}
	}
	if r.head.DryRun {
		b.WriteString("   <property name=\"dry-run\" value=\"yes\"/>\n")
	}
	for _, t := range r.head.Tables {
		fmt.Fprintf(&b, "   <property name=%s value=%s/>\n", quoted(t.Name+"-sha256"), quoted(t.SHA256))
	}
	for _, in := range end.Inputs {
		fmt.Fprintf(&b, "   <property name=%s value=%s/>\n", quoted("input "+in.Name), quoted("sha256:"+in.SHA256))
	}
	r.endProperties(&b, end)
	b.WriteString("  </properties>\n")
	var foot strings.Builder
	for _, missed := range end.Missed {
		fmt.Fprintf(&foot, "  <testcase classname=%s name=%s>\n   <skipped message=\"not reached\"/>\n  </testcase>\n", name, quoted(missed))
	}
	return r.around(w, b.String(), foot.String()+" </testsuite>\n</testsuites>\n")
}

// quoted gives the value of an attribute with its quotation marks.
func quoted(s string) string { return `"` + plainLine(s) + `"` }

// plain gives text for XML; the ends of lines stay.
func plain(s string) string {
	lines := strings.Split(s, "\n")
	for i, line := range lines {
		lines[i] = plainLine(line)
	}
	return strings.Join(lines, "\n")
}

// plainLine writes characters that cannot be printed, which XML forbids or a reader
// may mistake, as \u and their number.
func plainLine(s string) string {
	var b strings.Builder
	if err := xml.EscapeText(&b, []byte(Escaped(s))); err != nil {
		return "" // a strings.Builder takes everything
	}
	return b.String()
}

// endProperties tells what was accepted, compared and not judged.
func (r *Run) endProperties(b *bytes.Buffer, end End) {
	property := func(name, value string) {
		fmt.Fprintf(b, "   <property name=%s value=%s/>\n", quoted(name), quoted(value))
	}
	if s := end.Selection; s != nil {
		property("selection-sha256", s.SHA256)
		for _, line := range s.Suppressions {
			property(line.Name, fmt.Sprintf("%s: %d accepted, %d acknowledged; %s", line.Rule, line.Accepted, line.Acknowledged, line.Reason))
		}
		for _, f := range s.Findings {
			property("selection "+f.Rule, f.TextIn(r.head.Language, false))
		}
	}
	if base := end.Baseline; base != nil {
		property("baseline", fmt.Sprintf("%s: %d new, %d remaining, %d gone", base.Name, base.New, base.Remaining, len(base.Gone)))
	}
	for _, u := range end.Unchecked {
		property("not checked: "+u.Code, fmt.Sprintf("%d %s %s", u.Count, u.Words.In(r.head.Language), u.What))
	}
}
