package main

import (
	"encoding/json"
	"log/slog"
	"strings"
	"testing"
)

// TestLog: text for people, JSON for a journal, and nothing below the level that was asked for.
func TestLog(t *testing.T) {
	for _, journal := range []bool{false, true} {
		var b strings.Builder
		log := logTo(&b, slog.LevelWarn, journal)
		log.Info("desk", "state", "hearing")
		log.Warn("desk", "state", "quiet")
		lines := strings.Split(strings.TrimSpace(b.String()), "\n")
		if len(lines) != 1 || !strings.Contains(lines[0], "quiet") {
			t.Errorf("journal %v: %q", journal, lines)
		}
		if got := json.Valid([]byte(lines[0])); got != journal {
			t.Errorf("journal %v: is it JSON: %v, %q", journal, got, lines[0])
		}
	}
}
