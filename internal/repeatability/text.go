package repeatability

import (
	"fmt"
	"io"
	"strings"

	"saltmark/internal/report"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// How much of a long list is told.
const (
	mostNames  = 5
	mostShares = 3
	leastShare = 0.1 // below it a share is not worth telling
)

// WriteText tells a result to people.
func (r *Result) WriteText(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "How far %s scatters within one session\n\n", flowWords(r.Values))
	r.Group.write(&b, r.Test)
	r.writeGroups(&b)
	if left := r.leftOut(); left != "" {
		b.WriteString("\n" + left)
	}
	b.WriteString(explained)
	return writeLines(w, b.String())
}

// writeLines writes a text; what cannot be printed in it comes from the documents and is
// escaped.
func writeLines(w io.Writer, text string) error {
	var b strings.Builder
	for line := range strings.Lines(text) {
		b.WriteString(report.Escaped(strings.TrimSuffix(line, "\n")) + "\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// explained is the end of each text.
const explained = `
Variation: root of exp(s2) - 1, s2 being the variance of the logarithms of the flows
within sessions; its interval by chi-square. Precision of a mean: 2 variation/root n.
Least significant change: precision x root 2. Check before it goes into settings.
`

func flowWords(values record.Origin) string {
	if values == record.Recomputed {
		return "the flow recomputed from curves"
	}
	return "the flow reported by the monitor"
}

func (g Group) write(b *strings.Builder, test bool) {
	fmt.Fprintf(b, "From %s of %s, %s, with %s\n", report.Number(g.Sessions, "session"), report.Number(g.Patients, "patient"), g.period(), report.Number(g.Injections, "injection"))
	if test {
		b.WriteString("INVENTED TEST DATA: not for the settings under which patients are charted\n")
	}
	if g.Unverified > 0 {
		fmt.Fprintf(b, "%s not verified\n", report.Number(g.Unverified, "session"))
	}
	v := g.Variation
	fmt.Fprintf(b, "Variation: %s %% (95 %% interval %s to %s %%), %s\n", percent(v.Percent), percent(v.Low), percent(v.High), freedom(v.Freedom))
	g.writeDoubts(b)
	b.WriteString(columns)
	for _, n := range g.Replicates {
		fmt.Fprintf(b, "  %-10d  %10s %%  %15s %%  %14s %%\n", n.N, tenths(n.Precision), tenths(n.Change), tenths(n.Upper))
	}
	g.writeShares(b)
}

const columns = `
  injections  precision of  least significant  the same at the upper
  in a mean      that mean             change   end of the variation
`

func freedom(n int) string {
	if n == 1 {
		return "1 degree of freedom"
	}
	return fmt.Sprintf("%d degrees of freedom", n)
}

func (g Group) writeDoubts(b *strings.Builder) {
	switch v := g.Variation; {
	case v.Percent == 0:
		b.WriteString("All injections of a session are alike: they were copied, or rounded too far to tell.\n")
	case g.Few():
		fmt.Fprintf(b, "Few degrees of freedom: the variation may be %s times as large. Precision and\nchange take 2 where Student's factor is %s. How many are enough the site decides.\n", percent(v.High/v.Percent), percent(g.Student))
	}
}

func (g Group) writeShares(b *strings.Builder) {
	title := "\nLargest shares of the variation:\n"
	for _, s := range g.Largest[:min(mostShares, len(g.Largest))] {
		if s.Part < leastShare || g.Sessions <= mostShares {
			return
		}
		fmt.Fprintf(b, "%s  %3.0f %%  %s, %s\n", title, 100*s.Part, s.Session, report.Number(s.Injections, "injection"))
		title = ""
	}
}

// period says from when to when the sessions are.
func (g Group) period() string {
	first, last := day(g.First), day(g.Last)
	if first == last {
		return first
	}
	return first + " to " + last
}

func day(t record.Time) string { return string(t[:min(len(t), len("2006-01-02"))]) }

func (r *Result) writeGroups(b *strings.Builder) {
	if r.By == "" {
		return
	}
	fmt.Fprintf(b, "\nBy %s:\n", r.By)
	for _, g := range r.Groups {
		fmt.Fprintf(b, "  %s: ", named(g.Value))
		if g.Problem != nil {
			fmt.Fprintf(b, "no figure: %v\n", g.Problem)
			continue
		}
		v := g.Variation
		fmt.Fprintf(b, "%s %% (%s to %s %%), %s, %s", percent(v.Percent), percent(v.Low), percent(v.High), freedom(v.Freedom), report.Number(g.Sessions, "session"))
		if g.Few() {
			b.WriteString(": few")
		}
		b.WriteString("\n")
	}
}

func named(value string) string {
	if value == "" {
		return "not told"
	}
	return value
}

// WriteLeftOut tells people what does not count, and why.
func (r *Result) WriteLeftOut(w io.Writer) error { return writeLines(w, r.leftOut()) }

func (r *Result) leftOut() string {
	var b strings.Builder
	if len(r.LeftOut) > 0 {
		b.WriteString("Left out:\n")
	}
	for _, l := range r.LeftOut {
		fmt.Fprintf(&b, "  %d %s: %s\n", len(l.Names), l.Words, firstNames(l.Names))
	}
	var parts []string
	for _, c := range r.Excluded {
		parts = append(parts, fmt.Sprintf("%d for %s", c.N, measure.WordsOf("exclusion-cause", c.Cause, measure.English)))
	}
	if r.Unshown > 0 {
		parts = append(parts, fmt.Sprintf("%d without a flow%s", r.Unshown, whereFrom[r.Values]))
	}
	if len(parts) > 0 {
		fmt.Fprintf(&b, "Injections left out: %s\n", strings.Join(parts, ", "))
	}
	return b.String()
}

// whereFrom says where a flow of an origin would come from, as far as that is not plain.
var whereFrom = map[record.Origin]string{
	record.Recomputed: " (one stands in the bundle, or is computed\nfrom the curves that chart --curves wrote, unless a fault makes it doubtful)",
}

func firstNames(names []string) string {
	told := strings.Join(names[:min(mostNames, len(names))], ", ")
	if more := len(names) - mostNames; more > 0 {
		told += fmt.Sprintf(" and %d more", more)
	}
	return told
}

// percent gives a figure with two decimals, tenths with one.
func percent(x float64) string { return fmt.Sprintf("%.2f", x) }
func tenths(x float64) string  { return fmt.Sprintf("%.1f", x) }
