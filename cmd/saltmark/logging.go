package main

import (
	"log/slog"

	"github.com/spf13/pflag"
)

// logFlags are the flags for the log, which every command has.
type logFlags struct {
	format, level choice
}

// logLevels lists the levels of the log, from the most talkative.
var logLevels = []struct {
	name  string
	level slog.Level
}{
	{"debug", slog.LevelDebug},
	{"info", slog.LevelInfo},
	{"warn", slog.LevelWarn},
	{"error", slog.LevelError},
}

func (l *logFlags) addTo(flags *pflag.FlagSet) {
	var names []string
	for _, known := range logLevels {
		names = append(names, known.name)
	}
	l.format = newChoice("text", "text", "json")
	l.level = newChoice("warn", names...)
	flags.Var(&l.format, "log-format", "how the log on standard error is written")
	flags.Var(&l.level, "log-level", "from which level on the log is written")
}

// slogLevel is that of warnings until the flags have been set up.
func (l *logFlags) slogLevel() slog.Level {
	for _, known := range logLevels {
		if l.level.is(known.name) {
			return known.level
		}
	}
	return slog.LevelWarn
}
