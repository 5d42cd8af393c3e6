// Command evidence puts what the judges found into one page, internal/audit/EVIDENCE.md,
// and prepares what some of them need.
//
//	evidence pick PACKAGE.tgz FOLDER   the official examples that the engine is given
//	evidence page [-check]             the page, from what the judges left in build/judges
//
// The page is the same in every run, but for its block of times. With -check nothing is
// written: a page that differs elsewhere is red. So is a disagreement that no list has.
package main

import (
	"fmt"
	"os"
	"slices"
)

func main() {
	args := os.Args[1:]
	var err error
	switch {
	case len(args) == 3 && args[0] == "pick":
		err = pick(args[1], args[2])
	case len(args) >= 1 && len(args) <= 2 && args[0] == "page":
		err = page(slices.Contains(args, "-check"))
	default:
		fmt.Fprintln(os.Stderr, "usage: evidence pick PACKAGE.tgz FOLDER | evidence page [-check]")
		os.Exit(2)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "evidence:", err)
		os.Exit(1)
	}
}
