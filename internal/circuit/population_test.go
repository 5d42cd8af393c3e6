package circuit

import (
	"math"
	"testing"
)

const people = 4000

func TestDrawnPeopleStayWithinWhatIsStated(t *testing.T) {
	for _, class := range append(WeightClasses(), AnyWeight) {
		for seed := range uint64(people / 5) {
			s := Population{Class: class}.Draw(seed)
			if err := s.Check(); err != nil {
				t.Fatalf("%v, seed %d: %v", class, seed, err)
			}
			row := weightClasses[class]
			normal := flowPerKg(s.WeightKg) * s.WeightKg / 60
			loop, total := s.Loop.FlowMLs/s.FlowMLs, s.Heart.EjectionFraction
			for _, c := range []struct {
				name           string
				got, low, high float64
			}{
				{"weight", s.WeightKg, row.low, row.high},
				{"flow", s.FlowMLs / normal, 0.4, 2},
				{"loop share", loop, 0.02, 0.10},
				{"ejection fraction", total, 0.25, 0.75},
				{"injected per kg", s.Injection.VolumeML / s.WeightKg, min(0.5, 30/s.WeightKg), 1},
				{"injected", s.Injection.VolumeML, 0.3, 30},
				{"duration", s.Injection.DurationS, 1, 6},
				{"baseline", s.BaselineS, 8, 60},
				{"after", s.AfterS, 75, 90},
				{"blood between the tips", (s.Heart.LeftVentricleML + s.LungML + s.CavalML + s.AortaML) / s.BloodML, 0.08, 0.5},
			} {
				if !(c.got >= c.low*0.9999 && c.got <= c.high*1.0001) {
					t.Fatalf("%v, seed %d: %s is %g, not within %g to %g", class, seed, c.name, c.got, c.low, c.high)
				}
			}
			if got := ClassOf(s.WeightKg); class != AnyWeight && got != class {
				t.Fatalf("%g kg is of class %v, drawn for %v", s.WeightKg, got, class)
			}
		}
	}
}

func TestDrawnShuntsAreOfTheSizeAndWayAskedFor(t *testing.T) {
	for _, shunt := range Shuntings() {
		for seed := range uint64(people / 8) {
			s := Population{Shunt: shunt, Wide: seed%2 == 1}.Draw(seed)
			if err := s.Check(); err != nil {
				t.Fatalf("%v, seed %d: %v", shunt, seed, err)
			}
			left, right := 0.0, 0.0
			for _, c := range []Crossing{s.Shunts.Atrial, s.Shunts.Ventricular, s.Shunts.Ductal} {
				left, right = left+c.LeftToRight, right+c.RightToLeft
			}
			ratio, part := 1+left/s.FlowMLs, right/s.FlowMLs
			switch {
			case shunt == NoShunt && (left != 0 || right != 0),
				shunt.LeftToRight() && (right != 0 || ratio < 1.2 || ratio > 3),
				shunt.RightToLeft() && (left != 0 || part < 0.1 || part > 0.4),
				shunt == BothWays && (left == 0 || right == 0):
				t.Fatalf("%v, seed %d: Qp/Qs of left to right %g, right to left %g of the flow", shunt, seed, ratio, part)
			}
		}
	}
}

func TestEverybodyIsDrawnAboutAsOften(t *testing.T) {
	classes, shunts, postductal := map[WeightClass]int{}, map[Shunts]int{}, 0
	var noShunt int
	for seed := range uint64(people) {
		s := Population{}.Draw(seed)
		classes[ClassOf(s.WeightKg)]++
		if s.Postductal {
			postductal++
		}
		if (s.Shunts == Shunts{}) {
			noShunt++
		}
		shunts[s.Shunts]++
	}
	// Five standard deviations of a binomial count.
	near := func(name string, got int, part float64) {
		t.Helper()
		want := part * people
		if math.Abs(float64(got)-want) > 5*math.Sqrt(want*(1-part)) {
			t.Errorf("%s: %d of %d, about %g are wanted", name, got, people, want)
		}
	}
	for _, c := range WeightClasses() {
		near(c.String(), classes[c], 0.25)
	}
	near("postductal", postductal, 0.5)
	near("no shunt", noShunt, 1.0/8)
}

func TestTheSameSeedDrawsTheSameAndTheWideOnesOthers(t *testing.T) {
	one := Population{}.Draw(7)
	if again := (Population{}).Draw(7); again != one {
		t.Errorf("%+v\nand then\n%+v", one, again)
	}
	if next := (Population{}).Draw(8); next == one {
		t.Error("seeds 7 and 8 draw the same")
	}
	wide := Population{Wide: true}.Draw(7)
	if !wide.Wide || wide.WeightKg == one.WeightKg || wide.Seed == one.Seed {
		t.Errorf("the wide population draws the same people: %+v", wide)
	}
}

func TestWideRangesAreWider(t *testing.T) {
	spread := func(wide bool) (low, high float64) {
		low = math.Inf(1)
		for seed := range uint64(people) {
			s := Population{Wide: wide}.Draw(seed)
			ratio := s.FlowMLs / (flowPerKg(s.WeightKg) * s.WeightKg / 60)
			low, high = min(low, ratio), max(high, ratio)
		}
		return low, high
	}
	low, high := spread(false)
	wideLow, wideHigh := spread(true)
	if got := math.Log(wideHigh/wideLow) / math.Log(high/low); math.Abs(got-wideStretch) > 0.02 {
		t.Errorf("the range of flow is %g times wider in the logarithm, %g is wanted", got, wideStretch)
	}
}
