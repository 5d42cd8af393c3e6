package hemo

import (
	"fmt"
	"math/big"
	"slices"

	"saltmark/internal/finding"
)

// Outcome tells what replicate injections come to.
type Outcome uint8

// The outcomes. Mean, Spread and Entered of an Agreement depend on it.
const (
	// None: there is no value at all, or the input was refused (Err says why).
	None Outcome = iota
	// Single: one value. It is the mean; its precision is not known.
	Single
	// Agreed: one set is the largest in which every pair agrees. Its mean counts.
	Agreed
	// Tie: several sets are the largest and all of them share an injection. The
	// mean of all injections in them counts, and somebody must look at it.
	Tie
	// NoAgreement: no pair agrees, or the largest sets do not all share an
	// injection. There is no mean.
	NoAgreement
)

// String gives the outcome in words.
func (o Outcome) String() string {
	switch o {
	case None:
		return "no value"
	case Single:
		return "single injection"
	case Agreed:
		return "agreeing injections"
	case Tie:
		return "tied sets of injections"
	case NoAgreement:
		return "no agreeing pair"
	}
	return fmt.Sprintf("outcome %d", uint8(o))
}

// Agreement is what replicate injections come to. Indexes are those of the values
// given.
type Agreement struct {
	Outcome Outcome
	// Mean is the unrounded mean of the injections that entered; nil where the
	// outcome is None or NoAgreement.
	Mean *big.Rat
	// Spread is (largest - smallest)/Mean of the injections that entered, a
	// fraction; nil where fewer than two entered.
	Spread *big.Rat
	// Wide tells that Spread is at or above the tolerance. It can be so in a tie,
	// and in a large set too, since a pair is held against its own mean.
	Wide bool
	// Entered lists the injections that the mean is made of, ascending.
	Entered []int
	// Sets lists the largest sets in which every pair agrees, each ascending: none
	// where no pair agrees, more than one in a tie. With NoAgreement, more than one
	// set says that the injections fall apart into groups.
	Sets [][]int
	// NeedsThird tells that there are two values and they do not agree.
	NeedsThird bool
	// Err is why the input was refused.
	Err error
}

// Agree finds the injections of one session that agree. Two values agree when they
// differ by less than tolerance (a fraction above 0 and below 1) of their mean;
// all values must be above zero. Values and tolerance are compared exactly, so the
// decimals that were written decide at the limit.
//
// The rule (common practice, no source; the handling of ties is our own): one
// value stands alone; two that do not agree ask for a third; of more, the largest
// set in which every pair agrees gives the mean. Where several sets are equally
// large and one injection stands in all of them, the mean of all injections in
// them is taken and called a tie; where none stands in all of them, there is no
// mean, because to choose between groups would be to guess.
func Agree(values []*big.Rat, tolerance *big.Rat) Agreement {
	if err := checkReplicates(values, tolerance); err != nil {
		return Agreement{Err: err}
	}
	switch len(values) {
	case 0:
		return Agreement{}
	case 1:
		return Agreement{Outcome: Single, Mean: new(big.Rat).Set(values[0]), Entered: []int{0}}
	}
	a := Agreement{Sets: largestSets(values, tolerance)}
	a.NeedsThird = len(values) == 2 && len(a.Sets) == 0
	switch {
	case len(a.Sets) == 1:
		a.Outcome, a.Entered = Agreed, slices.Clone(a.Sets[0])
	case shareOne(a.Sets):
		a.Outcome, a.Entered = Tie, union(a.Sets)
	default:
		a.Outcome = NoAgreement
		return a
	}
	a.Mean, a.Spread = meanAndSpread(values, a.Entered)
	a.Wide = a.Spread.Cmp(tolerance) >= 0
	return a
}

func checkReplicates(values []*big.Rat, tolerance *big.Rat) error {
	if tolerance == nil {
		return finding.Refuse("the tolerance is missing; a fraction above 0 and below 1 is wanted")
	}
	if tolerance.Sign() <= 0 || tolerance.Cmp(big.NewRat(1, 1)) >= 0 {
		return finding.Refuse("the tolerance is {1}; a fraction above 0 and below 1 is wanted", shown(tolerance))
	}
	for i, v := range values {
		if v == nil || v.Sign() <= 0 {
			return finding.Refuse("value {1} of {2} is missing or not above 0", finding.Number(i+1), finding.Number(len(values)))
		}
	}
	return nil
}

// agrees tells whether two values differ by less than tolerance of their mean:
// 2 |a - b| < tolerance (a + b).
func agrees(a, b, tolerance *big.Rat) bool {
	difference := new(big.Rat).Sub(a, b)
	difference.Abs(difference).Mul(difference, big.NewRat(2, 1))
	limit := new(big.Rat).Add(a, b)
	return difference.Cmp(limit.Mul(limit, tolerance)) < 0
}

// largestSets gives every largest set, of at least two, in which every pair
// agrees. For values above zero a pair agrees when their ratio is below a bound,
// so a set agrees when its smallest and its largest do, and the largest sets are
// runs in order of size: one walk finds them.
func largestSets(values []*big.Rat, tolerance *big.Rat) [][]int {
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return values[i].Cmp(values[j]) })
	var sets [][]int
	longest, end := 2, 0
	for start := range order {
		for end < len(order) && agrees(values[order[start]], values[order[end]], tolerance) {
			end++
		}
		if end-start < longest {
			continue
		}
		if end-start > longest {
			longest, sets = end-start, nil
		}
		set := slices.Clone(order[start:end])
		slices.Sort(set)
		sets = append(sets, set)
	}
	slices.SortFunc(sets, slices.Compare)
	return sets
}

// shareOne tells whether one index stands in every set.
func shareOne(sets [][]int) bool {
	if len(sets) == 0 {
		return false
	}
	return slices.ContainsFunc(sets[0], func(i int) bool {
		for _, set := range sets[1:] {
			if !slices.Contains(set, i) {
				return false
			}
		}
		return true
	})
}

func union(sets [][]int) []int {
	all := slices.Concat(sets...)
	slices.Sort(all)
	return slices.Compact(all)
}

// meanAndSpread is of the values with the given indexes, at least one.
func meanAndSpread(values []*big.Rat, entered []int) (mean, spread *big.Rat) {
	smallest, largest, sum := values[entered[0]], values[entered[0]], new(big.Rat)
	for _, i := range entered {
		sum.Add(sum, values[i])
		if values[i].Cmp(smallest) < 0 {
			smallest = values[i]
		}
		if values[i].Cmp(largest) > 0 {
			largest = values[i]
		}
	}
	mean = sum.Quo(sum, new(big.Rat).SetInt64(int64(len(entered))))
	spread = new(big.Rat).Sub(largest, smallest)
	return mean, spread.Quo(spread, mean)
}
