// Command tune makes the estimator's calibration from simulated circulations.
//
//	go run ./internal/accuracy/tune whole -folder FOLDER -out internal/dilution/calibration.json
//
// does all of it as it was done for the calibration in use. Its steps one by one:
//
//	go run ./internal/accuracy/tune gather -circuit tanks -wide -n 20000 -seed 100 -out FILE
//	go run ./internal/accuracy/tune fit -rows FILE,FILE -held FILE -out internal/dilution/calibration.json
//	go run ./internal/accuracy/tune join -nets-of FILE,FILE -held FILE -out internal/dilution/calibration.json
//	go run ./internal/accuracy/tune show -rows FILE
//
// It draws people, circuits and sensors more widely than the figures of accuracy do, and
// from other seeds.
package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"

	"saltmark/internal/dilution"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "tune:", err)
		os.Exit(1)
	}
}

func run(args []string) error {
	if len(args) == 0 {
		return fmt.Errorf("whole, gather, describe, fit, join or show is wanted")
	}
	f := flag.NewFlagSet(args[0], flag.ContinueOnError)
	var (
		name   = f.String("circuit", "tanks", "gather: which circuit")
		n      = f.Int("n", 1000, "gather: how many recordings")
		seed   = f.Uint64("seed", 100, "seed of what is drawn")
		wide   = f.Bool("wide", false, "gather: as for tuning, not as for figures")
		usual  = f.Bool("usual", false, "gather: sensors and circulation as undisturbed as for figures")
		joined = f.String("nets-of", "", "join: calibrations whose nets are put together, separated by commas")
		within = f.Float64("within", trained.levels.within, "fit, join: part of held rows within two stated standard deviations")
		volume = f.Float64("volume", trained.levels.volume, "fit, join: the same for transit and central volume")
		left   = f.Float64("left", trained.levels.left, "fit, join: part of held rows without shunt below the threshold of the sign")
		early  = f.Float64("early", trained.levels.early, "fit, join: the same for early appearance")
		out    = f.String("out", "", "file to write")
		folder = f.String("folder", "", "whole: where rows and nets are kept")
		rows   = f.String("rows", "", "fit, show: files of rows, separated by commas")
		held   = f.String("held", "", "fit: files of rows for thresholds and factors")
		nets   = f.Int("nets", 3, "fit: how many nets")
		hidden = f.Int("hidden", 64, "fit: width of their layers")
		epochs = f.Int("epochs", 60, "fit: how often each row is seen")
		rate   = f.Float64("rate", 2e-3, "fit: rate of learning")
		decay  = f.Float64("decay", 1e-4, "fit: decay of weights")
		unused = f.String("unused", "", "fit: features to leave out, as 1,4-7")
		limit  = f.Int("limit", 0, "fit, show: rows of each file, 0: all")
		used   = f.String("calibration", "", "show: another calibration than the built-in one")
	)
	if err := f.Parse(args[1:]); err != nil {
		return err
	}
	most = *limit
	level := levels{*within, *volume, *left, *early}
	switch args[0] {
	case "whole":
		return whole(*folder, *out)
	case "gather":
		for _, c := range circuits() {
			if c.Name() == *name {
				made := gather(c, *n, *seed, *wide, *usual)
				fmt.Printf("%d rows of %d\n", len(made), *n)
				return save(*out, made)
			}
		}
		return fmt.Errorf("there is no circuit %q", *name)
	case "fit":
		learn, err := loadAll(*rows)
		if err != nil {
			return err
		}
		apart, err := loadAll(*held)
		if err != nil {
			return err
		}
		c := fit(learn, apart, plan{
			nets: *nets, hidden: *hidden, epochs: *epochs, rate: *rate, decay: *decay, seed: *seed, unused: listed(*unused), levels: level,
			told: func(s string) { fmt.Println(s) },
		})
		rounded(c)
		return write(c, *out)
	case "describe":
		r, err := load(*rows, true)
		if err != nil {
			return err
		}
		return save(*out, r)
	case "join":
		c, err := join(strings.Split(*joined, ","))
		if err != nil {
			return err
		}
		apart, err := loadAll(*held)
		if err != nil {
			return err
		}
		set(c, apart, level)
		return write(c, *out)
	case "show":
		c, err := calibrationOf(*used)
		if err != nil {
			return err
		}
		for name := range strings.SplitSeq(*rows, ",") {
			r, err := load(name, false)
			if err != nil {
				return err
			}
			show(name, c, r)
		}
		return nil
	}
	return fmt.Errorf("%q is none of whole, gather, describe, fit, join and show", args[0])
}

// most is how many rows of a file are read, 0: all.
var most int

func write(c *dilution.Calibration, name string) error {
	text, err := json.Marshal(c)
	if err != nil {
		return err
	}
	return os.WriteFile(name, append(text, '\n'), 0o644)
}

// join puts the nets of calibrations together that were tuned on the same rows.
func join(names []string) (*dilution.Calibration, error) {
	var all *dilution.Calibration
	for _, name := range names {
		c, err := calibrationOf(name)
		if err != nil {
			return nil, err
		}
		if all == nil {
			all = c
			continue
		}
		if !slices.Equal(all.Mean, c.Mean) || !slices.Equal(all.SD, c.SD) {
			return nil, fmt.Errorf("%s and %s were not tuned on the same rows", names[0], name)
		}
		all.Nets = append(all.Nets, c.Nets...)
	}
	return all, nil
}

func calibrationOf(name string) (*dilution.Calibration, error) {
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	c := new(dilution.Calibration)
	return c, json.Unmarshal(text, c)
}

func loadAll(names string) (all []row, err error) {
	for name := range strings.SplitSeq(names, ",") {
		r, err := load(name, false)
		if err != nil {
			return nil, err
		}
		all = append(all, r...)
	}
	return all, nil
}

// listed reads 1,4-7.
func listed(text string) map[int]bool {
	set := map[int]bool{}
	for part := range strings.SplitSeq(text, ",") {
		var a, b int
		if n, _ := fmt.Sscanf(part, "%d-%d", &a, &b); n == 1 {
			b = a
		} else if n == 0 {
			continue
		}
		for i := a; i <= b; i++ {
			set[i] = true
		}
	}
	return set
}

// rounded leaves six digits, which is what float32 holds.
func rounded(c *dilution.Calibration) {
	round := func(v []float64) {
		for i, x := range v {
			fmt.Sscanf(fmt.Sprintf("%.6g", x), "%g", &v[i])
		}
	}
	for _, n := range c.Nets {
		for _, l := range n.Layers {
			round(l.Weights)
			round(l.Offset)
		}
	}
	round(c.Mean)
	round(c.SD)
	round(c.Whiten)
}
