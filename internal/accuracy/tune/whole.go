package main

import (
	"fmt"
	"os"
	"path/filepath"

	"saltmark/internal/dilution"
)

// What the calibration in use was tuned on and how: `whole` does all of it again. Since it
// was tuned, recordings are prepared somewhat otherwise where a sensor is disturbed: of 180
// of its rows gathered anew 21 had other features. So `whole` gives another calibration,
// near this one. What a figure of accuracy is published of has seeds of its own.
var (
	learnt = []batch{
		{"parcels", 7000, 4021, true, false}, {"tanks", 6000, 4021, true, false}, {"kernels", 6000, 4021, true, false},
		{"parcels", 7000, 4022, true, false}, {"tanks", 6000, 4022, true, false}, {"kernels", 6000, 4022, true, false},
	}
	// Factors and thresholds are set on these, which no net has seen.
	setOn = []batch{{"parcels", 2500, 4001, true, true}, {"tanks", 2500, 4001, true, true}}

	trained = plan{
		nets: 1, hidden: 64, epochs: 45, rate: 2.5e-3, decay: 1e-4, unused: listed("62,63,65,74,83,84"),
		levels: levels{within: 0.875, volume: 0.94, left: 0.94, early: 0.972},
		told:   func(s string) { fmt.Println(s) },
	}
	netSeeds = []uint64{901, 902, 903}
)

// batch is one run of gather.
type batch struct {
	circuit     string
	n           int
	seed        uint64
	wide, usual bool
}

func (b batch) file(folder string) string {
	kind := "learn"
	if b.usual {
		kind = "set"
	}
	return filepath.Join(folder, fmt.Sprintf("%s-%s-%d.gob", kind, b.circuit, b.seed))
}

// rows gathers a batch, or takes it from its file where that is there.
func (b batch) rows(folder string) ([]row, error) {
	if _, err := os.Stat(b.file(folder)); err == nil {
		return load(b.file(folder), false)
	}
	for _, c := range circuits() {
		if c.Name() == b.circuit {
			made := gather(c, b.n, b.seed, b.wide, b.usual)
			fmt.Printf("%s: %d rows of %d\n", b.file(folder), len(made), b.n)
			for i := range made {
				made[i].Condensed = dilution.Condensed{}
			}
			return made, save(b.file(folder), made)
		}
	}
	return nil, fmt.Errorf("there is no circuit %q", b.circuit)
}

// whole gathers, trains and joins: the calibration in use, from nothing.
func whole(folder, out string) error {
	all := func(batches []batch) (rows []row, err error) {
		for _, b := range batches {
			r, err := b.rows(folder)
			if err != nil {
				return nil, err
			}
			rows = append(rows, r...)
		}
		return rows, nil
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	apart, err := all(setOn)
	if err != nil {
		return err
	}
	learn, err := all(learnt)
	if err != nil {
		return err
	}
	var names []string
	for _, seed := range netSeeds {
		p := trained
		p.seed = seed
		c := fit(learn, apart, p)
		rounded(c)
		name := filepath.Join(folder, fmt.Sprintf("net-%d.json", seed))
		if err := write(c, name); err != nil {
			return err
		}
		names = append(names, name)
	}
	c, err := join(names)
	if err != nil {
		return err
	}
	set(c, apart, trained.levels)
	return write(c, out)
}
