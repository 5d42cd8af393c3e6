package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// allTargets is what a release is built for.
const allTargets = "linux/amd64,linux/arm64,darwin/amd64,darwin/arm64,windows/amd64,windows/arm64"

// target is a system and an architecture in Go's words.
type target struct{ system, architecture string }

func (t target) String() string { return t.system + "/" + t.architecture }

// program is the name of the executable file.
func (t target) program() string {
	if t.system == "windows" {
		return "saltmark.exe"
	}
	return "saltmark"
}

// environment makes a build depend on the target alone. Floating point on amd64 is held
// to its first level (GOAMD64=v1), without fused operations: the same digits on every
// machine of an architecture.
func (t target) environment() []string {
	return append(os.Environ(), "GOOS="+t.system, "GOARCH="+t.architecture,
		"CGO_ENABLED=0", "GOAMD64=v1", "GOARM64=v8.0", "GOFLAGS=-mod=readonly -trimpath -buildvcs=false", "GOEXPERIMENT=", "GOWORK=off", "GOFIPS140=off")
}

func parseTargets(list string) ([]target, error) {
	var targets []target
	for _, word := range strings.Split(list, ",") {
		if !slices.Contains(strings.Split(allTargets, ","), word) {
			return nil, fmt.Errorf("%q is no target; there are %s", word, allTargets)
		}
		system, architecture, _ := strings.Cut(word, "/")
		targets = append(targets, target{system, architecture})
	}
	return targets, nil
}

// plan is what a release is made of.
type plan struct {
	top      string // absolute
	version  string
	revision string // of the source, with what is to be said of it
	time     time.Time
	targets  []target
}

func newPlan(ctx context.Context, top, version, targets string) (*plan, error) {
	top, err := filepath.Abs(top)
	if err != nil {
		return nil, err
	}
	p := &plan{top: top}
	if p.version, err = versionOf(ctx, top, version); err != nil {
		return nil, err
	}
	if p.targets, err = parseTargets(targets); err != nil {
		return nil, err
	}
	if p.revision, err = revisionOf(ctx, top, p.version); err != nil {
		return nil, err
	}
	p.time, err = timeOf(ctx, top)
	return p, err
}

// versions are those of Semantic Versioning 2.0.0, without build metadata.
var versions = regexp.MustCompile(`^(0|[1-9][0-9]*)\.(0|[1-9][0-9]*)\.(0|[1-9][0-9]*)(-[0-9A-Za-z-]+(\.[0-9A-Za-z-]+)*)?$`)

// versionOf gives the version that was asked for, else that of the tag.
func versionOf(ctx context.Context, top, asked string) (string, error) {
	if asked == "" {
		tag, err := git(ctx, top, "describe", "--tags", "--exact-match")
		if err != nil {
			return "", errors.New("no tag names this commit; give a version, for example 0.1.0")
		}
		asked = strings.TrimPrefix(tag, "v")
	}
	if !versions.MatchString(asked) {
		return "", fmt.Errorf("%q is no version; wanted is one like 0.1.0 or 0.1.0-try.1", asked)
	}
	return asked, nil
}

// revisionOf gives the commit. A version without a suffix is made of a commit alone.
func revisionOf(ctx context.Context, top, version string) (string, error) {
	commit, err := git(ctx, top, "rev-parse", "HEAD")
	if err != nil {
		return "unknown", nil // the source came without its history
	}
	changes, err := git(ctx, top, "status", "--porcelain")
	switch {
	case err != nil:
		return "", err
	case changes == "":
		return commit, nil
	case !strings.Contains(version, "-"):
		return "", fmt.Errorf("the source has changes that are in no commit; commit them, or release it as %s-try", version)
	}
	return commit + ", with changes", nil
}

// timeOf gives the time that files bear.
func timeOf(ctx context.Context, top string) (time.Time, error) {
	text, known := os.LookupEnv("SOURCE_DATE_EPOCH")
	if !known {
		var err error
		if text, err = git(ctx, top, "log", "-1", "--format=%ct"); err != nil {
			return time.Time{}, errors.New("the time of the source is not known: there is no commit here; set SOURCE_DATE_EPOCH to seconds since 1970")
		}
	}
	seconds, err := strconv.ParseInt(text, 10, 64)
	if err != nil || seconds < 315532800 { // 1980, the first year of a zip archive
		return time.Time{}, fmt.Errorf("SOURCE_DATE_EPOCH is %q; seconds since 1970 are wanted, of 1980 or later", text)
	}
	return time.Unix(seconds, 0).UTC(), nil
}

// git gives what git says, in a checkout that another user may own.
func git(ctx context.Context, top string, args ...string) (string, error) {
	cmd := exec.CommandContext(ctx, "git", append([]string{"-c", "safe.directory=*"}, args...)...)
	cmd.Dir = top
	out, err := cmd.Output()
	if err != nil {
		return "", fmt.Errorf("git %s: %w", args[0], err)
	}
	return strings.TrimSpace(string(out)), nil
}
