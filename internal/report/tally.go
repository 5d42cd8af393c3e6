package report

import (
	"time"

	"saltmark/internal/derive"
	"saltmark/internal/finding"
	"saltmark/mapping/measure"
)

// Tally counts what became of the documents of a run. What it holds does not grow
// with their number. The zero value is empty.
type Tally struct {
	outcomes map[Outcome]int
	findings map[finding.Severity]int
	files    map[Written]int
	statuses counts
	flows    counts
	held     counts
	withheld counts
	errors   counts // by rule
	rules    map[string]ruleCount
	pace     pace
	// Findings that were accepted or acknowledged, and flows that were relabelled.
	accepted, acknowledged, relabelled int

	curves int             // documents with something computed from curves
	beside []derive.Beside // of the first of them
}

// Add counts a document, and how long the work on it took.
func (t *Tally) Add(i Item, took time.Duration) {
	if t.outcomes == nil {
		*t = Tally{
			outcomes: map[Outcome]int{}, findings: map[finding.Severity]int{}, files: map[Written]int{},
			statuses: counts{}, flows: counts{}, held: counts{}, withheld: counts{}, errors: counts{}, rules: map[string]ruleCount{},
		}
	}
	t.outcomes[i.Outcome]++
	if len(i.Beside) > 0 {
		if t.curves++; t.curves == 1 {
			t.beside = i.Beside
		}
	}
	if i.Outcome != Failed {
		t.pace.add(took)
	}
	t.addRules(i.Findings)
	t.accepted += len(i.Accepted)
	t.acknowledged += len(i.Acknowledged)
	t.relabelled += i.Relabelled
	switch i.Outcome {
	case Charted:
		t.addCharted(i)
	case Refused:
		t.addErrors(i.Findings)
	case Passed, Faulty:
		t.addErrors(i.Findings)
		if i.Status != "" {
			t.addCharted(i)
		}
	}
}

func (t *Tally) addCharted(i Item) {
	t.statuses.of(string(i.Status)).documents++
	if i.Written != "" {
		t.files[i.Written]++
	}
	if i.Flow != "" {
		t.flows.of(i.Flow).documents++
	}
	for _, r := range i.Held {
		c := t.held.of(r.Code)
		c.documents++
		c.words = r.Words
	}
	for reason, n := range i.Withheld {
		c := t.withheld.of(reason)
		c.documents++
		c.values += n
		if known, ok := measure.ReasonOf(reason); ok {
			c.words = known.Words.In(measure.English)
		}
	}
}

// ruleCount is how often a rule was broken.
type ruleCount struct {
	severity            finding.Severity // the gravest
	findings, documents int
}

func (t *Tally) addRules(found finding.List) {
	seen := make(map[string]bool, min(len(found), 16))
	for _, f := range found {
		t.findings[f.Severity]++
		c := t.rules[f.Rule]
		c.severity = max(c.severity, f.Severity)
		c.findings++
		if !seen[f.Rule] {
			seen[f.Rule] = true
			c.documents++
		}
		t.rules[f.Rule] = c
	}
}

// addErrors counts a document once for each rule that stands against it.
func (t *Tally) addErrors(found finding.List) {
	seen := map[string]bool{}
	for _, f := range found {
		if f.Severity != finding.Error || seen[f.Rule] {
			continue
		}
		seen[f.Rule] = true
		c := t.errors.of(f.Rule)
		c.documents++
		if place := f.Place.String(); place != "" && len(c.places) < mostPlaces {
			c.places = append(c.places, Escaped(place))
		}
	}
}

// Count gives the number of documents of an outcome.
func (t *Tally) Count(o Outcome) int { return t.outcomes[o] }

// Documents gives the number of all documents counted.
func (t *Tally) Documents() int {
	n := 0
	for _, of := range t.outcomes {
		n += of
	}
	return n
}
