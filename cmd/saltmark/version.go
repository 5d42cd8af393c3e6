package main

import (
	"fmt"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"

	"saltmark/internal/report"
	"saltmark/mapping/measure"
)

// What the linker is told for a release (internal/release): the version, and the
// revision of the source.
var version, sourceRevision string

// programVersion gives the version of the program: what the linker was told, else
// that of the module, else "devel".
func programVersion() string {
	if version != "" {
		return version
	}
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
		return info.Main.Version
	}
	return "devel"
}

// revision gives the revision of the source that the program was built from: what the
// linker was told, else what the toolchain noted, else "unknown".
func revision() string {
	if sourceRevision != "" {
		return sourceRevision
	}
	found, changed := "unknown", ""
	info, _ := debug.ReadBuildInfo()
	if info == nil {
		return found
	}
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			found = s.Value
		case s.Key == "vcs.modified" && s.Value == "true":
			changed = ", with changes"
		}
	}
	return found + changed
}

func newVersionCmd(e *env) *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Tell which version of the program this is",
		Long: `version tells the version of the program, the revision of its source, the SHA-256
of its table of measures, and what it was built with: what a report of a fault needs.`,
		Example: "  saltmark version",
		Args:    noArgs,
		RunE: work(func(*cobra.Command, []string) error {
			for _, line := range [][2]string{
				{"saltmark", e.Version},
				{"source", revision()},
				{"measures", "table of " + report.Number(len(measure.All()), "measure") + ", SHA-256 " + measure.TableHash()},
				{"built with", runtime.Version() + " for " + runtime.GOOS + "/" + runtime.GOARCH},
			} {
				if _, err := fmt.Fprintf(e.Stdout, "%-10s  %s\n", line[0], line[1]); err != nil {
					return fmt.Errorf("write the version: %w", err)
				}
			}
			return nil
		}),
	}
}
