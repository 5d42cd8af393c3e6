package repeatability

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math/big"
	"slices"

	"saltmark/internal/hemo"
	"saltmark/mapping/record"
)

// mostReplicates is up to how many injections in a mean the figures are told.
const mostReplicates = 4

// wide is the ratio of the upper end of its interval to a variation above which that is
// told to rest on few degrees of freedom: fewer than 48. Common practice, no source.
const wide = 1.25

// Result is what a pool comes to.
type Result struct {
	Values record.Origin
	Test   bool
	Group
	// By is the trait by which Groups are told apart, "" for none.
	By     string
	Groups []Group
	// LeftOut names sessions, or documents, by the reason why they do not count.
	LeftOut []LeftOut
	// Excluded counts injections by cause; Unshown those without a flow.
	Excluded []Count
	Unshown  int
}

// Group is what sessions that belong together come to.
type Group struct {
	Value                                      string // of the trait
	Sessions, Patients, Injections, Unverified int
	First, Last                                record.Time // starts of sessions
	// Variation is pooled; without degrees of freedom it is none.
	Variation  hemo.Variation
	Replicates []Replicates
	// Student is the factor that 2 stands for in the precision of a mean.
	Student float64
	// Problem is why there is no variation, nil where there is one.
	Problem error
	// Largest are the sessions with the largest shares of the variation.
	Largest []Share
}

// Replicates is what follows for the mean of n injections, in per cent; the upper
// change is that at the upper end of the interval of the variation.
type Replicates struct {
	N                        int
	Precision, Change, Upper float64
}

// Share is the part of a session in the variation, a fraction.
type Share struct {
	Session    string
	Injections int
	Part       float64
}

// LeftOut is what does not count for one reason.
type LeftOut struct {
	Reason, Words string
	Names         []string // sorted
}

// Count is a number of injections.
type Count struct {
	Cause string
	N     int
}

// ErrMixed says that test sessions stand beside those of patients.
var ErrMixed = errors.New("test sessions and sessions of patients are not pooled")

// Few tells whether the variation rests on few degrees of freedom.
func (g Group) Few() bool { return g.Variation.High > wide*g.Variation.Percent }

// HasFaults tells whether something does not count since its document is at fault.
func (r *Result) HasFaults() bool {
	return slices.ContainsFunc(r.LeftOut, func(l LeftOut) bool { return reason(l.Reason).isFault() })
}

// Result gives what the sessions come to. Without any that count it is an error; the
// result then tells what was left out.
func (p *Pool) Result() (*Result, error) {
	r := &Result{Values: p.options.values(), By: p.options.By}
	left := maps.Clone(p.leftOut)
	var counted []*held
	excluded := map[string]int{}
	for _, h := range p.sorted() {
		why := p.options.against(h)
		if why != "" {
			left[why] = append(slices.Clip(left[why]), h.id)
		}
		if why != "" && why != tooFew {
			continue
		}
		for cause, n := range h.excluded {
			excluded[cause] += n
		}
		r.Unshown += h.unshown
		if why == "" {
			counted = append(counted, h)
		}
	}
	r.tellLeftOut(left, excluded)
	if err := mixed(counted); err != nil {
		return r, err
	}
	if len(counted) == 0 {
		return r, errors.New("no session has two valid injections: there is nothing to pool")
	}
	return r, r.pool(counted)
}

// mixed refuses to pool test sessions with those of patients.
func mixed(counted []*held) error {
	tests := 0
	for _, h := range counted {
		if h.test {
			tests++
		}
	}
	if tests > 0 && tests < len(counted) {
		return fmt.Errorf("%w together: %d are test data, %d are not", ErrMixed, tests, len(counted)-tests)
	}
	return nil
}

func (r *Result) tellLeftOut(left map[reason][]string, excluded map[string]int) {
	for _, row := range reasons {
		if names := left[row.reason]; len(names) > 0 {
			r.LeftOut = append(r.LeftOut, LeftOut{string(row.reason), row.words, slices.Sorted(slices.Values(names))})
		}
	}
	for _, cause := range slices.Sorted(maps.Keys(excluded)) {
		r.Excluded = append(r.Excluded, Count{cause, excluded[cause]})
	}
}

// pool makes the figures of all sessions, and of each group.
func (r *Result) pool(counted []*held) (err error) {
	r.Test = counted[0].test
	if r.Group, err = groupOf("", counted); err != nil || r.By == "" {
		return err
	}
	apart := map[string][]*held{}
	for _, h := range counted {
		apart[h.traits[r.By]] = append(apart[h.traits[r.By]], h)
	}
	for _, value := range slices.Sorted(maps.Keys(apart)) {
		g, err := groupOf(value, apart[value])
		g.Problem = err
		r.Groups = append(r.Groups, g)
	}
	return nil
}

func groupOf(value string, sessions []*held) (Group, error) {
	g := Group{Value: value, Sessions: len(sessions)}
	patients := map[record.Reference]bool{}
	var flows [][]*big.Rat
	for _, h := range sessions {
		flows = append(flows, h.flows)
		patients[h.patient] = true
		g.Injections += len(h.flows)
		if !h.verified {
			g.Unverified++
		}
		if g.First == "" || h.start.Before(g.First) {
			g.First = h.start
		}
		if g.Last == "" || g.Last.Before(h.start) {
			g.Last = h.start
		}
	}
	g.Patients = len(patients)
	var err error
	if g.Variation, err = hemo.PooledVariation(flows); err != nil {
		return g, err
	}
	for i, h := range sessions {
		g.Largest = append(g.Largest, Share{h.id, len(h.flows), g.Variation.Shares[i]})
	}
	slices.SortStableFunc(g.Largest, func(a, b Share) int { return cmp.Compare(b.Part, a.Part) })
	if g.Student, err = hemo.StudentFactor(g.Variation.Freedom); err != nil {
		return g, err
	}
	return g, g.tellReplicates()
}

func (g *Group) tellReplicates() error {
	for n := 1; n <= mostReplicates; n++ {
		precision, err := hemo.PrecisionOfMean(g.Variation.Percent, n)
		if err != nil {
			return err
		}
		change, err := hemo.LeastSignificantChange(g.Variation.Percent, n)
		if err != nil {
			return err
		}
		upper, err := hemo.LeastSignificantChange(g.Variation.High, n)
		if err != nil {
			return err
		}
		g.Replicates = append(g.Replicates, Replicates{n, precision, change, upper})
	}
	return nil
}
