package main

import (
	"context"
	"io"
	"log/slog"
	"time"
)

// env is the world a command runs in. A test makes its own; only run knows the
// process.
type env struct {
	Args           []string // without the program's name
	Stdin          io.Reader
	Stdout, Stderr io.Writer
	// Getenv gives a variable of the environment; nil knows none.
	Getenv func(string) string
	// Now is the clock, for the log only: what is written about a measurement
	// takes its times from the sheet.
	Now     func() time.Time
	Context context.Context // cancelled by an interrupt
	Version string          // of the program

	log logFlags
}

// logger gives the log on standard error.
func (e *env) logger() *slog.Logger { return e.loggerTo(e.Stderr) }

// loggerTo gives the log as the flags want it. Call it in the run of a command, when
// the flags have been read. No data of a patient goes into it.
func (e *env) loggerTo(w io.Writer) *slog.Logger {
	options := &slog.HandlerOptions{
		Level: e.log.slogLevel(),
		ReplaceAttr: func(groups []string, a slog.Attr) slog.Attr {
			if len(groups) == 0 && a.Key == slog.TimeKey {
				a.Value = slog.TimeValue(e.Now())
			}
			return a
		},
	}
	if e.log.format.is("json") {
		return slog.New(slog.NewJSONHandler(w, options))
	}
	return slog.New(slog.NewTextHandler(w, options))
}
