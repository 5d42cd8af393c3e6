package main

import (
	"fmt"
	"runtime"
	"strconv"

	"github.com/spf13/pflag"

	"saltmark/internal/finding"
)

// mostJobs is how many documents are worked on at once at the most: more than any
// machine has cores, and few enough that what waits for its turn needs little memory.
const mostJobs = 1024

// jobs is the flag --jobs: how many documents are worked on at once. The order and
// the bytes of what comes out do not depend on it. The zero value stands for all
// cores.
type jobs int

// addTo gives a command the flag.
func (j *jobs) addTo(flags *pflag.FlagSet) {
	flags.Var(j, "jobs", "how many documents to work on at once (default: one for each core)")
}

// workers gives the number that is meant.
func (j *jobs) workers() int {
	if *j == 0 {
		return runtime.GOMAXPROCS(0)
	}
	return int(*j)
}

// Set, String and Type make it a value of a flag.

func (j *jobs) Set(word string) error {
	n, err := strconv.Atoi(word)
	if err != nil || n < 1 || n > mostJobs {
		return fmt.Errorf("%s is given; a whole number from 1 to %d is wanted", finding.Quote(word), mostJobs)
	}
	*j = jobs(n)
	return nil
}

func (j *jobs) String() string {
	if *j == 0 {
		return ""
	}
	return strconv.Itoa(int(*j))
}

func (j *jobs) Type() string { return "number" }
