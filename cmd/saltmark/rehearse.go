package main

import (
	"bytes"
	"errors"
	"fmt"
	"iter"
	"math"
	"path/filepath"
	"strconv"

	"github.com/spf13/cobra"

	"saltmark/internal/circuit"
	"saltmark/internal/finding"
	"saltmark/internal/outfile"
	"saltmark/internal/rehearsal"
)

// mostRehearsed is how many sessions are made at the most.
const mostRehearsed = 100_000

// rehearseFlags are those of the command rehearse.
type rehearseFlags struct {
	out      newFolder
	sessions wholeNumber
	mistakes wholeNumber
	rate     wholeNumber
	seed     wholeNumber
	circuit  choice
	jobs     jobs
}

func newRehearseCmd(e *env) *cobra.Command {
	f := rehearseFlags{
		sessions: wholeNumber{20, 1, mostRehearsed}, mistakes: wholeNumber{25, 0, 100}, rate: wholeNumber{50, 10, 1000},
		seed:    wholeNumber{1, 0, math.MaxInt32},
		circuit: newChoice("both", "both", "tanks", "parcels"),
	}
	cmd := &cobra.Command{
		Use:   "rehearse --out FOLDER",
		Short: "Invent sessions with traces, for practice and load",
		Long: `rehearse fills a new folder with invented sessions: a sheet each, marked as test
data and for the demo settings that chart takes by itself, and beside it the
recordings of both sensors, from circulations that are simulated. Nobody was
measured.

People from 0.7 to 120 kg are drawn, four in ten without a shunt, the others with
each kind of it; noise and drift differ. In a part of the sessions (--mistakes)
one thing went wrong: a slip of the pen, a third injection that was needed, or
something with a recording, such as exchanged sensors. truth.tsv tells of every
injection what is true of it and, where there was a mistake, which, and the rule that
has to find it.

The same seed makes the same files, in whatever number. At 50 samples a second a
session takes about 0.3 MB.`,
		Example: `  saltmark rehearse --sessions 4 --out practice/
  saltmark rehearse --sessions 2 --mistakes 0 --seed 9 --out clean/`,
		Args: noArgs,
		RunE: work(func(cmd *cobra.Command, _ []string) error { return f.run(cmd, e) }),
	}
	flags := cmd.Flags()
	f.out.addTo(flags)
	flags.Var(&f.sessions, "sessions", "how many sessions to make")
	flags.Var(&f.seed, "seed", "what the sessions are drawn from")
	flags.Var(&f.mistakes, "mistakes", "in how many of 100 sessions something went wrong")
	flags.Var(&f.circuit, "circuit", "by which circulation: of tanks that mix, of parcels that travel, or each in turn")
	flags.Var(&f.rate, "rate", "samples a second")
	f.jobs.addTo(flags)
	return cmd
}

func (f *rehearseFlags) run(cmd *cobra.Command, e *env) error {
	if f.out == "" {
		return usagef(cmd, "rehearse wants --out FOLDER")
	}
	if err := f.out.check(); err != nil {
		return err
	}
	rows, err := f.make(e)
	if len(rows) > 0 { // of what was made before an error too
		var text bytes.Buffer
		err = errors.Join(err, rehearsal.WriteTruth(&text, rows), outfile.Write(filepath.Join(string(f.out), "truth.tsv"), text.Bytes()))
	}
	return err
}

// make writes the sessions and gives what is true of them.
func (f *rehearseFlags) make(e *env) (rows []rehearsal.Row, err error) {
	type made struct {
		session rehearsal.Session
		err     error
	}
	options := rehearsal.Options{Seed: uint64(f.seed.value), Circuits: circuitsOf(f.circuit.String()), Mistakes: float64(f.mistakes.value) / 100, RateHz: float64(f.rate.value)}
	err = inOrder(e.Context, f.jobs.workers(), numbersTo(f.sessions.value), func(number int) made {
		s, err := rehearsal.New(options, number)
		return made{s, err}
	}, func(_ int, m made) error {
		if m.err != nil {
			return m.err
		}
		for _, file := range m.session.Files {
			if err := outfile.Write(filepath.Join(string(f.out), filepath.FromSlash(file.Name)), file.Text); err != nil {
				return err
			}
		}
		rows = append(rows, m.session.Truth...)
		return nil
	})
	return rows, err
}

// numbersTo counts from 1.
func numbersTo(n int) iter.Seq2[int, int] {
	return func(yield func(int, int) bool) {
		for i := range n {
			if !yield(i, i+1) {
				return
			}
		}
	}
}

func circuitsOf(name string) []circuit.Circuit {
	all := []circuit.Circuit{circuit.Tanks{}, circuit.Parcels{}}
	for _, c := range all {
		if c.Name() == name {
			return []circuit.Circuit{c}
		}
	}
	return all
}

// wholeNumber is the value of a flag that takes a whole number of a range.
type wholeNumber struct{ value, least, most int }

func (n *wholeNumber) Set(word string) error {
	value, err := strconv.Atoi(word)
	if err != nil || value < n.least || value > n.most {
		return fmt.Errorf("%s is given; a whole number from %d to %d is wanted", finding.Quote(word), n.least, n.most)
	}
	n.value = value
	return nil
}

func (n *wholeNumber) String() string { return strconv.Itoa(n.value) }

func (n *wholeNumber) Type() string { return "number" }
