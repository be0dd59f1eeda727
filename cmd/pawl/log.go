package main

import (
	"io"
	"log/slog"
	"os"
)

// logFlag is --log-level, for a verb that goes on for hours.
func (c *call) logFlag() {
	c.flags.TextVar(&c.logLevel, "log-level", slog.LevelInfo, "the least that is logged: debug, info, warn or error")
}

// log is where a verb says what a person should know of sockets, files and pages: text on a
// terminal and in a pipe, and JSON where systemd keeps the lines (it then names the stream in
// JOURNAL_STREAM), so that a journal can be asked for a desk or a file.
func (c *call) log() *slog.Logger {
	return logTo(c.stderr, c.logLevel, os.Getenv("JOURNAL_STREAM") != "")
}

func logTo(w io.Writer, least slog.Level, journal bool) *slog.Logger {
	o := &slog.HandlerOptions{Level: least}
	if journal {
		return slog.New(slog.NewJSONHandler(w, o))
	}
	return slog.New(slog.NewTextHandler(w, o))
}
