package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pawl/daemon"
	"pawl/daemon/capture"
	"pawl/daemon/otherwise"
	"pawl/daemon/practice"
	"pawl/daemon/practice/practicetest"
	"pawl/daemon/store"
	"pawl/rules"
	"pawl/rules/words"
)

// recordedHouse is a house file whose record has one service, of a ratchet, with its capture.
func recordedHouse(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	file := filepath.Join(dir, "harbour-hall.house.yaml")
	for name, text := range map[string][]byte{file: practice.House(), filepath.Join(dir, "harbour-hall.map.yaml"): practice.MapFile()} {
		if err := os.WriteFile(name, text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var caught bytes.Buffer
	w, err := capture.NewWriter(&caught, "")
	if err != nil {
		t.Fatal(err)
	}
	script, err := practicetest.Service("ratchet")
	if err != nil {
		t.Fatal(err)
	}
	began := time.Date(2031, 3, 5, 18, 30, 0, 0, time.UTC)
	for at, packet := range practice.Play(script, practice.Harbour(), practice.Playing{}) {
		if err := w.Write(capture.Packet{At: began.Add(at), From: practiceAddr(10700), Data: packet}); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "caught.pcapng"), caught.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	record := func(path string, entries []rules.Entry) {
		t.Helper()
		r := store.NewRecorder(path, store.Options{})
		r.Begin(store.Run{Zero: began, House: "Harbour Hall", HousePrint: "h", MapPrint: "m", HouseText: string(practice.House()), MapText: string(practice.MapFile()), Capture: "caught.pcapng"})
		r.BeginService(0)
		r.Put(entries, nil)
		r.EndService(script.Length)
		if err := r.Close(); err != nil {
			t.Fatal(err)
		}
	}
	record(filepath.Join(dir, "before.record"), nil)
	out, err := daemon.Rejudge{Record: filepath.Join(dir, "before.record")}.Run(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	record(filepath.Join(dir, "harbour-hall.record"), out.Otherwise[0].Entries)
	return file
}

// TestReplayService judges a service of the record again on a terminal, and by limits by
// which a ratchet is none: it is a slow rise then.
func TestReplayService(t *testing.T) {
	house := recordedHouse(t)
	limits := filepath.Join(filepath.Dir(house), "patient.yaml")
	if err := os.WriteFile(limits, []byte("limits: {ratchet: {whisper: 9 dB, again: 9 dB, nudge: 9 dB, re-raise: 9 dB}}\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	wrong := filepath.Join(filepath.Dir(house), "wrong.yaml")
	if err := os.WriteFile(wrong, []byte("limits: {ratchet: {wisper: 9 dB}}\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		args []string
		exit int
		want string // on either
	}{
		{"as it was", []string{"--service", "1"}, exitGood, "ratchet"},
		{"the last, as JSON", []string{"--service", "last", "--json"}, exitGood, `"entry":"finding"`},
		{"by other limits", []string{"--service", "1", "--limits", limits}, exitGood, "0 said in both, 1 only then, 1 only by the other limits"},
		{"by other limits, as JSON", []string{"--service", "1", "--limits", limits, "--json"}, exitGood, `"only_then":1`},
		{"wrong limits", []string{"--service", "1", "--limits", wrong}, exitWrong, `wrong.yaml:1:20: limits.ratchet: unknown key "wisper"`},
		{"no limits there", []string{"--service", "1", "--limits", "nowhere.yaml"}, exitWrong, "nowhere.yaml"},
		{"no such service", []string{"--service", "7"}, exitWrong, "no such service"},
		{"no service at all", []string{"--service", "first"}, exitWrong, "want its number, or last"},
		{"a capture besides", []string{"x.pcapng", "--service", "1"}, exitUsage, `"x.pcapng" is one word too many; want one house file`},
	} {
		t.Run(c.name, func(t *testing.T) {
			var out, err bytes.Buffer
			if exit := run(append([]string{"replay", house}, c.args...), &out, &err); exit != c.exit || !strings.Contains(out.String()+err.String(), c.want) {
				t.Errorf("exit %d, want %d with %q:\n%s%s", exit, c.exit, c.want, out.String(), err.String())
			}
		})
	}
}

// TestComparedFits prints two lists in any width, and no line is longer.
func TestComparedFits(t *testing.T) {
	out, err := daemon.Rejudge{Record: filepath.Join(filepath.Dir(recordedHouse(t)), "harbour-hall.record")}.Run(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	c := out.Compare()
	c.Rows = append(c.Rows, otherwise.Row{Then: c.Rows[0].Then}, otherwise.Row{Other: c.Rows[0].Other})
	for _, width := range []int{50, 80, 100, 160} {
		var text bytes.Buffer
		if err := printCompared(&text, c, words.Own().For(words.Default), false, width); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(text.String(), "\n") {
			if n := utf8.RuneCountInString(line); n > width && !strings.Contains(line, " said in both") {
				t.Errorf("%d wide in %d: %q", n, width, line)
			}
		}
		if !strings.Contains(text.String(), "–") {
			t.Errorf("nothing stands for what was not said:\n%s", text.String())
		}
	}
	var text bytes.Buffer
	if err := printCompared(&text, c, words.Own().For(words.Default), true, 80); err != nil || !json.Valid(text.Bytes()) {
		t.Errorf("%v, %s", err, text.Bytes())
	}
}
