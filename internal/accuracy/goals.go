package main

import (
	"fmt"
	"slices"
	"strings"

	"saltmark/internal/circuit"
)

// figures are what must be true of the worse of both circuits, and beside them how
// often a value is charted at all. A sign that is withheld is told of in a line of its
// own.
var figures = []figure{
	{"flow charted, no shunt", "%", both(clean, noShunt), part(chartedFlow), none, none},
	{"flow, no shunt: median error", "%", both(clean, noShunt), flow.median, within(-1, 1), none},
	{"flow, no shunt: 95th percentile of error", "%", both(clean, noShunt), flow.percentile95, atMostPercent(5), atMostPercent(3)},
	{"flow charted, left to right", "%", both(clean, leftToRight), part(chartedFlow), none, none},
	{"flow, left to right: median error", "%", both(clean, leftToRight), flow.median, within(-2, 2), none},
	{"flow, left to right: 95th percentile of error", "%", both(clean, leftToRight), flow.percentile95, atMostPercent(10), atMostPercent(6)},
	{"flow charted, right to left", "%", both(clean, rightToLeft), part(chartedFlow), none, none},
	{"flow, right to left: median error", "%", both(clean, rightToLeft), flow.median, none, none},
	{"flow, right to left: 95th percentile of error", "%", both(clean, rightToLeft), flow.percentile95, atMostPercent(8), none},
	{"flow, both ways: 95th percentile of error", "%", both(clean, not(oneWayAtMost)), flow.percentile95, none, none},

	{"error of flow beyond three stated SD without a finding", "%", both(clean, oneWayAtMost, chartedFlow), part(beyondThreeUnwarned), atMostPercent(0.5), none},
	{"gross-error finding, or no flow, no shunt", "%", both(clean, noShunt), part(doubted), atMostPercent(5), none},
	{"gross-error finding, or no flow, left to right", "%", both(clean, leftToRight), part(doubted), atMostPercent(25), none},
	{"2-SD interval of flow covers", "%", both(clean, oneWayAtMost), flow.covered, within(93, 97), none},
	{"2-SD interval of flow covers, no shunt", "%", both(clean, noShunt), flow.covered, within(90, 99), none},
	{"2-SD interval of flow covers, left to right", "%", both(clean, leftToRight), flow.covered, within(90, 99), none},
	{"2-SD interval of flow covers, right to left", "%", both(clean, rightToLeft), flow.covered, within(90, 99), none},
	{"2-SD interval of flow, no shunt: median width, ±", "%", both(clean, noShunt), flow.width, atMostPercent(6), none},
	{"2-SD interval of flow, left to right: median width, ±", "%", both(clean, leftToRight), flow.width, atMostPercent(12), none},

	{"central volume charted, no shunt", "%", both(clean, noShunt, hasCentral), part(chartedCentral), none, none},
	{"central volume, no shunt: 95th percentile of error", "%", both(clean, noShunt), central.percentile95, atMostPercent(5), none},
	{"central volume charted, left to right", "%", both(clean, leftToRight, hasCentral), part(chartedCentral), none, none},
	{"central volume, left to right: 95th percentile of error", "%", both(clean, leftToRight), central.percentile95, atMostPercent(10), none},
	{"2-SD interval of central volume covers, no shunt", "%", both(clean, noShunt), central.covered, within(90, 99), none},
	{"2-SD interval of central volume covers, left to right", "%", both(clean, leftToRight), central.covered, within(90, 99), none},

	{"distribution volume charted, baseline from 30 s", "%", both(clean, oneWayAtMost, longBaseline, longEnough), part(chartedVolume), atLeastPercent(80), none},
	{"distribution volume: 95th percentile of error", "%", both(clean, oneWayAtMost, longEnough), distribution.percentile95, atMostPercent(3), none},
	{"2-SD interval of distribution volume covers", "%", both(clean, oneWayAtMost, longEnough), distribution.covered, none, none},
	{"distribution volume charted, slow noise 1 % and bending drift", "%", both(slowBending, longBaseline, longEnough), part(chartedVolume), none, none},
	{"distribution volume, slow noise 1 % and bending drift: 95th percentile of error", "%", both(slowBending, longEnough), distribution.percentile95, atMostPercent(3), none},

	{"left-to-right sign at Qp/Qs from 1.5: sensitivity", "%", both(clean, leftToRight, oneAndAHalf), signed(leftSign, true), atLeastPercent(97), none},
	{"left-to-right sign, no shunt: specificity", "%", both(clean, noShunt), signed(leftSign, false), atLeastPercent(98), none},
	{"left-to-right sign, right to left: specificity", "%", both(clean, rightToLeft), signed(leftSign, false), none, none},
	{"left-to-right sign withheld", "%", both(clean, oneWayAtMost), part(func(o outcome) bool { return o.leftToRight.Withheld != "" }), none, none},
	{"early appearance at 10 to 40 % right to left: sensitivity", "%", both(clean, oneWayAtMost, outcome.appearsEarly), signed(earlySign, true), atLeastPercent(97), none},
	{"early appearance: specificity", "%", both(clean, oneWayAtMost, not(outcome.appearsEarly)), signed(earlySign, false), atLeastPercent(99), none},
	{"early appearance withheld", "%", both(clean, oneWayAtMost), part(func(o outcome) bool { return o.early.Withheld != "" }), none, none},
}

// faultFigures are two for each rule of a recording: it is named where that went wrong,
// and not named in clean records.
func faultFigures() (list []figure) {
	for _, s := range circuit.Spoilings() {
		named := func(o outcome) bool { return o.hasRule(s.Name) }
		list = append(list,
			figure{s.Name + ": named", "%", func(o outcome) bool { return o.condition == spoiled+s.Name }, part(named), atLeastPercent(95), none},
			figure{s.Name + ": named in clean records", "%", both(clean, oneWayAtMost), part(named), atMostPercent(1), none})
	}
	return list
}

// severeFigures are of recordings that something is wrong with, and have no goal: how
// often a number that is far off still goes out without a word.
var severeFigures = []figure{
	{"spoiled recordings: flow charted", "%", isSpoiled, part(chartedFlow), none, none},
	{"spoiled recordings: flow charted, beyond three stated SD and without a finding", "%", isSpoiled, part(farUnwarned), none, none},
	{wrongVolume + ": told beside a second injection", "%", mistaken, part(named("venous-volumes-differ")), none, none},
	{wrongVolume + ": told of the injection alone", "%", mistaken, part(named("venous-area-mismatch")), none, none},
	{wrongVolume + ": flow charted, beyond three stated SD and without a finding", "%", mistaken, part(farUnwarned), none, none},
	{"squared relative dispersion above 0.28 at Qp/Qs from 1.5", "%", both(clean, leftToRight, oneAndAHalf), part(widelyDispersed), none, none},
	{"squared relative dispersion above 0.28, no shunt", "%", both(clean, noShunt), part(widelyDispersed), none, none},
}

func isSpoiled(o outcome) bool       { return strings.HasPrefix(o.condition, spoiled) }
func mistaken(o outcome) bool        { return o.condition == wrongVolume }
func farUnwarned(o outcome) bool     { return chartedFlow(o) && beyondThreeUnwarned(o) }
func widelyDispersed(o outcome) bool { return o.dispersion > 0.28 }

func named(rule string) func(outcome) bool {
	return func(o outcome) bool { return o.hasRule(rule) }
}

// falseFault is the part of clean records in which any rule of a recording is named
// without cause.
var falseFault = figure{"any fault named in clean records", "%", both(clean, oneWayAtMost), part(outcome.anyFault), none, none}

// allFigures are those of the goals and those of the faults.
func allFigures() []figure {
	return slices.Concat(figures, faultFigures(), []figure{falseFault}, severeFigures)
}

// doubted is what must not be often in clean records: a finding that says that the flow
// may be far off, or no flow at all.
func doubted(o outcome) bool { return warned(o) || !chartedFlow(o) }

// beyondThreeUnwarned is what must hardly ever be: a flow further from the truth than
// three stated standard deviations, and no finding that says so.
func beyondThreeUnwarned(o outcome) bool { return !flow.within(o, 3) && !warned(o) }

// stratum is a part of the cases that figures are split by.
type stratum struct {
	by, name string
	has      func(o outcome) bool
}

// strata split the main figures. What is no condition of these is in the second table.
func strata() (list []stratum) {
	for _, c := range circuit.WeightClasses() {
		list = append(list, stratum{"weight", c.String(), func(o outcome) bool { return o.class == c }})
	}
	for _, b := range [][2]float64{{8, 15}, {15, 30}, {30, 60.01}} {
		list = append(list, stratum{"baseline", fmt.Sprintf("%.0f-%.0f s", b[0], b[1]), func(o outcome) bool { return o.baselineS >= b[0] && o.baselineS < b[1] }})
	}
	for _, s := range circuit.Shuntings() {
		list = append(list, stratum{"label", s.String(), func(o outcome) bool { return o.shunt == s }})
	}
	return list
}
