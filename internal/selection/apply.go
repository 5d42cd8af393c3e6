package selection

import (
	"path"
	"path/filepath"
	"strings"
	"time"

	"saltmark/internal/finding"
	"saltmark/internal/report"
)

// Use counts what the suppressions of a selection did in a run. It is for one goroutine
// at a time.
type Use struct {
	of    *Selection
	today time.Time
	done  []count
}

type count struct{ accepted, acknowledged, expired int }

// NewUse begins a run on a day, of which only the date counts.
func NewUse(s *Selection, today time.Time) *Use {
	year, month, day := today.Date()
	return &Use{of: s, today: time.Date(year, month, day, 0, 0, 0, 0, time.UTC), done: make([]count, len(s.Suppressions))}
}

// Apply parts the findings of a document into those that stand, some of them
// acknowledged, and those that are accepted. The first suppression that fits a finding
// takes it; one past its day takes nothing.
func (u *Use) Apply(found finding.List) (stand finding.List, acknowledged map[int]report.Reasoned, accepted []report.Accepted) {
	if len(u.of.Suppressions) == 0 {
		return found, nil, nil
	}
	for _, f := range found {
		i, ok := u.first(f)
		if !ok {
			stand = append(stand, f)
			continue
		}
		s := u.of.Suppressions[i]
		why := report.Reasoned{By: u.of.Label(i), Reason: s.Reason}
		if s.Guarded && f.Severity == finding.Error {
			u.done[i].acknowledged++
			if acknowledged == nil {
				acknowledged = map[int]report.Reasoned{}
			}
			acknowledged[len(stand)] = why
			stand = append(stand, f)
			continue
		}
		u.done[i].accepted++
		accepted = append(accepted, report.Accepted{Finding: f, Reasoned: why})
	}
	return stand, acknowledged, accepted
}

// first finds the suppression that takes a finding.
func (u *Use) first(f finding.Finding) (int, bool) {
	for i := range u.of.Suppressions {
		s := &u.of.Suppressions[i]
		switch {
		case !s.fits(f):
		case u.expired(s):
			u.done[i].expired++
		default:
			return i, true
		}
	}
	return 0, false
}

func (u *Use) expired(s *Suppression) bool { return !s.Until.IsZero() && u.today.After(s.Until) }

func (s *Suppression) fits(f finding.Finding) bool {
	if s.Rule != f.Rule {
		return false
	}
	if s.File != "" {
		name := filepath.ToSlash(f.Place.File)
		if !strings.Contains(s.File, "/") {
			name = path.Base(name)
		}
		if !fits(s.File, name) {
			return false
		}
	}
	switch {
	case s.At == "":
		return true
	case strings.HasPrefix(s.At, "/"):
		return fits(s.At, f.Place.Pointer)
	}
	return fits(s.At, report.Expression(f))
}

// Counts tells what each suppression did, for a report.
func (u *Use) Counts() []report.Suppression {
	list := make([]report.Suppression, len(u.done))
	for i, n := range u.done {
		s := u.of.Suppressions[i]
		list[i] = report.Suppression{
			Name: u.of.Label(i), Rule: s.Rule, File: s.File, At: s.At, Reason: s.Reason, By: s.By,
			Accepted: n.accepted, Acknowledged: n.acknowledged, Expired: n.expired,
		}
		if !s.Until.IsZero() {
			list[i].Until = s.Until.Format(time.DateOnly)
		}
	}
	return list
}

// Findings tells of suppressions that did nothing, and of those that are past their day.
func (u *Use) Findings() finding.List {
	var found finding.List
	for i, n := range u.done {
		s := u.of.Suppressions[i]
		switch {
		case u.expired(&s):
			found = append(found, finding.New("suppression-expired", s.Place,
				finding.Say("the suppression held until {1}; {2} findings that it fits stand again", finding.Data(s.Until.Format(time.DateOnly)), finding.Number(n.expired)), "", "a later day with a reason that still holds, or no suppression"))
		case n.accepted+n.acknowledged == 0 && !u.of.Off[s.Rule]:
			found = append(found, finding.New("suppression-unused", s.Place, "the suppression fits no finding of this run", "", "patterns that fit, or no suppression"))
		}
	}
	found.Sort()
	return found
}
