package main

import (
	"strings"
	"testing"

	"saltmark/internal/chart"
	"saltmark/internal/report"
)

// The run has no settings of a site, which no run of the program lacks.
func TestAFaultOfTheProgramFailsOneSheetAndItsWordsStayInside(t *testing.T) {
	e, _, stderr := trial()
	r := &chartRun{env: e, log: e.logger(), options: chart.Options{}}
	c := r.chart(input{name: plainSheet, path: plainSheet})
	if c.Name != plainSheet || c.bundle != nil || c.outcome() != report.Failed || stderr.Len() > 0 {
		t.Errorf("%+v, %s", c.Item, stderr)
	}
	if want := "a fault of this program stopped the work on " + plainSheet + "; please report it "; !strings.HasPrefix(c.Failure.Error(), want) || strings.Contains(c.Failure.Error(), "nil") {
		t.Errorf("%v", c.Failure)
	}
}

func TestTheLogTellsWhereAFaultWasAndNotWhatItSays(t *testing.T) {
	e, _, stderr := trial()
	if err := e.log.level.Set("debug"); err == nil {
		t.Fatal("the flags are not set up")
	}
	e.log.level = newChoice("debug", "debug")
	logFault(e.logger(), caught{"patient Ada", []byte("sheet.go:12")})
	if words := stderr.String(); !strings.Contains(words, "sheet.go:12") || !strings.Contains(words, "kind=string") || strings.Contains(words, "Ada") {
		t.Error(words)
	}
}
