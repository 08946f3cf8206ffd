package main

import (
	"io"
	"os"

	"github.com/mattn/go-isatty"
	"github.com/rs/zerolog"
)

// newLogger logs to stderr: for people on a terminal, as JSON otherwise.
func newLogger(stderr io.Writer, level string, quiet bool) (zerolog.Logger, error) {
	lvl, err := zerolog.ParseLevel(level)
	if err != nil || level == "" {
		return zerolog.Logger{}, usagef("--log-level is %q; expected debug, info, warn or error", level)
	}
	if quiet {
		lvl = max(lvl, zerolog.WarnLevel)
	}
	w := stderr
	if onTerminal(stderr) {
		w = zerolog.ConsoleWriter{Out: stderr, TimeFormat: "15:04:05"}
	}
	return zerolog.New(w).Level(lvl).With().Timestamp().Logger(), nil
}

// onTerminal reports whether a person watches w.
func onTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && isatty.IsTerminal(f.Fd())
}
