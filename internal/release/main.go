// Command release makes what is given out of a version of saltmark, and nothing else
// in this repository makes it:
//
//	release build   archives, bills of materials, notes and checksums, into dist
//	release notes   the notes of a version alone, on standard output
//	release cut     keep the sheets, bundles and names of a version for good
//
// Same commit, same version, same Go: same bytes, in whatever folder and on whatever
// machine. So nothing of the machine goes into a file: no path, no owner, no clock.
// The time of every file is that of the commit, or SOURCE_DATE_EPOCH.
//
// What is linked is asked of the build itself, the licence of each module is what
// NOTICE says, and its text comes from the module; where two of these differ, there is
// no release. The bill of materials is CycloneDX 1.6 (JSON); the wording of its fields
// is that standard's.
//
// It refuses to know where a release is put, and signs nothing.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/signal"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	err := run(ctx, os.Args[1:])
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

var errUsage = errors.New("build, notes or cut is wanted, then -version and the other flags of it")

func run(ctx context.Context, args []string) error {
	if len(args) == 0 {
		return errUsage
	}
	flags := flag.NewFlagSet(args[0], flag.ContinueOnError)
	version := flags.String("version", "", "version to release, for example 0.1.0; without it that of the tag at this commit")
	top := flags.String("top", ".", "top folder of the repository")
	out := flags.String("out", "dist", "folder to write to; what an earlier release left there is replaced")
	targets := flags.String("targets", allTargets, "what to build for: system/architecture, separated by commas")
	if err := flags.Parse(args[1:]); err != nil {
		return err
	}
	if flags.NArg() > 0 {
		return fmt.Errorf("%q is no flag", flags.Arg(0))
	}
	switch args[0] {
	case "build":
		p, err := newPlan(ctx, *top, *version, *targets)
		if err != nil {
			return err
		}
		return p.release(ctx, *out)
	case "notes":
		v, err := versionOf(ctx, *top, *version)
		if err != nil {
			return err
		}
		text, err := notes(os.DirFS(*top), v)
		if err == nil {
			_, err = os.Stdout.Write(text)
		}
		return err
	case "cut":
		return cut(ctx, *top, *version)
	}
	return errUsage
}
