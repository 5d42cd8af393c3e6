package report

import (
	"fmt"
	"io"
	"strings"
	"time"

	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// Course is what the words at the end need to know of the run besides what was
// counted.
type Course struct {
	Given  int           // how many documents there were to work on
	Took   time.Duration // the whole run
	DryRun bool
}

// Closing writes the words at the end of a run over sheets: how many came to what,
// and where there were several, which flows their numbers stand for, what was
// withheld and why, what stood against those that were refused, and the pace.
func (t *Tally) Closing(w io.Writer, o Course) error {
	var b strings.Builder
	given := o.Given
	if o.DryRun {
		b.WriteString("Dry run: nothing was written.\n")
	}
	fmt.Fprintf(&b, "%s: %d charted, %d refused, %d not read or written\n",
		t.reached(given, "sheet"), t.Count(Charted), t.Count(Refused), t.Count(Failed))
	t.sayStandings(&b)
	t.sayFiles(&b, o.DryRun)
	t.sayCurves(&b, given, "sheet")
	if given > 1 {
		sayCounts(&b, "The flow is:", "  %d %s\n", t.flows, func(code string, c *count) []any {
			return []any{c.documents, wordsOfFlow(code)}
		})
		sayCounts(&b, "Withheld or missing:", "  %s, %s, %s\n", t.withheld, func(code string, c *count) []any {
			return []any{Number(c.documents, "sheet"), Number(c.values, "value"), codeAndWords(code, c.words)}
		})
		t.sayErrors(&b, "Refused, by rule:")
		t.sayPace(&b, "sheet", o.Took)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// AuditCourse is what the words at the end of an audit need to know besides.
type AuditCourse struct {
	Took      time.Duration
	Selection *Selection
	Baseline  *Baseline
}

// ClosingOfAudit is the same for a run that judges documents. Their number is not
// known before.
func (t *Tally) ClosingOfAudit(w io.Writer, o AuditCourse) error {
	var b strings.Builder
	judged := t.Count(Passed) + t.Count(Faulty)
	fmt.Fprintf(&b, "%s judged: %d with errors; %s not read\n", Number(judged, "document"), t.Count(Faulty), Number(t.Count(Failed), "file"))
	t.sayCurves(&b, t.Documents(), "document")
	o.sayKnown(&b, t)
	if judged > 1 {
		t.sayErrors(&b, "With errors, by rule:")
		t.sayPace(&b, "document", o.Took)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// sayKnown tells what was accepted, acknowledged, not applied, and what an earlier
// report had.
func (o AuditCourse) sayKnown(b *strings.Builder, t *Tally) {
	if s := o.Selection; s != nil {
		fmt.Fprintf(b, "By %s: %s accepted, %d acknowledged and standing; %s not applied\n",
			Escaped(s.Name), Number(t.accepted, "finding"), t.acknowledged, Number(len(s.Off), "rule"))
	}
	if base := o.Baseline; base != nil {
		fmt.Fprintf(b, "Beside %s: %s new, %d remaining, %d gone\n", Escaped(base.Name), Number(base.New, "finding"), base.Remaining, len(base.Gone))
	}
}

// reached says how many documents there were, and how far the work came.
func (t *Tally) reached(given int, thing string) string {
	if done := t.Documents(); done < given {
		return fmt.Sprintf("%d of %s", done, Number(given, thing))
	}
	return Number(given, thing)
}

// sayStandings lists how many reports have which standing, and of those that are
// held back why; a report may have several reasons.
func (t *Tally) sayStandings(b *strings.Builder) {
	for _, s := range standings {
		c := t.statuses[string(s.status)]
		if c == nil {
			continue
		}
		fmt.Fprintf(b, "  %d %s\n", c.documents, s.words)
		if s.status == record.Preliminary {
			sayCounts(b, "", "    %d %s\n", t.held, func(code string, c *count) []any {
				return []any{c.documents, codeAndWords(code, c.words)}
			})
		}
	}
}

// standings explains the standing of a report, in the order of its life.
var standings = []struct {
	status record.Status
	words  string
}{
	{record.Partial, "partial: not verified"},
	{record.Preliminary, "preliminary: verified, but held back until more is known"},
	{record.Final, "final"},
	{record.Amended, "amended"},
	{record.Corrected, "corrected"},
	{record.Cancelled, "cancelled: never measured"},
	{record.EnteredInError, "withdrawn"},
}

// sayFiles tells what became of the files.
func (t *Tally) sayFiles(b *strings.Builder, dry bool) {
	var parts []string
	for _, what := range []Written{New, Replaced, Unchanged} {
		if n := t.files[what]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, what))
		}
	}
	if len(parts) == 0 {
		return
	}
	verb := "Files:"
	if dry {
		verb = "Files as they would be:"
	}
	fmt.Fprintf(b, "%s %s\n", verb, strings.Join(parts, ", "))
}

// sayCurves shows what was computed from the curves of a single document; of several it
// says where that is to be found.
func (t *Tally) sayCurves(b *strings.Builder, documents int, thing string) {
	switch {
	case t.curves == 0:
	case documents == 1:
		sayBeside(b, t.beside)
	default:
		fmt.Fprintf(b, "Computed from curves: %s; --report FILE.json has the numbers of each\n", Number(t.curves, thing))
	}
}

// mostRules is how many rules the words at the end name.
const mostRules = 12

// sayErrors lists the rules that stand against documents, those of the most
// documents first, and the first few places of each.
func (t *Tally) sayErrors(b *strings.Builder, title string) {
	if len(t.errors) == 0 {
		return
	}
	fmt.Fprintln(b, title)
	rules := t.errors.worstFirst()
	for _, rule := range rules[:min(len(rules), mostRules)] {
		fmt.Fprintf(b, "  %d %s%s\n", t.errors[rule].documents, rule, t.errors[rule].where())
	}
	if more := len(rules) - mostRules; more > 0 {
		fmt.Fprintf(b, "  and %s more\n", Number(more, "rule"))
	}
}

// where names the first few places, and how many documents have others.
func (c *count) where() string {
	if len(c.places) == 0 {
		return ""
	}
	s := ": " + strings.Join(c.places, ", ")
	if more := c.documents - len(c.places); more > 0 {
		s += fmt.Sprintf(" and %d more", more)
	}
	return s
}

// sayPace tells how long the run took and how long a document took. A clock that
// stands still tells nothing.
func (t *Tally) sayPace(b *strings.Builder, thing string, took time.Duration) {
	if took <= 0 || t.pace.n == 0 {
		return
	}
	fmt.Fprintf(b, "%s in %s, %s a second; half of them within %s each, 95 of 100 within %s, the slowest in %s\n",
		Number(t.pace.n, thing), inShort(took), rate(float64(t.pace.n)/took.Seconds()),
		inShort(t.pace.within(50)), inShort(t.pace.within(95)), inShort(t.pace.longest))
}

// rate is a number with three digits.
func rate(perSecond float64) string {
	if perSecond >= 100 {
		return fmt.Sprintf("%.0f", perSecond)
	}
	return fmt.Sprintf("%.3g", perSecond)
}

// inShort gives a time with about three digits and a unit that fits.
func inShort(d time.Duration) string {
	switch {
	case d >= 10*time.Minute:
		return fmt.Sprintf("%.0f min", d.Minutes())
	case d >= time.Second:
		return fmt.Sprintf("%.3g s", d.Seconds())
	}
	return fmt.Sprintf("%.3g ms", float64(d)/float64(time.Millisecond))
}

func sayCounts(b *strings.Builder, title, line string, c counts, arguments func(string, *count) []any) {
	if len(c) > 0 && title != "" {
		fmt.Fprintln(b, title)
	}
	for _, code := range c.worstFirst() {
		fmt.Fprintf(b, line, arguments(code, c[code])...)
	}
}

// wordsOfFlow gives the words of a label by its code.
func wordsOfFlow(code string) string {
	label, _ := measure.LabelOf(code, "")
	return label.Words(measure.English)
}

func codeAndWords(code, words string) string {
	if words == "" {
		return code
	}
	return code + ": " + words
}

// Number gives a number of things in words: "1 sheet", "2 sheets".
func Number(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
