package main

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"saltmark/internal/accuracy/cases"
	"saltmark/internal/circuit"
	"saltmark/internal/dilution"
)

// law is a change of a recording of which physics says what it does to the flow.
type law struct {
	name   string
	change func(in dilution.Input) dilution.Input
	// times is what the flow is multiplied by, within part of one; 0 within so many of its
	// stated standard deviations.
	times, within, deviations float64
}

// eachCurve changes copies of both curves.
func eachCurve(in dilution.Input, change func(c dilution.Curve) dilution.Curve) dilution.Input {
	in.Arterial, in.Venous = change(in.Arterial), change(in.Venous)
	return in
}

// eachValue changes the values of both curves.
func eachValue(in dilution.Input, change func(h float64) float64) dilution.Input {
	return eachCurve(in, func(c dilution.Curve) dilution.Curve {
		c.Values = slices.Clone(c.Values)
		for i, h := range c.Values {
			c.Values[i] = change(h)
		}
		return c
	})
}

func laws() []law {
	const blood, saline = 1578.0, 1532.6
	return []law{
		{"half the numbers of half the indicator", func(in dilution.Input) dilution.Input {
			in = eachValue(in, func(h float64) float64 { return h / 2 })
			in.VolumeML /= 2
			return in
			// Half the volume in the same time is a slower injection, which enters later, and the
			// same curve then means another flow: up to 4 %, so that no law to 0.1 % holds. It stays
			// within the interval that is stated.
		}, 1, 0, 2},
		{"noted 2 s later", func(in dilution.Input) dilution.Input {
			return eachCurve(in, func(c dilution.Curve) dilution.Curve { c.StartS -= 2; return c })
		}, 1, 0.001, 0},
		{"in per cent", func(in dilution.Input) dilution.Input {
			in = eachValue(in, func(h float64) float64 { return 100 * h })
			in.Arterial.Unit, in.Venous.Unit = dilution.Percent, dilution.Percent
			return in
		}, 1, 0.001, 0},
		{"as speed of sound", func(in dilution.Input) dilution.Input {
			in = eachValue(in, func(h float64) float64 { return blood - h*(blood-saline) })
			in.Arterial.Unit, in.Venous.Unit, in.IndicatorSoundMS = dilution.SoundSpeed, dilution.SoundSpeed, saline
			return in
		}, 1, 0.001, 0},
		{"three times the indicator for the same curve, as all volumes and flows are three times larger", func(in dilution.Input) dilution.Input {
			in.VolumeML, in.WeightKg = 3*in.VolumeML, 3*in.WeightKg
			l := &in.Loop
			for _, x := range []*float64{&l.FlowMLs, &l.ArteryToSensorML, &l.SensorToPortML, &l.PortToSensorML, &l.SensorToVeinML} {
				*x *= 3
			}
			return in
		}, 3, 0.001, 0},
		{"a constant added", func(in dilution.Input) dilution.Input {
			return eachValue(in, func(h float64) float64 { return h + 0.003 })
		}, 1, 0, 1},
		{"every second sample", func(in dilution.Input) dilution.Input {
			return eachCurve(in, func(c dilution.Curve) dilution.Curve {
				var values []float64
				for i := 0; i < len(c.Values); i += 2 {
					values = append(values, c.Values[i])
				}
				c.Values, c.StepS = values, 2*c.StepS
				return c
			})
		}, 1, 0, 1},
		{"twice the samples", func(in dilution.Input) dilution.Input {
			return eachCurve(in, func(c dilution.Curve) dilution.Curve {
				var values []float64
				for i, h := range c.Values[:len(c.Values)-1] {
					values = append(values, h, (h+c.Values[i+1])/2)
				}
				c.Values, c.StepS = values, c.StepS/2
				return c
			})
		}, 1, 0, 1},
	}
}

func TestTheFlowMovesAsPhysicsSays(t *testing.T) {
	charted := 0
	for _, c := range circuits() {
		for _, shunt := range []circuit.Shunting{circuit.NoShunt, circuit.DuctalLeftToRight} {
			for i := range 3 {
				setup := cases.Setup{Population: circuit.Population{Shunt: shunt}, Recording: cases.Usual()}
				made, err := cases.Make(c, setup, cases.Seeds(11, shunt.String(), i))
				if err != nil {
					t.Fatal(err)
				}
				if holdsLaws(t, fmt.Sprintf("%s, %v, case %d", c.Name(), shunt, i), made.Input) {
					charted++
				}
			}
		}
	}
	if charted < 6 {
		t.Errorf("only %d of 12 flows were computed", charted)
	}
}

// holdsLaws tells whether there is a flow, which has to hold every law.
func holdsLaws(t *testing.T, name string, in dilution.Input) bool {
	t.Helper()
	before := dilution.Analyse(in).Flow
	if before.Withheld != "" {
		return false
	}
	for _, l := range laws() {
		after := dilution.Analyse(l.change(in)).Flow
		allowed := l.within * l.times * before.Value
		if l.within == 0 {
			allowed = l.deviations * before.SD
		}
		if off := after.Value - l.times*before.Value; after.Withheld != "" || !(math.Abs(off) <= allowed) {
			t.Errorf("%s, %s: the flow is %.5g mL/s (%q), %.5g within %.2g is wanted", name, l.name, after.Value, after.Withheld, l.times*before.Value, allowed)
		}
	}
	return true
}
