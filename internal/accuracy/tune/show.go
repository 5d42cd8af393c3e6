package main

import (
	"fmt"
	"math"

	"saltmark/internal/circuit"
	"saltmark/internal/dilution"
)

// show prints what a calibration makes of rows.
func show(name string, c *dilution.Calibration, rows []row) {
	fmt.Printf("== %s\n", name)
	x := make([]float64, len(c.Mean))
	type result struct{ flow, sd, central, centralSD, left, early, unlike float64 }
	results := make([]result, len(rows))
	for i := range rows {
		r := &rows[i]
		c.Standardised(r.Features, x)
		a := c.Answer(x, r.Scale)
		results[i] = result{
			flow: a.FlowMLs/r.FlowMLs - 1, sd: a.FlowSD, central: a.CentralML/r.CentralML - 1, centralSD: a.CentralSD,
			left: a.Left, early: a.Early, unlike: c.Unlikeness(x),
		}
	}
	kinds := []struct {
		name string
		has  func(s circuit.Shunting) bool
	}{
		{"no shunt", func(s circuit.Shunting) bool { return s == circuit.NoShunt }},
		{"left to right", circuit.Shunting.LeftToRight},
		{"right to left", circuit.Shunting.RightToLeft},
	}
	for _, s := range circuit.Shuntings() {
		kinds = append(kinds, struct {
			name string
			has  func(s circuit.Shunting) bool
		}{s.String(), func(t circuit.Shunting) bool { return s == t }})
	}
	for _, k := range kinds {
		for _, class := range append([]circuit.WeightClass{circuit.AnyWeight}, circuit.WeightClasses()...) {
			var e, a, w, ce, cw []float64
			in, cin, over := 0., 0., 0.
			for i, r := range rows {
				if !k.has(r.Shunt) || class != circuit.AnyWeight && circuit.ClassOf(r.WeightKg) != class {
					continue
				}
				q := results[i]
				e, a, w = append(e, 100*q.flow), append(a, 100*math.Abs(q.flow)), append(w, 200*q.sd)
				if math.Abs(q.flow) <= 2*q.sd {
					in++
				}
				if math.Abs(q.flow) > 3*q.sd {
					over++
				}
				if !math.IsNaN(q.central) {
					ce, cw = append(ce, 100*math.Abs(q.central)), append(cw, 200*q.centralSD)
					if math.Abs(q.central) <= 2*q.centralSD {
						cin++
					}
				}
			}
			n := float64(len(e))
			if class == circuit.AnyWeight {
				fmt.Printf("%-26s n %5.0f median %+5.2f p95 %5.2f width %5.2f cover %4.1f over3 %.2f | central p95 %5.2f width %5.2f cover %4.1f | by weight",
					k.name, n, quantile(e, .5), quantile(a, .95), quantile(w, .5), 100*in/n, 100*over/n, quantile(ce, .95), quantile(cw, .5), 100*cin/float64(len(ce)))
				continue
			}
			fmt.Printf(" %5.2f(%3.0f)", quantile(a, .95), 100*in/n)
		}
		fmt.Println()
	}
	var no, yes, late, early []float64
	var leftNo, leftYes, earlyNo, earlyYes float64
	for i, r := range rows {
		if r.RatioOfFlows == 1 && !r.Shunt.RightToLeft() {
			no = append(no, results[i].left)
			if results[i].left > c.Left {
				leftNo++
			}
		}
		if r.Shunt.LeftToRight() && r.RatioOfFlows >= 1.5 {
			yes = append(yes, results[i].left)
			if results[i].left > c.Left {
				leftYes++
			}
		}
		if r.Shunt == circuit.BothWays {
			continue
		}
		if r.early() {
			early = append(early, results[i].early)
			if results[i].early > c.Early {
				earlyYes++
			}
		} else {
			late = append(late, results[i].early)
			if results[i].early > c.Early {
				earlyNo++
			}
		}
	}
	at := func(yes []float64, threshold float64) float64 {
		n := 0.0
		for _, v := range yes {
			if v > threshold {
				n++
			}
		}
		return 100 * n / float64(len(yes))
	}
	fmt.Printf("left: sensitivity %.1f specificity %.1f (at 98 %%: %.1f)   early: %.1f %.1f (at 99 %%: %.1f)\n",
		100*leftYes/float64(len(yes)), 100-100*leftNo/float64(len(no)), at(yes, quantile(no, .98)),
		100*earlyYes/float64(len(early)), 100-100*earlyNo/float64(len(late)), at(early, quantile(late, .99)))
}
