package report

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"saltmark/internal/derive"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// sayBeside writes the table of what was computed from the curves beside what was
// reported. A value that is not there says why.
func sayBeside(b *strings.Builder, rows []derive.Beside) {
	if len(rows) == 0 {
		return
	}
	b.WriteString("From the curves, beside what the monitor reported (computed by this software, tested on simulated\ncirculations only; check against the monitor and the patient):\n")
	var table strings.Builder
	w := tabwriter.NewWriter(&table, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "  \treported\trecomputed\tstandard deviation\tdifference")
	var about record.Thing
	for i, r := range rows {
		if i == 0 || r.About != about {
			about = r.About
			fmt.Fprintf(w, "  %s\t\t\t\t\n", thingWords(about))
		}
		fmt.Fprintf(w, "    %s\t%s\t%s\t%s\t%s\n", wordsOfRow(r.Measure), shownBeside(r.Measure, r.Reported), markedBeside(r), quantityOrNone(r.Uncertainty), differenceOf(r))
	}
	w.Flush()
	for line := range strings.Lines(table.String()) {
		b.WriteString(strings.TrimRight(line, " \n") + "\n")
	}
}

func thingWords(about record.Thing) string {
	if about == record.TheSession {
		return "mean of the session"
	}
	return measure.KindWords(about.Kind, measure.English) + " " + about.Key
}

// wordsOfRow names a measure: in short where it has a short name.
func wordsOfRow(key string) string {
	m := measure.Get(key)
	if m.Listed() {
		return m.Brief.In(measure.English)
	}
	return m.WordsFor("", measure.English)
}

// markedBeside gives a recomputed value, with the doubt behind it.
func markedBeside(r derive.Beside) string {
	shown := shownBeside(r.Measure, r.Recomputed)
	if r.Doubtful {
		return shown + ", DOUBTFUL"
	}
	return shown
}

func shownBeside(key string, v record.Value) string {
	switch {
	case v.IsAbsent():
		reason, _ := measure.ReasonOf(v.Absent.Reason)
		return "- (" + reason.Words.In(measure.English) + ")"
	case v.Code != "":
		return measure.WordsOf(measure.Get(key).Values, v.Code, measure.English)
	}
	return quantityOrNone(v.Quantity)
}

func quantityOrNone(q record.Quantity) string {
	if q.Number == "" {
		return "-"
	}
	return q.String()
}

func differenceOf(r derive.Beside) string {
	switch number := r.Difference.Number; {
	case number == "":
		return "-"
	case strings.HasPrefix(number, "-"):
		return number + " %"
	default:
		return "+" + number + " %"
	}
}

// jsonBeside is a row of that table, in JSON: numbers as decimal text in the unit, codes
// of reasons where there is none.
type jsonBeside struct {
	About       string `json:"about"` // "injection 1", "session"
	Measure     string `json:"measure"`
	Unit        string `json:"unit,omitempty"`
	Reported    string `json:"reported,omitempty"`
	NotReported string `json:"notReported,omitempty"`
	Recomputed  string `json:"recomputed,omitempty"`
	Withheld    string `json:"withheld,omitempty"`
	Deviation   string `json:"standardDeviation,omitempty"`
	Difference  string `json:"differencePercent,omitempty"`
	Doubtful    bool   `json:"doubtful,omitempty"` // by a fault of the recording
}

func besideInJSON(rows []derive.Beside) []jsonBeside {
	var list []jsonBeside
	for _, r := range rows {
		about := string(r.About.Kind)
		if r.About.Key != "" {
			about += " " + r.About.Key
		}
		list = append(list, jsonBeside{
			About: about, Measure: r.Measure, Unit: measure.Get(r.Measure).Unit,
			Reported: r.Reported.Quantity.Number + r.Reported.Code, NotReported: r.Reported.Absent.Reason,
			Recomputed: r.Recomputed.Quantity.Number + r.Recomputed.Code, Withheld: r.Recomputed.Absent.Reason,
			Deviation: r.Uncertainty.Number, Difference: r.Difference.Number, Doubtful: r.Doubtful,
		})
	}
	return list
}
