package hemo_test

import (
	"math/big"
	"math/bits"
	"slices"
	"strings"
	"testing"

	"saltmark/internal/hemo"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func flows(t testing.TB, text string) []*big.Rat {
	t.Helper()
	var values []*big.Rat
	for _, f := range strings.Fields(text) {
		values = append(values, rat(t, f))
	}
	return values
}

// The table is our own; the rule is common practice without a source.
func TestReplicatesComeToWhatTheRuleSays(t *testing.T) {
	for _, c := range []struct {
		name, values string
		outcome      hemo.Outcome
		mean, spread string // exact; "" where there is none
		entered      []int
		sets         [][]int
		third, wide  bool
	}{
		{name: "nothing", values: ""},
		{name: "one", values: "0.610", outcome: hemo.Single, mean: "0.610", entered: []int{0}},
		{name: "two alike", values: "0.610 0.610", outcome: hemo.Agreed, mean: "0.610", spread: "0", entered: []int{0, 1}, sets: [][]int{{0, 1}}},
		{name: "two that agree", values: "0.598 0.622", outcome: hemo.Agreed, mean: "0.610", spread: "24/610", entered: []int{0, 1}, sets: [][]int{{0, 1}}},
		{name: "two a hair below the limit", values: "0.95 1.0499", outcome: hemo.Agreed, mean: "0.99995", spread: "999/9999.5", entered: []int{0, 1}, sets: [][]int{{0, 1}}},
		{name: "two exactly at the limit", values: "0.95 1.05", outcome: hemo.NoAgreement, third: true},
		{name: "two exactly at the limit, larger first", values: "1.05 0.95", outcome: hemo.NoAgreement, third: true},
		{name: "two a hair above the limit", values: "0.95 1.0501", outcome: hemo.NoAgreement, third: true},
		{name: "three that agree", values: "1.00 1.04 1.02", outcome: hemo.Agreed, mean: "1.02", spread: "4/102", entered: []int{0, 1, 2}, sets: [][]int{{0, 1, 2}}},
		{name: "three, the second stands apart", values: "1.00 1.30 1.04", outcome: hemo.Agreed, mean: "1.02", spread: "4/102", entered: []int{0, 2}, sets: [][]int{{0, 2}}},
		{name: "three, first and last exactly at the limit", values: "0.95 1.00 1.05", outcome: hemo.Tie, mean: "1", spread: "0.1", entered: []int{0, 1, 2}, sets: [][]int{{0, 1}, {1, 2}}, wide: true},
		{name: "three, tied around the first", values: "1.00 0.93 1.07", outcome: hemo.Tie, mean: "1", spread: "0.14", entered: []int{0, 1, 2}, sets: [][]int{{0, 1}, {0, 2}}, wide: true},
		{name: "three, tied, the mean above the middle", values: "0.950 1.049 1.05", outcome: hemo.Tie, mean: "3049/3000", spread: "300/3049", entered: []int{0, 1, 2}, sets: [][]int{{0, 1}, {1, 2}}},
		{name: "three without a pair", values: "1.0 1.2 1.5", outcome: hemo.NoAgreement},
		{name: "three, each exactly at the limit of the next", values: "361 399 441", outcome: hemo.NoAgreement},
		{name: "four that agree", values: "2.00 2.01 2.02 2.03", outcome: hemo.Agreed, mean: "2.015", spread: "30/2015", entered: []int{0, 1, 2, 3}, sets: [][]int{{0, 1, 2, 3}}},
		{name: "four, three agree", values: "2.00 2.01 3.00 2.03", outcome: hemo.Agreed, mean: "604/300", spread: "9/604", entered: []int{0, 1, 3}, sets: [][]int{{0, 1, 3}}},
		{name: "four in two pairs apart", values: "1.00 1.50 1.02 1.53", outcome: hemo.NoAgreement, sets: [][]int{{0, 2}, {1, 3}}},
		{name: "four in a chain of pairs", values: "1.00 1.08 1.16 1.25", outcome: hemo.NoAgreement, sets: [][]int{{0, 1}, {1, 2}, {2, 3}}},
		{name: "four, two sets of three", values: "0.94 0.99 1.01 1.06", outcome: hemo.Tie, mean: "1", spread: "0.12", entered: []int{0, 1, 2, 3}, sets: [][]int{{0, 1, 2}, {1, 2, 3}}, wide: true},
		{name: "four, a tie and one apart", values: "0.93 1.00 1.07 2.00", outcome: hemo.Tie, mean: "1", spread: "0.14", entered: []int{0, 1, 2}, sets: [][]int{{0, 1}, {1, 2}}, wide: true},
		{name: "four without a pair", values: "1 1.2 1.5 1.9", outcome: hemo.NoAgreement},
		{name: "five, three sets of three share the middle", values: "0.90 0.95 0.99 1.035 1.08", outcome: hemo.Tie, mean: "0.991", spread: "180/991", entered: []int{0, 1, 2, 3, 4}, sets: [][]int{{0, 1, 2}, {1, 2, 3}, {2, 3, 4}}, wide: true},
		{name: "five, three against two", values: "1.00 1.50 1.02 1.53 1.01", outcome: hemo.Agreed, mean: "1.01", spread: "2/101", entered: []int{0, 2, 4}, sets: [][]int{{0, 2, 4}}},
		{name: "large set wide against its own mean", values: "1.00 1.00 1.00 1.00 1.00 1.105", outcome: hemo.Agreed, mean: "6.105/6", spread: "630/6105", entered: []int{0, 1, 2, 3, 4, 5}, sets: [][]int{{0, 1, 2, 3, 4, 5}}, wide: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := hemo.Agree(flows(t, c.values), rat(t, "0.10"))
			want := hemo.Agreement{
				Outcome: c.outcome, Mean: quotient(t, c.mean), Spread: quotient(t, c.spread), Wide: c.wide,
				Entered: c.entered, Sets: c.sets, NeedsThird: c.third,
			}
			if diff := cmp.Diff(want, got, cmp.Comparer(equal)); diff != "" {
				t.Errorf("want -, got +:\n%s", diff)
			}
		})
	}
}

// quotient reads "a/b" with decimals on both sides.
func quotient(t testing.TB, text string) *big.Rat {
	t.Helper()
	over, under, found := strings.Cut(text, "/")
	if !found {
		return rat(t, text)
	}
	return new(big.Rat).Quo(rat(t, over), rat(t, under))
}

func equal(a, b *big.Rat) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.Cmp(b) == 0
}

func TestBinaryFractionsDoNotMoveTheLimit(t *testing.T) {
	// These two differ by exactly a tenth of their mean; float64 has it below.
	a, b := 0.76, 0.84
	if !(b-a < 0.1*((a+b)/2)) {
		t.Fatal("the pair does not show what it is here for")
	}
	got := hemo.Agree(flows(t, "0.76 0.84"), rat(t, "0.1"))
	if got.Outcome != hemo.NoAgreement || !got.NeedsThird {
		t.Errorf("%v, want %v and a third injection", got.Outcome, hemo.NoAgreement)
	}
}

func TestReplicatesRefuseWhatIsNoFlowAndNoTolerance(t *testing.T) {
	for _, c := range []struct {
		name, values, tolerance string
	}{
		{"zero", "1 0", "0.1"},
		{"below zero", "-1", "0.1"},
		{"tolerance in per cent", "1 1", "10"},
		{"tolerance zero", "1 1", "0"},
		{"tolerance missing", "1 1", ""},
	} {
		got := hemo.Agree(flows(t, c.values), rat(t, c.tolerance))
		if got.Err == nil || got.Outcome != hemo.None || got.Mean != nil {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
	if got := hemo.Agree([]*big.Rat{big.NewRat(1, 1), nil}, big.NewRat(1, 10)); got.Err == nil {
		t.Error("a missing value is taken")
	}
}

func TestAMeanKeepsNoHandOnItsInput(t *testing.T) {
	values := flows(t, "0.61")
	hemo.Agree(values, rat(t, "0.1")).Mean.SetInt64(9)
	if values[0].Cmp(rat(t, "0.61")) != 0 {
		t.Error("changing the mean changed the value")
	}
}

// byTheLetter tries every subset: the rule as it is written, without the order of
// size that the real code leans on.
func byTheLetter(values []*big.Rat, tolerance *big.Rat) (outcome hemo.Outcome, entered []int) {
	agree := func(a, b *big.Rat) bool {
		mean := new(big.Rat).Quo(new(big.Rat).Add(a, b), big.NewRat(2, 1))
		difference := new(big.Rat).Sub(a, b)
		return difference.Abs(difference).Cmp(mean.Mul(mean, tolerance)) < 0
	}
	var masks []uint
	for mask := range uint(1) << len(values) {
		ok := bits.OnesCount(mask) >= 2
		for i := range values {
			for j := range i {
				if mask>>i&1 == 1 && mask>>j&1 == 1 && !agree(values[i], values[j]) {
					ok = false
				}
			}
		}
		if !ok {
			continue
		}
		if len(masks) > 0 && bits.OnesCount(mask) > bits.OnesCount(masks[0]) {
			masks = nil
		}
		if len(masks) == 0 || bits.OnesCount(mask) == bits.OnesCount(masks[0]) {
			masks = append(masks, mask)
		}
	}
	if len(masks) == 0 {
		return hemo.NoAgreement, nil
	}
	all, shared := uint(0), ^uint(0)
	for _, mask := range masks {
		all, shared = all|mask, shared&mask
	}
	if shared == 0 {
		return hemo.NoAgreement, nil
	}
	for i := range values {
		if all>>i&1 == 1 {
			entered = append(entered, i)
		}
	}
	if len(masks) == 1 {
		return hemo.Agreed, entered
	}
	return hemo.Tie, entered
}

func drawFlows(rt *rapid.T) ([]*big.Rat, *big.Rat) {
	var values []*big.Rat
	for _, v := range rapid.SliceOfN(rapid.Int64Range(80, 130), 2, 8).Draw(rt, "values") {
		values = append(values, big.NewRat(v, 100))
	}
	return values, big.NewRat(rapid.Int64Range(1, 30).Draw(rt, "tolerance"), 100)
}

func TestReplicatesDoAsTryingEverySubsetDoes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		values, tolerance := drawFlows(rt)
		got := hemo.Agree(values, tolerance)
		outcome, entered := byTheLetter(values, tolerance)
		if got.Outcome != outcome || !slices.Equal(got.Entered, entered) {
			rt.Fatalf("%v %v, want %v %v", got.Outcome, got.Entered, outcome, entered)
		}
	})
}

func TestTheOrderOfInjectionsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		values, tolerance := drawFlows(rt)
		order := rapid.Permutation(values).Draw(rt, "order")
		a, b := hemo.Agree(values, tolerance), hemo.Agree(order, tolerance)
		if a.Outcome != b.Outcome || !equal(a.Mean, b.Mean) || !equal(a.Spread, b.Spread) {
			rt.Fatalf("%+v, in another order %+v", a, b)
		}
	})
}

func TestTheUnitOfFlowDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		values, tolerance := drawFlows(rt)
		var scaled []*big.Rat
		for _, v := range values {
			scaled = append(scaled, new(big.Rat).Mul(v, big.NewRat(1000, 60)))
		}
		a, b := hemo.Agree(values, tolerance), hemo.Agree(scaled, tolerance)
		if a.Outcome != b.Outcome || !slices.Equal(a.Entered, b.Entered) || !equal(a.Spread, b.Spread) {
			rt.Fatalf("%+v, in another unit %+v", a, b)
		}
	})
}
