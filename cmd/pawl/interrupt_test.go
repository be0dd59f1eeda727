package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestInterruptsEndAtOnce: Ctrl-C and SIGTERM end a verb whatever it is doing. What it reads
// here never ends: a pipe that nobody writes to.
func TestInterruptsEndAtOnce(t *testing.T) {
	folder := t.TempDir()
	pipe := filepath.Join(folder, "never.pcapng")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	house := filepath.Join(folder, "hall.yaml")
	for file, text := range map[string]string{
		house:                              "house: Hall\ndesk: {address: \"192.0.2.10:10700\", map: desk.yaml}\nroster: {inputs: {1: {name: a}}}\n",
		filepath.Join(folder, "desk.yaml"): "desk: x\nsignals: [{hear: \"/in/{input:1-1}\", is: input.fader, value: {arg: 0, unit: dB}}]\n",
	} {
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, how := range []os.Signal{os.Interrupt, syscall.SIGTERM} {
		// A house file or a map that is no plain file is refused before it is read.
		for _, verb := range []string{"replay " + house + " " + pipe, "listen --capture " + pipe} {
			cmd := exec.CommandContext(t.Context(), pawlBinary(t), strings.Fields(verb)...)
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			// It is in the reading once it waits at the pipe; opening the other end waits for that.
			writer, err := os.OpenFile(pipe, os.O_WRONLY, 0)
			if err != nil {
				t.Fatal(err)
			}
			if err := cmd.Process.Signal(how); err != nil {
				t.Fatal(err)
			}
			err = cmd.Wait()
			var exit *exec.ExitError
			if !errors.As(err, &exit) || exit.ProcessState.Sys().(syscall.WaitStatus).Signal() != how {
				t.Errorf("pawl %s, %v: ended with %v", verb, how, err)
			}
			writer.Close()
		}
	}
}
